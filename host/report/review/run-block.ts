import { pulsesTexts, strokeChangeText, strokeChangeTick, strokesText } from '../../replay/strokes.js';
import {
  AROUND_TICKS,
  BEFORE_TICKS,
  type Curve,
  type MetricChange,
  type RunReview,
  type Track,
  type ValveLane,
} from '../../review/review.js';
import { brief, sparkBlocks } from '../form/text-plot.js';
import { counted } from '../form/text-table.js';
import { paintVerdict } from '../form/verdict.js';
import {
  acceptedText,
  atTick,
  changedMetrics,
  divergenceText,
  metricText,
  ranWithText,
  refusalsOf,
  rowPrefix,
  runName,
  stopsOf,
  suspectedLines,
  tickText,
} from './phrases.js';

/** A track as two lines of blocks on one scale, base above head. */
function trackLines({ signal, row, unit, base, head }: Track): string[] {
  const numbers = (curve: Curve | null): number[] => (curve?.max ?? []).map((value) => value ?? Number.NaN);
  const all = [...numbers(base), ...numbers(head)].filter(Number.isFinite);
  if (all.length === 0) return [];
  const [min, max] = [Math.min(...all), Math.max(...all)];
  const range = `${brief(min)} … ${brief(max)} ${unit}`.trim();
  const line = (side: string, curve: Curve | null): string[] =>
    curve === null ? [] : [`    ${side}  ${sparkBlocks(numbers(curve), min, max)}`];
  return [`    ${rowPrefix(row)}${signal}, ${range}`, ...line('base', base), ...line('head', head)];
}

/** When a valve was open, one character a tick, base above head. */
function laneLines({ row, valve, base, head }: ValveLane, first: number, ticks: number): string[] {
  const bar = (openings: ValveLane['base']): string =>
    Array.from({ length: ticks }, (_, index) =>
      openings.some(([open, close]) => open <= first + index && first + index < close) ? '█' : '·',
    ).join('');
  const sides = [bar(base), bar(head)] as const;
  if (sides[0] === sides[1]) return [];
  return [`    row ${row} ${valve} valve open, ticks ${first} to ${first + ticks - 1}`, `    base  ${sides[0]}`, `    head  ${sides[1]}`];
}

/** Number of strokes listed one by one. */
const STROKES_SHOWN = 3;

function strokeLines({ strokes, tickHz, views, ticks }: RunReview): string[] {
  const [first] = strokes.changes;
  if (first === undefined) return [];
  const from = Math.max(0, Math.min(strokeChangeTick(first) - BEFORE_TICKS, ticks - AROUND_TICKS));
  const lanes = (views?.lanes ?? []).filter(({ row }) => row === first.row);
  const changes = strokes.changes.slice(0, STROKES_SHOWN).map((one) => {
    const stroke = `row ${one.row} ${one.valve} ${one.order}`;
    return `    ${tickText(one.base ?? one.head ?? 0, tickHz)} ${stroke}: ${strokeChangeText(one, tickHz)}`;
  });
  return [
    `  strokes ${strokes.base} → ${strokes.head}: ${strokesText(strokes, tickHz)}, ${strokes.same} in the same tick`,
    ...pulsesTexts(strokes, tickHz).map((line) => `    ${line}`),
    ...changes,
    ...lanes.flatMap((lane) => laneLines(lane, from, Math.min(AROUND_TICKS, ticks))),
  ];
}

/** Number of metrics in the line, worst first. */
const METRICS_SHOWN = 6;

function metricsLine(changed: readonly MetricChange[]): string[] {
  if (changed.length === 0) return [];
  const more = changed.length - METRICS_SHOWN;
  return [`  metrics: ${changed.slice(0, METRICS_SHOWN).map(metricText).join(', ')}${more > 0 ? `, and ${more} more` : ''}`];
}

/** The details of a run that differs, for a terminal. */
export function runBlock(run: RunReview): string {
  const { title, rows, ticks, tickHz, verdict, first, firstOutput, metrics, notes, views } = run;
  const difference =
    first === undefined
      ? []
      : [
          `  first difference ${atTick(first.tick, tickHz)}: ${divergenceText(first)}`,
          ...suspectedLines(first).map((line) => `    ${line}`),
        ];
  return [
    `${runName(run)}: ${paintVerdict(verdict)}; ${counted(rows, 'row')}, ${(ticks / tickHz).toFixed(1)} s; ${title}`,
    `  ${ranWithText(run)}`,
    ...difference,
    ...(views?.around.tracks.slice(0, 1) ?? []).flatMap(trackLines),
    ...(firstOutput === undefined ? [] : [`  first output difference ${atTick(firstOutput.tick, tickHz)}: ${divergenceText(firstOutput)}`]),
    ...strokeLines(run),
    ...metricsLine(changedMetrics(metrics)),
    ...[...stopsOf(run), ...refusalsOf(run), acceptedText(run), ...notes.map((note) => `note: ${note}`)]
      .filter(Boolean)
      .map((line) => `  ${line}`),
    '',
  ].join('\n');
}
