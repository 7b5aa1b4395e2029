import type { Coverage, CoveredLine, LineReach, NearestRun, SourceLine } from '../../review/review.js';
import { counted } from '../form/text-table.js';

/* Phrases about the coverage of changed lines that text, Markdown and the page of a review share. */

/** Names of runs that are listed. */
const NAMES_MAX = 3;

export const REACH_TEXT: Readonly<Record<LineReach, string>> = {
  different: 'reached and different',
  same: 'reached, the same',
  unreached: 'never reached',
};

const linesIn = ({ counts }: Coverage): number => counts.different + counts.same + counts.unreached;

/** `, but 2 of 5 changed lines were never reached`; empty if all were. */
export function unreachedClause(coverage: Coverage | undefined): string {
  if (coverage === undefined || coverage.counts.unreached === 0) return '';
  const { unreached } = coverage.counts;
  return `, but ${unreached} of ${counted(linesIn(coverage), 'changed line')} ${unreached === 1 ? 'was' : 'were'} never reached`;
}

/** `3 changed lines: 2 reached and different, 1 never reached; 4 without code`. */
export function coverageText(coverage: Coverage): string {
  const { counts, note } = coverage;
  if (note !== undefined) return `which changed lines were reached is not known: ${note}`;
  const all = linesIn(coverage);
  if (all === 0) return `no code changed: ${counted(counts.noCode, 'line')} of comments, declarations or white space`;
  const some = (['different', 'same', 'unreached'] as const).filter((reach) => counts[reach] > 0);
  const without = counts.noCode === 0 ? '' : `; ${counts.noCode} without code`;
  return `${counted(all, 'changed line')}: ${some.map((reach) => `${counts[reach]} ${REACH_TEXT[reach]}`).join(', ')}${without}`;
}

const placeText = ({ file, line }: SourceLine): string => `${file}:${line}`;

function listed(names: readonly string[]): string {
  const more = names.length - NAMES_MAX;
  return names.slice(0, NAMES_MAX).join(', ') + (more > 0 ? ` and ${more} more` : '');
}

/** `nearest: cold-oil and 3 more runs, up to bank.ts:120 if (isCold) {, which is never true; 2 conditions left`. */
function nearestText({ run, runs, at, needs, conditions }: NearestRun, names: readonly string[]): string {
  const others = runs === 1 ? '' : ` and ${counted(runs - 1, 'more run')}`;
  const place = at === undefined ? '' : `, up to ${placeText(at)}  ${at.text.trim()}`;
  const why = needs === undefined ? '' : `, which is never ${needs}`;
  return `nearest: ${names[run]}${others}${place}${why}${conditions > 1 ? `; ${counted(conditions, 'condition')} left` : ''}`;
}

/** What is known of a changed line, besides whether it was reached. @param names of the runs */
export function reachLines({ reach, reachedBy, usedAt, missed, nearest, isUncalled }: CoveredLine, names: readonly string[]): string[] {
  const reached = `reached in ${counted(reachedBy.length, 'run')}: ${listed(reachedBy.map(({ run }) => names[run] ?? ''))}`;
  const missing = isUncalled
    ? 'nothing calls its function'
    : nearest === undefined
      ? 'no run calls what leads to it'
      : nearestText(nearest, names);
  return [
    ...(usedAt.length === 0 ? [] : [`used at ${usedAt.map(placeText).join(', ')}`]),
    reach === 'unreached' ? missing : reached,
    ...missed.map(({ column, text }) => `never reached in it: ${text.slice(column - 1).trim()}`),
  ];
}

/** `assembly/controller/bank.ts:120  if (isCold) {`. */
export const coveredLineText = ({ side, line }: CoveredLine): string =>
  `${placeText(line)}${side === 'base' ? ' (removed, line of base)' : ''}  ${line.text.trim()}`;
