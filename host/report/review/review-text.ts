import { UNITS } from '../../../shared/units.js';
import type {
  BuildFacts,
  Curve,
  MetricChange,
  Parting,
  Review,
  ReviewVerdict,
  RunReview,
  SignalParting,
  StrokeChange,
  StrokeReview,
  Track,
  ValveLane,
} from '../../review/review.js';
import { AROUND_TICKS, BEFORE_TICKS } from '../../review/review.js';
import { colours } from '../form/colours.js';
import { brief, sparkBlocks } from '../form/text-plot.js';
import { counted, textTable } from '../form/text-table.js';

export const VERDICT_WORDS: Readonly<Record<ReviewVerdict, string>> = {
  same: 'same',
  inner: 'inner state only',
  outputs: 'outputs changed',
  stopped: 'stopped',
  refused: 'refused',
};

const PAINT: Readonly<Record<ReviewVerdict, (text: string) => string>> = {
  same: colours.green,
  inner: colours.cyan,
  outputs: colours.yellow,
  stopped: colours.red,
  refused: colours.red,
};

/** A side as people name it: the commit's short hash where there is one. */
export const sideName = ({ asked, commit, parameters }: BuildFacts): string => {
  const build =
    asked === '.' ? 'sources as they are' : commit === undefined || commit.startsWith(asked) ? asked : `${asked} (${commit.slice(0, 10)})`;
  return parameters === undefined ? build : `${build} with ${parameters.file}`;
};

const msOf = (ticks: number, tickHz: number): string => brief((ticks * 1000) / tickHz);

/** `tick 1234 (1.234 s)`, or configure(). */
export const whenText = (tick: number, tickHz: number): string =>
  tick < 0 ? 'configure()' : `tick ${tick} (${(tick / tickHz).toFixed(3)} s)`;

/** `row 2 `, nothing for the bank. */
const ofRow = (row: number): string => (row === 0 ? '' : `row ${row} `);

/** A parting as one phrase. */
export const partingText = ({ row, signal, unit, old, new: fresh }: SignalParting): string =>
  `${ofRow(row)}${signal} ${old} → ${fresh} ${UNITS[unit].symbol}`.trim();

/** The believed line as one phrase. */
export const lineText = ({ line, via, because }: Parting): string =>
  line === undefined
    ? because
    : `${line.file}:${line.line}  ${line.text.trim()}  (${because}${via === undefined ? '' : `; through ${via.file}:${via.line}`})`;

/** `1 tick (1 ms)`, `2 to 5 ticks (2 to 5 ms)`; where only the most is known, `up to 5 ticks (5 ms)`. */
function spanText(least: number, most: number, tickHz: number): string {
  if (!Number.isFinite(least)) return `up to ${spanText(most, most, tickHz)}`;
  const between = (of: (ticks: number) => string): string => (least === most ? of(most) : `${of(least)} to ${of(most)}`);
  return `${between(String)} tick${most === 1 ? '' : 's'} (${between((ticks) => msOf(ticks, tickHz))} ms)`;
}

/** What became of one stroke: `later by 3 ticks (3 ms)`. */
export function strokeText({ old, new: fresh }: StrokeChange, tickHz: number): string {
  if (old === undefined) return 'added';
  if (fresh === undefined) return 'removed';
  const shift = fresh - old;
  return `${shift > 0 ? 'later' : 'earlier'} by ${spanText(Math.abs(shift), Math.abs(shift), tickHz)}`;
}

/** What became of all strokes, as one phrase. */
export function strokesText({ added, removed, earlier, later, earliest, latest, changes }: StrokeReview, tickHz: number): string {
  // Where not all of them are listed, the smallest shift may be one of the others.
  const isCut = changes.length < added + removed + earlier + later;
  const shifts = changes.flatMap(({ old, new: fresh }) => (old === undefined || fresh === undefined || isCut ? [] : [fresh - old]));
  const least = (sign: number): number => Math.min(...shifts.filter((shift) => shift * sign > 0).map(Math.abs));
  return [
    added > 0 ? `${added} added` : '',
    removed > 0 ? `${removed} removed` : '',
    earlier > 0 ? `${earlier} earlier by ${spanText(least(-1), -earliest, tickHz)}` : '',
    later > 0 ? `${later} later by ${spanText(least(1), latest, tickHz)}` : '',
  ]
    .filter(Boolean)
    .join(', ');
}

/** `2 added, 51 earlier`. */
const strokeCounts = (strokes: StrokeReview): string =>
  (['added', 'removed', 'earlier', 'later'] as const)
    .filter((change) => strokes[change] > 0)
    .map((change) => `${strokes[change]} ${change}`)
    .join(', ');

const percent = (share: number): string => `${share > 0 ? '+' : '−'}${brief(Math.abs(share) * 100)} %`;

/** `pulsesPerMin 101 → 104 1/min (+3 %)`. */
export function metricText({ name, unit, old, new: fresh }: MetricChange): string {
  const shown = (value: number | null): string => (value === null ? '–' : brief(value));
  const share = old === null || fresh === null || old === 0 ? '' : ` (${percent((fresh - old) / Math.abs(old))})`;
  return `${name} ${shown(old)} → ${shown(fresh)} ${UNITS[unit].symbol}`.trimEnd() + share;
}

/** Metrics that both sides have, and not the same. */
export const changedMetrics = (metrics: readonly MetricChange[]): MetricChange[] =>
  metrics.filter(({ old, new: fresh }) => old !== fresh && old !== null && fresh !== null);

/** `old refuses deadbandN 900`: what each side does not take. */
export const refusalsOf = ({ refused }: RunReview): string[] =>
  (['old', 'new'] as const).flatMap((side) => (refused?.[side] === undefined ? [] : [`${side} ${refused[side]}`]));

/** The line of a table that says what is to be known of a run. */
function summaryRow(run: RunReview): string[] {
  const { name, rows, ticks, tickHz, verdict, first, strokes, metrics } = run;
  const worst = changedMetrics(metrics)[0];
  const where = first === undefined ? '' : `${first.tick < 0 ? 'configure' : first.tick}`;
  return [
    run.kind === 'vector' ? name : `${name} (seed ${run.seed})`,
    String(rows),
    (ticks / tickHz).toFixed(1),
    PAINT[verdict](VERDICT_WORDS[verdict]),
    where,
    first === undefined ? refusalsOf(run).join(', ') : partingText(first),
    strokeCounts(strokes),
    worst === undefined ? '' : metricText(worst),
  ];
}

const COLUMNS = [
  { title: 'run' },
  { title: 'rows', isNumber: true },
  { title: 's', isNumber: true },
  { title: 'verdict' },
  { title: 'tick', isNumber: true },
  { title: 'parts at' },
  { title: 'strokes' },
  { title: 'worst metric' },
];

/** Two lines of blocks on one scale, old above new. */
function trackLines({ signal, row, unit, old, new: fresh }: Track): string[] {
  const numbers = (curve: Curve | null): number[] => (curve?.most ?? []).map((value) => value ?? Number.NaN);
  const all = [...numbers(old), ...numbers(fresh)].filter(Number.isFinite);
  if (all.length === 0) return [];
  const [least, most] = [Math.min(...all), Math.max(...all)];
  const name = `${ofRow(row)}${signal}`;
  const range = `${brief(least)} … ${brief(most)} ${unit}`.trim();
  const line = (side: string, curve: Curve | null): string => `  ${side}  ${sparkBlocks(numbers(curve), least, most)}`;
  return [
    `    ${name}, ${range}`,
    ...(old === null ? [] : [`  ${line('old', old)}`]),
    ...(fresh === null ? [] : [`  ${line('new', fresh)}`]),
  ];
}

/** When a valve was open, a character a tick: old above new. */
function laneLines(lane: ValveLane, first: number, ticks: number): string[] {
  const bar = (openings: ValveLane['old']): string =>
    Array.from({ length: ticks }, (_, index) =>
      openings.some(([open, close]) => open <= first + index && first + index < close) ? '█' : '·',
    ).join('');
  const sides = [bar(lane.old), bar(lane.new)] as const;
  if (sides[0] === sides[1]) return [];
  return [`    row ${lane.row} ${lane.valve} open, ticks ${first} to ${first + ticks - 1}`, `    old  ${sides[0]}`, `    new  ${sides[1]}`];
}

/** Strokes that are listed one by one. */
const STROKES_TOLD = 3;

function strokeLines({ strokes, tickHz, sight, ticks }: RunReview): string[] {
  const [first] = strokes.changes;
  if (first === undefined) return [];
  const at = Math.min(first.old ?? Number.POSITIVE_INFINITY, first.new ?? Number.POSITIVE_INFINITY);
  const from = Math.max(0, Math.min(at - BEFORE_TICKS, ticks - AROUND_TICKS));
  const lanes = (sight?.lanes ?? []).filter(({ row }) => row === first.row);
  const told = strokes.changes.slice(0, STROKES_TOLD).map((one) => {
    return `    ${whenText(one.old ?? one.new ?? 0, tickHz)} row ${one.row} ${one.valve} ${one.order}: ${strokeText(one, tickHz)}`;
  });
  return [
    `  strokes ${strokes.old} → ${strokes.new}: ${strokesText(strokes, tickHz)}`,
    ...told,
    ...lanes.flatMap((lane) => laneLines(lane, from, Math.min(AROUND_TICKS, ticks))),
  ];
}

/** Metrics that a line holds, worst first. */
const METRICS_TOLD = 6;

function metricsLine(changed: readonly MetricChange[]): string {
  const rest = changed.length - METRICS_TOLD;
  return `  metrics: ${changed.slice(0, METRICS_TOLD).map(metricText).join(', ')}${rest > 0 ? `, and ${rest} that are better or less bad` : ''}`;
}

/** A run that differs, in short lines. */
export function runBlock(run: RunReview): string {
  const { name, title, rows, ticks, tickHz, verdict, first, firstOutput, metrics, notes, sight, stopped } = run;
  const changed = changedMetrics(metrics);
  const stops = (['old', 'new'] as const).flatMap((side) => {
    const stop = stopped[side];
    return stop === undefined ? [] : [`  ${side} stopped at ${whenText(stop.tick, tickHz)}: ${stop.message}`];
  });
  return [
    `${name}: ${PAINT[verdict](VERDICT_WORDS[verdict])}; ${counted(rows, 'row')}, ${(ticks / tickHz).toFixed(1)} s; ${title}`,
    ...(first === undefined ? [] : [`  parts at ${whenText(first.tick, tickHz)}: ${partingText(first)}`, `    ${lineText(first)}`]),
    ...(sight?.around.tracks.slice(0, 1) ?? []).flatMap(trackLines),
    ...(firstOutput === undefined ? [] : [`  first output at ${whenText(firstOutput.tick, tickHz)}: ${partingText(firstOutput)}`]),
    ...strokeLines(run),
    ...(changed.length === 0 ? [] : [metricsLine(changed)]),
    ...stops,
    ...refusalsOf(run).map((words) => `  ${words}`),
    ...notes.map((note) => `  note: ${note}`),
    '',
  ].join('\n');
}

/** Counts of the verdicts, worst first. */
export function countsText({ counts, runs }: Review): string {
  const order: readonly ReviewVerdict[] = ['stopped', 'refused', 'outputs', 'inner', 'same'];
  const said = order
    .filter((verdict) => counts[verdict] > 0)
    .map((verdict) => PAINT[verdict](`${counts[verdict]} ${VERDICT_WORDS[verdict]}`));
  return `${counted(runs.length, 'run')}: ${said.join(', ')}`;
}

/** Lines of a list that a terminal shows. */
const LISTED_MOST = 12;

function listLines(title: string, lines: readonly string[]): string[] {
  if (lines.length === 0) return [];
  const rest = lines.length - LISTED_MOST;
  return [`${title}:`, ...lines.slice(0, LISTED_MOST), ...(rest > 0 ? [`  and ${rest} more: --html or --json`] : []), ''];
}

function contractLines({ contract, parameters }: Review): string[] {
  const signs = { added: '+', removed: '−', changed: '~' } as const;
  const told = contract.map(
    ({ what, name, change, old, new: fresh }) => `  ${signs[change]} ${what} ${name}: ${[old, fresh].filter(Boolean).join(' → ')}`,
  );
  const values = parameters.map(({ name, unit, old, new: fresh, runs }) => {
    const where = runs.length === 0 ? '' : `  in ${runs.join(', ')}`;
    return `  ${name} ${old} → ${fresh} ${UNITS[unit].symbol}`.trimEnd() + where;
  });
  return [...listLines('contract', told), ...listLines('parameters', values)];
}

/** A review for a terminal or a pull request. @param details how many of the runs that differ are told in full, worst first */
export function reviewText(review: Review, details: number): string {
  const { old, new: fresh, runs } = review;
  const differing = runs.filter(({ verdict }) => verdict !== 'same');
  const rest = differing.length - Math.min(details, differing.length);
  return [
    `${sideName(old)} → ${sideName(fresh)}`,
    '',
    textTable(COLUMNS, runs.map(summaryRow)),
    ...contractLines(review),
    ...differing.slice(0, details).map(runBlock),
    ...(rest > 0 && details > 0 ? [`${counted(rest, 'more run')} differ: --details ${differing.length}\n`] : []),
    `${countsText(review)}\n`,
  ].join('\n');
}

/** A review after a save: what differs, the worst in full, and the counts last. */
export function watchText(review: Review): string {
  const [worst] = review.runs;
  const differing = review.runs.filter(({ verdict }) => verdict !== 'same');
  return [
    ...(differing.length === 0 ? [] : [textTable(COLUMNS, differing.map(summaryRow))]),
    ...(worst === undefined || worst.verdict === 'same' ? [] : [runBlock(worst)]),
    `${countsText(review)}; ${sideName(review.old)} → ${sideName(review.new)}\n`,
  ].join('\n');
}
