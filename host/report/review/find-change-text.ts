import { abbreviated } from '../../common/hash.js';
import type { FoundChange } from '../../review/find-change.js';
import type { Commit } from '../../review/git.js';
import { counted } from '../form/text-table.js';
import { runBlock } from './run-block.js';

const line = ({ hash, date, subject }: Commit): string => `${abbreviated(hash)} ${date} ${subject}`;

const list = (title: string, lines: readonly string[]): string[] =>
  lines.length === 0 ? [] : [`  ${title}:`, ...lines.map((one) => `    ${one}`)];

/** Reasons can be the messages of a compiler. */
const firstLine = (text: string): string => text.split('\n', 1)[0] ?? '';

/** The commit that a search found, and what it changes. */
export function findChangeText(found: FoundChange): string {
  const { commit, before, unbuilt, later, hasEarlier, diverged, commits, compared, skipped, run } = found;
  return [
    line(commit),
    `  changed ${run.name}; ${compared} of ${counted(commits, 'commit')} compared, besides the two ends`,
    `  compared with ${line(before)}`,
    ...(diverged === undefined ? [] : [`  --from and --to diverged at ${line(diverged.at)}; it is on the side of --${diverged.side}`]),
    ...list('or one of these changed it, which do not build', unbuilt.map(line)),
    ...list(
      'changed again by',
      later.map((one) => line(one.commit)),
    ),
    ...(hasEarlier ? ['  there may be earlier changes: search again with this commit as --to'] : []),
    ...list(
      'skipped',
      skipped.map((one) => `${line(one)}: ${firstLine(one.reason)}`),
    ),
    '',
    runBlock(run),
  ].join('\n');
}
