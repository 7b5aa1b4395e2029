import type { ClockReport } from '../../recording/csv/csv-clock.js';
import type { ImportReport } from '../../recording/csv/csv-import.js';
import type { ValveReport } from '../../recording/csv/order-track.js';
import { brief } from '../form/text-plot.js';
import { counted, grouped } from '../form/text-table.js';

/** Time of a sample as the log has it. */
const at = (text: string): string => (text === '' ? '' : ` at ${text}`);

/** Intervals between samples, gaps, and what was done to the clock. */
export function clockLines({ intervals, gaps, longestGap, repeatedTimes, stepsBack, droppedSamples }: ClockReport): string[] {
  const ms = (seconds: number): string => brief(seconds * 1000);
  return [
    ...(intervals === undefined
      ? []
      : [
          `interval between samples: median ${ms(intervals.medianS)} ms, 99 % up to ${ms(intervals.p99S)} ms, max ${ms(intervals.maxS)} ms`,
        ]),
    longestGap === undefined
      ? 'no gaps'
      : `${counted(gaps, 'gap')}, the longest ${brief(longestGap.ms)} ms, after ${brief(longestGap.fromS)} s (line ${longestGap.line}${longestGap.toTime === '' ? '' : `, ${longestGap.fromTime} to ${longestGap.toTime}`})`,
    ...(repeatedTimes === 0 ? [] : [`${counted(repeatedTimes, 'sample')} had the time of the one before`]),
    ...(stepsBack === 0 ? [] : [`the clock stepped back ${counted(stepsBack, 'time')}`]),
    ...(droppedSamples === 0 ? [] : [`${counted(droppedSamples, 'sample')} dropped`]),
  ];
}

/** Strokes that the log shows; what is odd about them valve by valve. */
function orderLines(orders: readonly ValveReport[] | undefined): string[] {
  if (orders === undefined) return [];
  const sum = (of: (one: ValveReport) => number): number => orders.reduce((total, one) => total + of(one), 0);
  const total = `orders of the log's controller: ${counted(
    sum(({ opens }) => opens),
    'opening stroke',
  )}, ${counted(
    sum(({ closes }) => closes),
    'closing stroke',
  )}`;
  const odd = orders.flatMap(({ valve, row, columns, opens, closes, ignored, overlaps, cut, lost, peakA }) => {
    const words = [
      opens + closes > 0 ? '' : `no stroke${peakA === undefined ? '' : `; the highest current is ${brief(peakA)} A`}`,
      ignored === 0 ? '' : `${counted(ignored, 'short stroke')} ignored`,
      overlaps === 0 ? '' : `open and close at once in ${counted(overlaps, 'sample')}`,
      cut === 0 ? '' : `${counted(cut, 'stroke')} cut short by the next one`,
      lost === 0 ? '' : `${counted(lost, 'stroke')} lost: the next one started in the same tick`,
    ].filter(Boolean);
    return words.length === 0 ? [] : [`  row ${row} ${valve} valve (${columns.join(', ')}): ${words.join('; ')}`];
  });
  return [total, ...odd];
}

/** Formats the report of an import. */
export function importText(report: ImportReport, file: string): string {
  const { clamped, missing, cautions, headerUnits, defaults } = report;
  return [
    `${file}: ${counted(report.rows, 'row')}, ${counted(report.samples, 'sample')} from ${brief(report.firstTimeS)} s to ${brief(report.lastTimeS)} s → ${counted(report.ticks, 'tick')} at ${grouped(report.tickHz)} Hz`,
    ...(report.startTime === undefined ? [] : [`the first sample is from ${report.startTime}`]),
    ...clockLines(report),
    ...orderLines(report.orders),
    ...headerUnits.map(({ signal, unit }) => `${signal}: in ${unit}, as the header says`),
    ...missing.map(
      ({ signal, column, samples, invalid }) =>
        `${signal}: ${counted(samples, 'sample')} without a value of ${column}, ${invalid === 0 ? 'filled' : invalid === samples ? 'set to invalid' : `${grouped(invalid)} of them set to invalid`}`,
    ),
    ...clamped.map(
      ({ signal, samples, line, time }) =>
        `${signal}: ${counted(samples, 'sample')} clamped to the range of the signal, the first in line ${line}${at(time)}`,
    ),
    ...cautions.map((caution) => `caution: ${caution}`),
    ...(defaults.length === 0
      ? []
      : ['set to defaults, because the mapping omits them:', ...defaults.map(({ signal, value }) => `  ${signal} ${value}`)]),
    '',
  ].join('\n');
}
