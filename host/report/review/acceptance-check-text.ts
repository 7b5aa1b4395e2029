import { abbreviated } from '../../common/hash.js';
import type { AcceptanceCheck, CheckedVector } from '../../review/acceptance-check.js';
import { counted } from '../form/text-table.js';
import { acceptanceText } from './phrases.js';

function vectorLines({ name, baseName, change, accepted, problems, commits, isUncommitted }: CheckedVector): string[] {
  return [
    `${name} ${change}${baseName === undefined ? '' : ` from ${baseName}`}`,
    ...accepted.map((one) => `  accepted ${acceptanceText(one)}`),
    ...problems.map((problem) => `  problem: ${problem}`),
    ...commits.map(({ hash, author, committer, subject }) => {
      const who = author === committer ? author : `${author}, committed by ${committer}`;
      return `  in ${abbreviated(hash)} by ${who}: ${subject}`;
    }),
    ...(isUncommitted ? ['  in changes that are not committed'] : []),
  ];
}

/** What was accepted since a commit, by whom, and whether anything else was done to acceptances. */
export function acceptanceCheckText({ since, isAddedTo, vectors, note }: AcceptanceCheck): string {
  const bad = vectors.filter(({ change, problems }) => change === 'removed' || problems.length > 0).length;
  const verdict = isAddedTo
    ? `acceptances since ${abbreviated(since.hash)} were only added`
    : `${counted(bad, 'vector')} removed, or with acceptances or outputs that were changed in another way than by an acceptance`;
  return [
    ...vectors.flatMap(vectorLines),
    ...(note === undefined || vectors.length === 0 ? [] : [`the commits that changed them are not known. ${note}`]),
    `${counted(vectors.length, 'vector')} changed: ${verdict}`,
    '',
  ].join('\n');
}
