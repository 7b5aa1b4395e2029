import { UNITS } from '../../../shared/units.js';
import { abbreviated } from '../../common/hash.js';
import { shellWord } from '../../common/shell-word.js';
import type { RunIdentity } from '../../contract/run-identity.js';
import { type Verdict, verdictCountsText } from '../../replay/verdict.js';
import type {
  AcceptanceFacts,
  BuildFacts,
  Cause,
  CauseCheck,
  ChangedLines,
  Divergence,
  MetricChange,
  Review,
  RunReview,
  SignalDivergence,
  SourceLine,
  SuggestedInputs,
  Suggestion,
  VectorDifference,
} from '../../review/review.js';
import { buildName, parametersText, strategyText } from '../form/run-identity.js';
import { brief } from '../form/text-plot.js';
import { counted, grouped } from '../form/text-table.js';
import { unreachedClause } from './coverage-phrases.js';

/* Phrases that text, JUnit, SARIF, Markdown and the page of a review share. */

/** The result in one sentence, and what it is worth. */
export function verdictSentence({ counts, runs, coverage }: Pick<Review, 'counts' | 'runs' | 'coverage'>): string {
  const differ = runs.length - counts.same;
  if (runs.length === 0) return 'Nothing was compared.';
  const end = `${unreachedClause(coverage)}.`;
  if (differ === 0) return `Both builds do the same in ${runs.length === 1 ? 'the run' : `all ${runs.length} runs`}${end}`;
  return `${differ} of ${runs.length} runs ${differ === 1 ? 'differs' : 'differ'}: ${verdictCountsText(counts)}${end}`;
}

export const VERDICT_HELP: Readonly<Record<Verdict, string>> = {
  stopped: 'an assertion of the controller failed',
  refused: "a build rejected the run's parameters or number of rows",
  outputsDiffer: 'coil orders, modes or faults differ',
  timingDiffers: 'the same strokes, only earlier or later; modes and faults are the same',
  stateDiffers: 'only probes or internal state differ',
  same: 'nothing differs',
};

/** `main (0123456789) with wide.yaml`. */
export const sideName = ({ name, commit, parameters }: BuildFacts): string => {
  const isNamedByHash = commit === undefined || commit.startsWith(name);
  const build = isNamedByHash ? buildName({ name }) : `${name} (${abbreviated(commit)})`;
  return parameters === undefined ? build : `${build} with ${parameters.file}`;
};

/** The strategy of both sides, or each side's if they differ. */
export function strategiesText({ ranWith: { base, head } }: RunReview): string {
  const [left, right] = [strategyText(base), strategyText(head)];
  return left === right ? left : `${left} → ${right}`;
}

/** What both sides of a run ran with, or each side's if they differ: `cascade, deadbandMinN 18 N`. */
export function ranWithText({ ranWith: { base, head } }: RunReview): string {
  const side = (run: RunIdentity): string =>
    [strategyText(run), run.parameters.length === 0 ? 'all parameters have their defaults' : parametersText(run.parameters)].join(', ');
  const [left, right] = [side(base), side(head)];
  return left === right ? left : `${left} → ${right}`;
}

/** Name of a run, with the seed of a scenario. */
export const runName = ({ name, seed }: RunReview): string => (seed === undefined ? name : `${name}, seed ${seed}`);

/** `tick 1234 (1.234 s)`, or configure(), which comes before the first tick. */
export const tickText = (tick: number, tickHz: number): string =>
  tick < 0 ? 'configure()' : `tick ${tick} (${(tick / tickHz).toFixed(3)} s)`;

/** `at tick 1234 (1.234 s)`, `in configure()`. */
export const atTick = (tick: number, tickHz: number): string => `${tick < 0 ? 'in' : 'at'} ${tickText(tick, tickHz)}`;

/** `row 2 `, nothing for the bank. */
export const rowPrefix = (row: number): string => (row === 0 ? '' : `row ${row} `);

/** `row 2 loadN 451.2 → 452.9 N`. */
export const divergenceText = ({ row, signal, unit, base, head }: SignalDivergence): string =>
  `${rowPrefix(row)}${signal} ${base} → ${head} ${unit === 'bits' ? '' : UNITS[unit].symbol}`.trim();

const lineText = ({ file, line, text }: SourceLine): string => `${file}:${line}  ${text.trim()}`;

/** The suspected line and the reason, each as one line of text. */
export function suspectedLines({ suspectedLine, removedLine, via, reason }: Divergence): string[] {
  if (suspectedLine === undefined) return [reason];
  const through = via === undefined ? '' : `, via ${via.file}:${via.line}`;
  const removed =
    removedLine && `removed line: ${lineText(removedLine)} (line of base), before ${suspectedLine.file}:${suspectedLine.line}`;
  return [removed ?? `suspected line: ${lineText(suspectedLine)}`, `reason: ${reason}${through}`];
}

export const CHECK_TEXT: Readonly<Record<CauseCheck, string>> = {
  putBack: 'checked: with it as in base, the first difference goes away or becomes another one',
  onlyEdit: 'checked: nothing else has changed',
  suspected: 'not checked',
};

/** What the runs of a cause are, if there are several causes. */
export const CAUSE_RUNS_HELP = 'A run is listed with what it shows first, and with what it still shows when that is put back.';

/** A cause: its lines or parameter, the runs that it makes differ, and how sure that is. */
export function causeLines({ parameter, first, check, note, run, runs }: Cause, names: readonly string[]): string[] {
  const [where = '', ...why] = suspectedLines(first);
  const counted = runs.length === 1 ? '1 run' : `${runs.length} runs`;
  return [
    ...(parameter === undefined ? [where, ...why] : [`parameter: ${parameter}`]),
    `${CHECK_TEXT[check]}${note === undefined ? '' : `: ${note}`}`,
    `${counted}, first seen in ${names[run]}: ${divergenceText(first)}`,
  ];
}

/** `base refuses deadbandN 900`, for each side that refused the run. */
export const refusalsOf = ({ refused }: RunReview): string[] =>
  (['base', 'head'] as const).flatMap((side) => (refused?.[side] === undefined ? [] : [`${side} ${refused[side]}`]));

/** `head stopped at tick 100 (0.100 s): unreachable`, for each side that stopped. */
export const stopsOf = ({ stopped, tickHz }: RunReview): string[] =>
  (['base', 'head'] as const).flatMap((side) => {
    const stop = stopped[side];
    return stop === undefined ? [] : [`${side} stopped ${atTick(stop.tick, tickHz)}: ${stop.message}`];
  });

const signed = (value: number): string => `${value < 0 ? '−' : '+'}${brief(Math.abs(value))}`;

/** What a metric changed by: `+25` of a count, `+3 %` of others, `+12 ms` from zero; empty if a side has no value. */
export function deltaText({
  unit,
  symbol = UNITS[unit].symbol,
  base,
  head,
}: Pick<MetricChange, 'unit' | 'symbol' | 'base' | 'head'>): string {
  if (base === null || head === null) return '';
  if (unit === 'none') return signed(head - base);
  return base === 0 ? `${signed(head)} ${symbol}` : `${signed((100 * (head - base)) / Math.abs(base))} %`;
}

/** `pulsesPerMin 101 → 104 1/min (+3 %)`. */
export function metricText(metric: MetricChange): string {
  const { name, unit, symbol = UNITS[unit].symbol, base, head } = metric;
  const value = (of: number | null): string => (of === null ? '–' : brief(of));
  const delta = deltaText(metric);
  return `${name} ${value(base)} → ${value(head)} ${symbol}`.trimEnd() + (delta === '' ? '' : ` (${delta})`);
}

/** Metrics that both sides have, with different values. */
export const changedMetrics = (metrics: readonly MetricChange[]): MetricChange[] =>
  metrics.filter(({ base, head }) => base !== head && base !== null && head !== null);

/** `2026-11-25 A. Reviewer (committer A. Reviewer <a@example.com>), supplyOrder: a reason`. */
export const acceptanceText = ({ date, by, committer, reason, signals }: AcceptanceFacts): string =>
  `${date} ${by}${committer === undefined ? '' : ` (committer ${committer})`}, ${signals.join(', ')}: ${reason}`;

/** Who accepted what head computes in a run; empty if that is not known, or nobody has. */
export const acceptedText = ({ acceptance }: RunReview): string =>
  acceptance ? `outputs of head accepted ${acceptanceText(acceptance)}` : '';

/** `assembly/controller/row.ts:12`, where head has it. */
export const editPlace = ({ file, head }: ChangedLines): string => `${file}:${head.from}`;

const suggestedPlaces = ({ edits }: Suggestion): string => edits.flatMap(({ lines }) => lines.map(editPlace)).join(', ');

/** Where a vector with inputs that were found is, or how to make one. */
function keptText({ vector, accepts }: SuggestedInputs, names: Pick<Review, 'base' | 'head'>): string[] {
  if (vector === undefined) return ['to keep it as a vector, add --by NAME --reason TEXT'];
  const words = [names.base.name, names.head.name, vector].map(shellWord).join(' ');
  return [`${vector} written; the outputs of ${accepts} are accepted`, `npx latchbench compare ${words}`];
}

/** What a search for inputs came to: a sentence, and details of what was found. */
export function suggestionLines(review: Review): string[] {
  const { suggestion } = review;
  if (suggestion === undefined) return [];
  const { edits, reason, found, tried, rowTicks, seed } = suggestion;
  if (edits.length === 0) return [`nothing to look for: ${reason}`];
  const places = suggestedPlaces(suggestion);
  if (found === undefined)
    return [
      `no inputs were found on which the builds differ by ${places}: ${grouped(tried)} inputs, ${grouped(rowTicks)} ticks of rows, seed ${seed}. --suggest-ticks looks further, --suggest-seed elsewhere.`,
    ];
  const builds = found.against === 'base' ? 'the builds differ' : `head differs from head without ${places}`;
  const what = `${builds}: ${found.difference}`;
  if (found.shrunk === undefined) return [`${what}, but it makes no vector: ${reason}`];
  const { before, after } = found.shrunk;
  return [
    `${what}; found with ${counted(tried, 'input')}, seed ${seed}, from ${found.from}`,
    `shrunk from ${grouped(before.ticks)} to ${counted(after.ticks, 'tick')}, from ${before.rows} to ${counted(after.rows, 'row')}`,
    parametersText(found.ranWith.parameters),
    ...keptText(found, review),
  ].filter(Boolean);
}

/** What differs in a vector besides its accepted outputs. */
export function vectorDifferenceText({ what, name, base, head }: VectorDifference): string {
  if (what === 'inputs') return 'other inputs';
  return `${name ?? what} ${base ?? 'default'} → ${head ?? 'default'}`;
}
