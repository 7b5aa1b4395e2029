import { InputError, showValue } from '../../common/input-error.js';
import { formatInstant, INSTANT_RULE, isInstant, parseInstant } from '../../common/instant.js';
import { parseNumber } from '../../common/parse-number.js';
import type { CellProblem, CsvFile, CsvRow } from './csv-file.js';
import type { CsvMapping } from './csv-mapping.js';

/** An interval between two samples that is longer than `gapMs`. */
export interface Gap {
  readonly ms: number;
  /** Line of the sample after it in the CSV file. */
  readonly line: number;
  /** Time of the sample before it, s from the first one. */
  readonly fromS: number;
}

/** Longest recording that is made from a CSV file: a longer one means that the unit of the time is wrong. */
const DURATION_MAX_S = 86400;
/** A gap is longer than this number of sample periods, unless the mapping gives `gapMs`. */
const GAP_PERIODS = 5;
/** A sample up to this many ticks after a tick belongs to it: times are decimal fractions and don't match ticks exactly. */
const TICK_TOLERANCE = 1e-3;

/** Limit of a time since 1970, s, that is converted to a date: some thousand years. */
const LONGEST_S = 1e11;

/** Returns the number in a cell. @throws InputError if it is not one */
export function readNumber(csv: CsvFile, row: CsvRow, column: number): number {
  const cell = row.cells[column] ?? '';
  const value = parseNumber(cell);
  if (value !== undefined) return value;
  const problem = cell.trim() === '' ? `${csv.header[column]} is empty` : `${csv.header[column]} is ${showValue(cell)}`;
  throw csv.errorAt(row.line, column, { problem, value: cell, allowed: 'a finite number (decimal point, not comma)' });
}

/** Finds the time of each sample, s. */
export class TimeColumn {
  #firstNs = 0n;
  #samples = 0;

  constructor(
    private readonly csv: CsvFile,
    private readonly map: CsvMapping,
    private readonly column: number,
  ) {}

  /** Returns the time in a row: that of the column, or with dates since the first one. */
  read(row: CsvRow): number {
    const { time, rateHz = 1 } = this.map;
    const sample = this.#samples++;
    if (time === undefined) return sample / rateHz;
    if (time.toSeconds !== undefined) return readNumber(this.csv, row, this.column) * time.toSeconds.gain + time.toSeconds.bias;
    const cell = row.cells[this.column] ?? '';
    const ns = parseInstant(cell);
    if (ns === undefined)
      throw this.csv.errorAt(row.line, this.column, {
        problem: `${this.csv.header[this.column]} is ${showValue(cell)}`,
        value: cell,
        allowed: INSTANT_RULE,
      });
    if (sample === 0) this.#firstNs = ns;
    return Number(ns - this.#firstNs) / 1e9;
  }

  /** Date and time of a sample, ns since 1970, if the log has it. @throws InputError if a recording can't have it */
  dateNs(row: CsvRow, timeS: number): bigint | undefined {
    const zeroNs = this.#hasDates ? this.#firstNs : this.map.sinceNs;
    if (zeroNs === undefined) return undefined;
    // To the microsecond: a double has no more digits for a time since 1970.
    const micros = Math.round(Math.min(LONGEST_S, Math.max(-LONGEST_S, timeS)) * 1e6);
    const ns = zeroNs + BigInt(micros) * 1000n;
    if (isInstant(ns)) return ns;
    throw this.error(row, { problem: `this is ${timeS} s after \`since\``, allowed: INSTANT_RULE });
  }

  /** A time as text: of dates the date itself. */
  show(timeS: number): string {
    return this.#hasDates ? formatInstant(this.#firstNs + BigInt(Math.round(timeS * 1e9))) : `${timeS} s`;
  }

  get #hasDates(): boolean {
    return this.map.time !== undefined && this.map.time.toSeconds === undefined;
  }

  error(row: CsvRow, details: CellProblem): InputError {
    if (this.map.time === undefined) return new InputError({ file: this.csv.file, line: row.line, column: 1, ...details });
    return this.csv.errorAt(row.line, this.column, { ...details, value: row.cells[this.column] });
  }
}

/** Finds the tick of each sample, and the gaps between samples. */
export class SampleClock {
  startNs: bigint | undefined;
  firstS = 0;
  lastS = 0;
  samples = 0;
  gaps = 0;
  longestGap: Gap | undefined;
  readonly #map: CsvMapping;
  readonly #times: TimeColumn;
  #regularSum = 0;
  #regularCount = 0;

  constructor(map: CsvMapping, times: TimeColumn) {
    this.#map = map;
    this.#times = times;
  }

  /** Returns the first tick that is not before the sample. @throws InputError if it is at the time of the last one, before it, or too late */
  tickOf(row: CsvRow): number {
    const time = this.#times.read(row);
    if (this.samples === 0) {
      this.firstS = time;
      this.startNs = this.#times.dateNs(row, time);
    } else this.#step(row, time);
    this.lastS = time;
    this.samples++;
    const elapsed = time - this.firstS;
    if (elapsed > DURATION_MAX_S)
      throw this.#times.error(row, { problem: `this is ${elapsed} s after the first sample`, allowed: `at most ${DURATION_MAX_S} s` });
    return Math.max(0, Math.ceil(elapsed * this.#map.tickHz - TICK_TOLERANCE));
  }

  /** The sample period is the mean of the intervals so far that were not gaps. */
  #step(row: CsvRow, time: number): void {
    const interval = time - this.lastS;
    if (interval <= 0) {
      const problem = interval < 0 ? `time runs backwards to ${this.#times.show(time)}` : `the time is ${this.#times.show(time)} again`;
      const hint = 'Give `rate` in the mapping file, in place of `time`, if the log rounds its times';
      throw this.#times.error(row, { problem, allowed: `later than ${this.#times.show(this.lastS)}`, ...(interval < 0 ? {} : { hint }) });
    }
    const mean = this.#regularCount === 0 ? Number.POSITIVE_INFINITY : this.#regularSum / this.#regularCount;
    const { gapMs } = this.#map;
    const limit = gapMs === undefined ? GAP_PERIODS * mean : gapMs / 1000;
    if (interval <= limit) {
      this.#regularSum += interval;
      this.#regularCount++;
      return;
    }
    this.gaps++;
    const gap = { ms: Number((interval * 1000).toFixed(6)), line: row.line, fromS: this.lastS - this.firstS };
    if (gap.ms > (this.longestGap?.ms ?? 0)) this.longestGap = gap;
  }
}
