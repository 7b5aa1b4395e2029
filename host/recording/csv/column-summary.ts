import { headerUnit, isMissing } from './columns.js';
import type { CsvFile, CsvRow } from './csv-file.js';

/** What the cells of a column hold. */
export interface ColumnSummary {
  readonly index: number;
  readonly name: string;
  /** Unit in the header, if there is one. */
  readonly unit?: string | undefined;
  /** Number of cells with a number, without a value, and with other text. */
  readonly numbers: number;
  readonly missing: number;
  readonly words: number;
  /** Of the numbers; not finite without one. */
  readonly min: number;
  readonly max: number;
  /** Median step from one line to the next, of the first lines. */
  readonly stepMedian: number;
  readonly isNumeric: boolean;
  /** Whether the numbers fall in a quarter of the lines at most. */
  readonly isRising: boolean;
  /** The first cells as they are. */
  readonly texts: readonly string[];
  /** Line of the first cell without a value. */
  readonly missingLine?: number | undefined;
}

const TEXTS_KEPT = 1000;

/** Summarises the cells of a column. */
export class ColumnReader {
  #numbers = 0;
  #missing = 0;
  #words = 0;
  #falls = 0;
  #min = Number.POSITIVE_INFINITY;
  #max = Number.NEGATIVE_INFINITY;
  #last = Number.NaN;
  #missingLine: number | undefined;
  readonly #steps: number[] = [];
  readonly #texts: string[] = [];

  constructor(
    private readonly csv: CsvFile,
    private readonly index: number,
  ) {}

  take(row: CsvRow): void {
    const text = row.cells[this.index] ?? '';
    if (this.#texts.length < TEXTS_KEPT) this.#texts.push(text.trim());
    const value = this.csv.parseNumber(text);
    if (value === undefined) {
      if (isMissing(text)) {
        this.#missing++;
        this.#missingLine ??= row.line;
      } else this.#words++;
      return;
    }
    this.#numbers++;
    this.#min = Math.min(this.#min, value);
    this.#max = Math.max(this.#max, value);
    if (value < this.#last) this.#falls++;
    if (!Number.isNaN(this.#last) && this.#steps.length < TEXTS_KEPT) this.#steps.push(value - this.#last);
    this.#last = value;
  }

  summary(): ColumnSummary {
    const steps = this.#steps.sort((a, b) => a - b);
    return {
      index: this.index,
      name: this.csv.header[this.index] ?? '',
      unit: headerUnit(this.csv, this.index),
      numbers: this.#numbers,
      missing: this.#missing,
      words: this.#words,
      min: this.#min,
      max: this.#max,
      stepMedian: steps[steps.length >> 1] ?? 0,
      isNumeric: this.#numbers > 0 && this.#words === 0,
      isRising: 4 * this.#falls <= this.#numbers,
      texts: this.#texts,
      missingLine: this.#missingLine,
    };
  }
}
