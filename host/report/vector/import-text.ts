import type { ImportReport } from '../../recording/csv/csv-import.js';
import { brief } from '../form/text-plot.js';
import { counted, grouped } from '../form/text-table.js';

/** Formats the report of an import. */
export function importText(report: ImportReport, file: string): string {
  const { longestGap, clamped, defaults } = report;
  return [
    `${file}: ${counted(report.rows, 'row')}, ${counted(report.samples, 'sample')} from ${brief(report.firstTimeS)} s to ${brief(report.lastTimeS)} s → ${counted(report.ticks, 'tick')} at ${grouped(report.tickHz)} Hz`,
    ...(report.startTime === undefined ? [] : [`the first sample is from ${report.startTime}`]),
    longestGap === undefined
      ? 'no gaps'
      : `${counted(report.gaps, 'gap')}, the longest ${brief(longestGap.ms)} ms, after ${brief(longestGap.fromS)} s (line ${longestGap.line})`,
    ...clamped.map(({ signal, samples }) => `${signal}: ${counted(samples, 'sample')} clamped to the range of the signal`),
    ...(defaults.length === 0
      ? []
      : ['set to defaults, because the mapping omits them:', ...defaults.map(({ signal, value }) => `  ${signal} ${value}`)]),
    '',
  ].join('\n');
}
