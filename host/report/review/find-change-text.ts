import { abbreviated } from '../../common/hash.js';
import type { FoundChange } from '../../review/find-change.js';
import { counted } from '../form/text-table.js';
import { runBlock } from './run-block.js';

/** The commit that a search found, and what it changes. */
export function findChangeText({ commit, before, unbuilt, commits, compared, run }: FoundChange): string {
  const line = ({ hash, date, subject }: FoundChange['commit']): string => `${abbreviated(hash)} ${date} ${subject}`;
  return [
    line(commit),
    `  changed ${run.name}; ${compared} of ${counted(commits, 'commit')} compared, besides the two ends`,
    `  compared with ${line(before)}`,
    ...(unbuilt.length === 0 ? [] : ['  or one of these changed it, which do not build:', ...unbuilt.map((one) => `    ${line(one)}`)]),
    '',
    runBlock(run),
  ].join('\n');
}
