import { InputError, showValue } from '../../common/input-error.js';
import { INSTANT_RULE, isInstant } from '../../common/instant.js';
import type { CellProblem, CsvFile, CsvRow } from './csv-file.js';
import type { ClockSettings } from './csv-mapping.js';
import { type IntervalStatistics, Intervals } from './intervals.js';

/** A line of a log: its time, and a value of each mapped column. */
export interface Sample {
  /** From the first sample, s. */
  timeS: number;
  readonly line: number;
  /** The time as the log has it. */
  readonly timeText: string;
  /** If the interval before it is a gap: the longest interval that would not be one, s. */
  gapS?: number;
  /** NaN where a value is missing, infinite where it is to be invalid. */
  readonly values: Float64Array;
}

/** An interval between two samples that is longer than `gapMs`. */
export interface Gap {
  readonly ms: number;
  /** Line of the sample after it in the CSV file. */
  readonly line: number;
  /** Time of the sample before it, s from the first one. */
  readonly fromS: number;
  /** Times of the samples before and after it, as the log has them. */
  readonly fromTime: string;
  readonly toTime: string;
}

/** What the clock of a log did, and what was done about it. */
export interface ClockReport {
  readonly samples: number;
  readonly gaps: number;
  readonly longestGap?: Gap;
  /** Without gaps. */
  readonly intervals?: IntervalStatistics;
  /** Samples at the time of the one before, spread or dropped. */
  readonly repeatedTimes: number;
  /** Steps back of the clock, and the samples that were dropped for it. */
  readonly stepsBack: number;
  readonly droppedSamples: number;
}

/** Longest recording that is made from a CSV file: a longer one means that the unit of the time is wrong. */
const DURATION_MAX_S = 86400;
/** A gap is longer than this number of sample periods, unless the mapping gives `gapMs`. */
const GAP_PERIODS = 5;
/** Limit of a time since 1970, s, that is converted to a date: some thousand years. */
const LONGEST_S = 1e11;
/** A clock without a date steps back by more than this at midnight, s. */
const HALF_DAY_S = 43_200;
/** Period before two samples show it, s. */
const UNKNOWN_PERIOD_S = 1e-3;
/** Samples with the same time that are spread: more mean that the clock has stopped. */
const SAME_TIME_MAX = 10_000;

/** Returns the number in a cell. @throws InputError if it is not one */
export function readNumber(csv: CsvFile, row: CsvRow, column: number): number {
  const value = csv.parseNumber(row.cells[column] ?? '');
  if (value !== undefined) return value;
  throw csv.errorAt(row.line, column, csv.numberProblem(row, column));
}

/** Reads the time of each sample, s: from the log's zero, or with dates and clock times from the first sample. */
export class TimeColumn {
  #firstNs = 0n;
  #samples = 0;
  #days = 0;
  #lastS = 0;

  /** @param columns of the time; two are joined by a space */
  constructor(
    private readonly csv: CsvFile,
    private readonly clock: ClockSettings,
    private readonly columns: readonly number[],
  ) {}

  read(row: CsvRow): number {
    const { time, rateHz = 1 } = this.clock;
    const sample = this.#samples++;
    if (time === undefined) return sample / rateHz;
    if ('toSeconds' in time) return readNumber(this.csv, row, this.#column) * time.toSeconds.gain + time.toSeconds.bias;
    const { format } = time;
    const text = this.textOf(row);
    const ns = format.parse(text);
    if (ns === undefined || (format.hasDate && !isInstant(ns)))
      throw this.error(row, { problem: `${this.csv.header[this.#column]} is ${showValue(text)}`, value: text, allowed: time.rule });
    if (sample === 0) this.#firstNs = ns;
    const seconds = Number(ns - this.#firstNs) / 1e9;
    return format.hasDate ? seconds : this.#afterMidnight(seconds);
  }

  /** Date and time of the first sample, ns since 1970, if the log has it. @throws InputError if a recording can't have it */
  startNs(row: CsvRow, timeS: number): bigint | undefined {
    const { sinceNs } = this.clock;
    if (this.#hasDates) return this.#firstNs;
    if (sinceNs === undefined) return undefined;
    // To the microsecond: a double has no more digits for a time since 1970.
    const micros = Math.round(Math.min(LONGEST_S, Math.max(-LONGEST_S, timeS)) * 1e6);
    const ns = sinceNs + this.#firstNs + BigInt(micros) * 1000n;
    if (isInstant(ns)) return ns;
    throw this.error(row, { problem: `this is ${timeS} s after \`since\``, allowed: INSTANT_RULE });
  }

  /** The time of a row as the log has it; empty if the mapping gives a rate. */
  textOf(row: CsvRow): string {
    return this.columns.map((column) => (row.cells[column] ?? '').trim()).join(' ');
  }

  error(row: CsvRow, details: CellProblem): InputError {
    if (this.columns.length === 0) return new InputError({ file: this.csv.file, line: row.line, column: 1, ...details });
    return this.csv.errorAt(row.line, this.#column, { value: row.cells[this.#column], ...details });
  }

  get #column(): number {
    return this.columns[0] ?? 0;
  }

  get #hasDates(): boolean {
    const { time } = this.clock;
    return time !== undefined && 'format' in time && time.format.hasDate;
  }

  #afterMidnight(seconds: number): number {
    if (seconds + this.#days * 86_400 < this.#lastS - HALF_DAY_S) this.#days++;
    this.#lastS = seconds + this.#days * 86_400;
    return this.#lastS;
  }
}

/** Gives each sample its time, repairs a clock as the mapping says, and finds gaps and jitter. */
export class SampleClock {
  startNs: bigint | undefined;
  /** Times of the first and the last sample in the log's own form. */
  firstText = '';
  lastText = '';
  firstS = 0;
  lastS = 0;
  #samples = 0;
  #gaps = 0;
  #longestGap: Gap | undefined;
  #repeatedTimes = 0;
  #stepsBack = 0;
  #droppedSamples = 0;
  #isBehind = false;
  /** Added to the log's times, s. */
  #shiftS = 0;
  #regularSum = 0;
  #regularCount = 0;
  #lastSample: Sample | undefined;
  readonly #intervals = new Intervals();

  constructor(
    private readonly settings: ClockSettings,
    private readonly times: TimeColumn,
  ) {}

  /** The sample period, s: the mean of the intervals so far that were not gaps. */
  get periodS(): number {
    return this.#regularCount === 0 ? Number.POSITIVE_INFINITY : this.#regularSum / this.#regularCount;
  }

  /** A longer interval is a gap, s. */
  get gapS(): number {
    const { gapMs } = this.settings;
    return gapMs === undefined ? GAP_PERIODS * this.periodS : gapMs / 1000;
  }

  report(): ClockReport {
    const intervals = this.#intervals.statistics();
    return {
      samples: this.#samples,
      gaps: this.#gaps,
      ...(this.#longestGap === undefined ? {} : { longestGap: this.#longestGap }),
      ...(intervals === undefined ? {} : { intervals }),
      repeatedTimes: this.#repeatedTimes,
      stepsBack: this.#stepsBack,
      droppedSamples: this.#droppedSamples,
    };
  }

  /**
   * Yields the samples of a log with times that increase.
   * @param read makes the values of a row
   * @throws InputError at a time that the settings do not allow
   */
  *samples(rows: Iterable<CsvRow>, read: (row: CsvRow) => Float64Array): Generator<Sample, void, undefined> {
    /** Samples of one time, before it is known over which interval they are spread. */
    let group: Sample[] = [];
    for (const row of rows) {
      const timeS = this.#timeOf(row, group);
      if (timeS === undefined) continue;
      const sample: Sample = { timeS, line: row.line, timeText: this.times.textOf(row), values: read(row) };
      this.lastText = sample.timeText;
      if (group[0] !== undefined && timeS > group[0].timeS) {
        yield* this.#spread(group, timeS);
        group = [];
      }
      group.push(sample);
    }
    yield* this.#spread(group, undefined);
  }

  /** Time of a row from the first one, s; undefined if it is dropped. */
  #timeOf(row: CsvRow, group: readonly Sample[]): number | undefined {
    const logS = this.times.read(row);
    const last = group[0];
    if (last === undefined) {
      this.firstS = logS;
      this.lastS = logS;
      this.startNs = this.times.startNs(row, logS);
      this.firstText = this.times.textOf(row);
      return 0;
    }
    let timeS = logS - this.firstS + this.#shiftS;
    if (timeS < last.timeS) {
      const stepped = this.#stepBack(row, timeS, last);
      if (stepped === undefined) return undefined;
      timeS = stepped;
    } else this.#isBehind = false;
    if (timeS === last.timeS && !this.#takesRepeated(row, group.length)) return undefined;
    timeS = this.#closeGap(timeS, last.timeS);
    this.lastS = logS;
    if (timeS > DURATION_MAX_S)
      throw this.times.error(row, { problem: `this is ${timeS} s after the first sample`, allowed: `at most ${DURATION_MAX_S} s` });
    return timeS;
  }

  /** What becomes of a sample before the last one: its new time, or undefined if it is dropped. */
  #stepBack(row: CsvRow, timeS: number, last: Sample): number | undefined {
    const policy = this.settings.backwards;
    if (policy === 'refuse')
      throw this.times.error(row, {
        problem: `time runs backwards to ${this.times.textOf(row)}`,
        allowed: `later than ${last.timeText}`,
        hint: 'Give `backwards: continue` or `backwards: drop` under `time` in the mapping file',
      });
    if (!this.#isBehind) this.#stepsBack++;
    if (policy === 'drop') {
      this.#isBehind = true;
      this.#droppedSamples++;
      return undefined;
    }
    const nextS = last.timeS + this.#periodOr(UNKNOWN_PERIOD_S);
    this.#shiftS += nextS - timeS;
    return nextS;
  }

  #periodOr(otherwiseS: number): number {
    return Number.isFinite(this.periodS) ? this.periodS : otherwiseS;
  }

  /** Whether a sample at the time of the last one is kept. */
  #takesRepeated(row: CsvRow, count: number): boolean {
    const policy = this.settings.repeated;
    const text = this.times.textOf(row);
    const refuse = (problem: string, hint: string): InputError => this.times.error(row, { problem, allowed: `later than ${text}`, hint });
    if (policy === 'refuse')
      throw refuse(`the time is ${text} again`, 'Give `repeated: spread` or `repeated: drop` under `time` in the mapping file');
    this.#repeatedTimes++;
    if (policy === 'drop') {
      this.#droppedSamples++;
      return false;
    }
    if (count >= SAME_TIME_MAX)
      throw refuse(`more than ${SAME_TIME_MAX} samples have this time`, 'Give `rate` in the mapping file, in place of `time`');
    return true;
  }

  /** With `gaps: close`, a step forth of the clock takes one period. */
  #closeGap(timeS: number, lastS: number): number {
    if (this.settings.gaps !== 'close' || timeS - lastS <= this.gapS) return timeS;
    const nextS = lastS + this.#periodOr(UNKNOWN_PERIOD_S);
    this.#shiftS += nextS - timeS;
    return nextS;
  }

  /** Yields samples of one time, spread evenly up to the next time; at the end, or before a gap, by the period so far. */
  *#spread(group: readonly Sample[], nextS: number | undefined): Generator<Sample, void, undefined> {
    const [first] = group;
    if (first === undefined) return;
    const evenS = nextS === undefined ? Number.POSITIVE_INFINITY : (nextS - first.timeS) / group.length;
    const stepS = group.length === 1 ? 0 : Math.min(evenS, this.#periodOr(evenS === Number.POSITIVE_INFINITY ? 0 : evenS));
    for (const [index, sample] of group.entries()) {
      sample.timeS = first.timeS + index * stepS;
      this.#note(sample);
      yield sample;
    }
  }

  #note(sample: Sample): void {
    const last = this.#lastSample;
    this.#lastSample = sample;
    this.#samples++;
    if (last === undefined) return;
    const intervalS = sample.timeS - last.timeS;
    if (intervalS <= this.gapS) {
      this.#regularSum += intervalS;
      this.#regularCount++;
      this.#intervals.add(intervalS);
      return;
    }
    this.#gaps++;
    sample.gapS = this.gapS;
    const ms = Number((intervalS * 1000).toFixed(6));
    if (ms <= (this.#longestGap?.ms ?? 0)) return;
    this.#longestGap = { ms, line: sample.line, fromS: last.timeS, fromTime: last.timeText, toTime: sample.timeText };
  }
}
