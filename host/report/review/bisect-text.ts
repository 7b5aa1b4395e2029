import type { BisectResult } from '../../review/bisect.js';
import { counted } from '../form/text-table.js';
import { runBlock } from './review-text.js';

const HASH_DIGITS = 10;

/** The commit that was found, and what it does to the vector. */
export function bisectText({ commit, before, unbuilt, commits, compared, run }: BisectResult): string {
  const line = ({ hash, date, subject }: BisectResult['commit']): string => `${hash.slice(0, HASH_DIGITS)} ${date} ${subject}`;
  return [
    line(commit),
    `  is where ${run.name} changed, among ${counted(commits, 'commit')}; ${compared} compared, besides the ends`,
    `  against ${line(before)}`,
    ...(unbuilt.length === 0 ? [] : ['  or one of these, which don’t build:', ...unbuilt.map((one) => `    ${line(one)}`)]),
    '',
    runBlock(run),
  ].join('\n');
}
