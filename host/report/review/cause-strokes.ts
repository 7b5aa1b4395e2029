import { spreadOf } from '../../replay/strokes.js';
import type { Cause, RunReview } from '../../review/review.js';

/** What a cause does to the strokes of all its runs. Times are ms, because tick rates differ. */
export interface CauseStrokes {
  /** Whether its runs differ in nothing but the ticks of strokes, or in state only. */
  readonly isTimingOnly: boolean;
  readonly added: number;
  readonly removed: number;
  readonly same: number;
  /** How many strokes moved by how much, in any order; negative is earlier. */
  readonly shifts: readonly (readonly [ms: number, count: number])[];
}

/** Sums up the strokes of a cause's runs; undefined if none differs. */
export function causeStrokes(cause: Pick<Cause, 'runs'>, reviewed: readonly RunReview[]): CauseStrokes | undefined {
  const runs = cause.runs.flatMap((index) => reviewed[index] ?? []);
  const sum = (of: (run: RunReview) => number): number => runs.reduce((all, run) => all + of(run), 0);
  const shifts = runs.flatMap(({ strokes, tickHz }) => strokes.shifts.map(([ticks, count]) => [(ticks * 1000) / tickHz, count] as const));
  const [added, removed] = [sum(({ strokes }) => strokes.added), sum(({ strokes }) => strokes.removed)];
  if (added + removed + shifts.length === 0) return undefined;
  const isTimingOnly = runs.every(({ verdict }) => verdict === 'timingDiffers' || verdict === 'stateDiffers');
  return { isTimingOnly, added, removed, same: sum(({ strokes }) => strokes.same), shifts };
}

const rounded = (ms: number): string => String(Number(ms.toFixed(2)));

function shiftText(kind: string, shifts: CauseStrokes['shifts']): string {
  if (shifts.length === 0) return '';
  const ms = shifts.flatMap(([shift, count]) => new Array<number>(count).fill(Math.abs(shift)));
  const { count, minTicks, medianTicks, p95Ticks, maxTicks } = spreadOf(ms);
  const range = minTicks === maxTicks ? rounded(maxTicks) : `${rounded(minTicks)} to ${rounded(maxTicks)}`;
  const middle = count < 3 || minTicks === maxTicks ? '' : ` (median ${rounded(medianTicks)}, p95 ${rounded(p95Ticks)})`;
  return `${count} ${kind} by ${range} ms${middle}`;
}

/** `only timing differs: 60 strokes earlier by 2 to 86 ms (median 10, p95 41), 5 later by 4 ms, 73 in the same tick`. */
export function causeStrokesText({ isTimingOnly, added, removed, same, shifts }: CauseStrokes): string {
  const parts = [
    added > 0 ? `${added} added` : '',
    removed > 0 ? `${removed} removed` : '',
    shiftText(
      'earlier',
      shifts.filter(([ms]) => ms < 0),
    ),
    shiftText(
      'later',
      shifts.filter(([ms]) => ms > 0),
    ),
    `${same} in the same tick`,
  ];
  return `${isTimingOnly ? 'only timing differs; strokes' : 'strokes'}: ${parts.filter(Boolean).join(', ')}`;
}
