import { INSTANT_RULE, parseInstant } from '../../common/instant.js';
import { type Conversion, convertibleSymbols, findConversion } from '../../common/unit-conversion.js';
import { readYaml, type YamlFile } from '../../common/yaml-file.js';
import type { Contract, ParameterValues } from '../../contract/contract.js';
import { checkRules, parameterValue, valuesOf } from '../../contract/parameter-values.js';
import type { TableLayout } from './csv-file.js';
import { type MapFile, mappingSchema } from './mapping-schema.js';
import { compileTimeFormat, PATTERN_RULE, parseOffset, type TimeFormat } from './time-format.js';

/** How the times of a log are read. */
export interface ClockSettings {
  /** The columns of the time, of numbers or of dates and clock times; undefined if the log has a fixed rate. */
  readonly time?: { readonly columns: readonly string[] } & (
    | { readonly toSeconds: Conversion }
    | { readonly format: TimeFormat; readonly rule: string }
  );
  readonly rateHz?: number;
  /** Instant of time 0, ns since 1970, if it is known. */
  readonly sinceNs?: bigint;
  readonly gapMs?: number;
  readonly repeated: 'refuse' | 'spread' | 'drop';
  readonly backwards: 'refuse' | 'continue' | 'drop';
  readonly gaps: 'keep' | 'close';
}

/** A mapping file. Its signals and orders are bound once the header of the log is known. */
export interface LogMapping {
  readonly yaml: YamlFile<MapFile>;
  readonly rows: number;
  readonly tickHz: number;
  readonly table: TableLayout;
  readonly clock: ClockSettings;
  readonly about: Readonly<Record<string, string>>;
  /** All parameters that convert physical units. */
  readonly values: ParameterValues;
}

/** @throws InputError unless exactly one of `time` and `rate` is given */
function checkClock(yaml: YamlFile<MapFile>): void {
  const { time, rate } = yaml.value;
  if ((time === undefined) !== (rate === undefined)) return;
  if (time === undefined) throw yaml.errorAt([], { problem: 'time and rate are both missing; the mapping file must have one of them' });
  throw yaml.errorAt(['rate'], { problem: 'time and rate are both given; the mapping file must have only one of them' });
}

/** @throws InputError unless exactly one of `column` and `columns` is given, and two columns have a pattern */
function timeColumns(yaml: YamlFile<MapFile>): readonly string[] {
  const { column, columns, format } = yaml.value.time ?? {};
  if ((column === undefined) === (columns === undefined))
    throw yaml.errorAt(['time'], { problem: 'time must have either `column` or `columns`' });
  if (columns === undefined) return [column ?? ''];
  if (format === undefined) throw yaml.errorAt(['time', 'columns'], { problem: 'two columns of the time need a `format`' });
  return columns;
}

/** ISO 8601; a zone applies to dates without an offset. */
export const isoFormat = (zone: string): TimeFormat => ({
  hasDate: true,
  parse: (text) => (/(Z|[+-]\d\d:?\d\d)$/.test(text) ? parseInstant(text) : (parseInstant(text.trim() + zone) ?? parseInstant(text))),
});

/** @throws InputError if the format is none, or has something with it that it excludes */
function readFormat(yaml: YamlFile<MapFile>, pattern: string): { format: TimeFormat; rule: string } {
  const { time = {} } = yaml.value;
  const { zone = 'Z' } = time;
  const offset = parseOffset(zone);
  if (offset === undefined) throw yaml.errorAt(['time', 'zone'], { allowed: 'an offset from UTC such as "+02:00"' });
  const isIso = pattern === 'date';
  const format = isIso ? isoFormat(zone) : compileTimeFormat(pattern, offset);
  if (format === undefined) throw yaml.errorAt(['time', 'format'], { allowed: PATTERN_RULE });
  const refuse = (key: 'unit' | 'since' | 'zone', problem: string): void => {
    if (time[key] !== undefined) throw yaml.errorAt(['time', key], { problem });
  };
  refuse('unit', format.hasDate ? 'a column of dates has no unit' : 'a column of clock times has no unit');
  if (format.hasDate) refuse('since', 'a column of dates has no since');
  else refuse('zone', 'a column of clock times has no zone; `since` gives the date, with an offset');
  return { format, rule: isIso ? INSTANT_RULE : `a time in the form ${pattern}` };
}

/** @throws InputError if the time or the rate contradicts itself */
function readClock(yaml: YamlFile<MapFile>): ClockSettings {
  checkClock(yaml);
  const { time, rate, gapMs } = yaml.value;
  const since = time?.since ?? rate?.since;
  const sinceNs = since === undefined ? undefined : parseInstant(since);
  if (since !== undefined && sinceNs === undefined)
    throw yaml.errorAt([time === undefined ? 'rate' : 'time', 'since'], { allowed: INSTANT_RULE });
  const { repeated = 'refuse', backwards = 'refuse', gaps = 'keep' } = time ?? {};
  const settings = {
    ...(gapMs === undefined ? {} : { gapMs }),
    ...(sinceNs === undefined ? {} : { sinceNs }),
    repeated,
    backwards,
    gaps,
  };
  if (time === undefined) return { ...settings, rateHz: rate?.hz ?? 1 };
  const columns = timeColumns(yaml);
  const { unit = 's', format } = time;
  if (format !== undefined) return { ...settings, time: { columns, ...readFormat(yaml, format) } };
  if (time.zone !== undefined) throw yaml.errorAt(['time', 'zone'], { problem: 'a column of numbers has no zone' });
  const toSeconds = findConversion(unit, 'second');
  if (toSeconds === undefined) throw yaml.errorAt(['time', 'unit'], { allowed: convertibleSymbols('second') });
  return { ...settings, time: { columns, toSeconds } };
}

/** Reads a mapping file. @throws InputError with line and column */
export function readCsvMapping(file: string, contract: Contract): LogMapping {
  const yaml = readYaml<MapFile>(file, mappingSchema(contract));
  const { rows, tickHz = parameterValue('tickHz', contract, {}), table = {}, parameters = {}, about = {} } = yaml.value;
  const values = valuesOf(parameters, contract);
  checkRules(values, contract, yaml, (name) => ['parameters', name]);
  return { yaml, rows, tickHz, table, clock: readClock(yaml), about, values };
}
