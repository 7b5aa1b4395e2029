import Papa from 'papaparse';
import { InputError, type InputErrorDetails, showValue } from '../../common/input-error.js';
import { parseNumber } from '../../common/parse-number.js';
import { InputFile } from '../../common/read-file.js';
import { checkMerged, encodingError } from '../../common/text-file.js';

/** How a table is written. What is not given is the default, or found out from the header. */
export interface TableLayout {
  readonly delimiter?: string;
  readonly decimal?: '.' | ',';
  /** Without it UTF-8, or UTF-16 if the file starts with the byte order mark of that. */
  readonly encoding?: Encoding;
  /** Lines above the header. */
  readonly skipLines?: number;
  /** What lines of comments start with. */
  readonly comment?: string;
  /** The row below the header holds units. */
  readonly unitsRow?: boolean;
  /** `number`: a second column named x is called `x (2)`; otherwise it is refused. */
  readonly repeatedNames?: 'refuse' | 'number';
}

export const ENCODINGS = ['utf-8', 'utf-16le', 'utf-16be', 'windows-1252'] as const;
export type Encoding = (typeof ENCODINGS)[number];
export const DELIMITERS = [',', ';', '\t', '|'];

/** One row of cells. The object is reused for the next one. */
export interface CsvRow {
  /** Line in the file at which it starts, from 1. */
  line: number;
  cells: readonly string[];
}

const BLOCK_BYTES = 1 << 18;
/** Longest row, characters: the text between two line ends, or after a quote that is never closed. */
const ROW_LENGTH_MAX = 1 << 20;

const QUOTE_PROBLEM = 'a quote is missing or misplaced; quotes enclose a cell and are doubled inside it';
const WINDOWS_HINT = 'Save it as UTF-8, or give `table: { encoding: windows-1252 }` in the mapping file';

/** What is wrong with a cell. */
export type CellProblem = Pick<InputErrorDetails, 'problem' | 'value' | 'allowed' | 'hint'>;

interface Parsed {
  readonly data: string[][];
  /** About quotes; no other errors occur at this level. */
  readonly errors: readonly { readonly row: number }[];
  readonly meta: { readonly cursor: number };
}

const newlinesIn = (cells: readonly string[]): number => cells.reduce((sum, cell) => sum + cell.split('\n').length - 1, 0);
const isBlank = (cells: readonly string[]): boolean => cells.length === 1 && (cells[0] === '' || cells[0] === '\r');

const cellCount = (cells: readonly string[]): string => (cells.length === 1 ? '1 cell' : `${cells.length} cells`);

/** The encoding that a byte order mark says; UTF-8 without one. */
export function markedEncoding([first, second]: Uint8Array): Encoding {
  if (first === 0xff && second === 0xfe) return 'utf-16le';
  return first === 0xfe && second === 0xff ? 'utf-16be' : 'utf-8';
}

/**
 * A CSV file (RFC 4180; also with semicolons, tabs or bars, detected from the header) read block by block. The parser is
 * used below the level of its streams, because those need callbacks and report no line.
 */
export class CsvFile {
  readonly file: string;
  readonly header: readonly string[];
  /** Cells of the row of units; empty texts if there is none. */
  readonly units: readonly string[];
  readonly delimiter: string;
  readonly encoding: Encoding;
  readonly headerLine: number;
  readonly #layout: TableLayout;
  /** Whether there is a mapping file, whose options hints may name. */
  readonly #isMapped: boolean;
  readonly #open: InputFile;
  #read = 0;
  readonly #block = new Uint8Array(BLOCK_BYTES);
  readonly #decoder: TextDecoder;
  readonly #parser: Papa.Parser;
  /** Text that has been read but not yet yielded, and the line it starts in. */
  #text = '';
  #textLine = 1;
  #atEnd = false;

  /** @throws InputError if there is no such file, its header is empty, or two columns have the same name */
  constructor(file: string, layout?: TableLayout) {
    this.file = file;
    this.#layout = layout ?? {};
    this.#isMapped = layout !== undefined;
    this.#open = new InputFile(file, 'csv');
    try {
      const mark = new Uint8Array(2);
      this.#open.readAt(0, mark);
      this.encoding = this.#layout.encoding ?? markedEncoding(mark);
      this.#decoder = new TextDecoder(this.encoding, { fatal: true });
      for (let skipped = 0; skipped < (this.#layout.skipLines ?? 0); skipped++) this.#dropLine();
      while (this.#isComment(this.#firstLine())) this.#dropLine();
      const first = this.#firstLine();
      this.headerLine = this.#textLine;
      if (first.trim() === '') throw this.#error(this.headerLine, 1, `${this.#lineName()} is empty; it must hold the names of the columns`);
      this.delimiter = this.#layout.delimiter ?? Papa.parse(first, { delimitersToGuess: DELIMITERS }).meta.delimiter;
      this.#parser = new Papa.Parser({ delimiter: this.delimiter, newline: '\n' });
      this.header = this.#uniqueNames(this.#parseLine(first));
      this.#dropLine();
      this.units = this.#layout.unitsRow === true ? this.#parseLine(this.#firstLine()) : this.header.map(() => '');
      if (this.#layout.unitsRow === true) this.#dropUnits();
    } catch (error) {
      this.close();
      throw error;
    }
  }

  /** Share of the file that has been read, 0 to 1. */
  get share(): number {
    return this.#open.size === 0 ? 1 : this.#read / this.#open.size;
  }

  /** Bytes of the file. */
  get size(): number {
    return this.#open.size;
  }

  close(): void {
    this.#open.close();
  }

  /**
   * Yields the rows below the header, without blank lines and comments.
   * @throws InputError at a row with more or fewer cells than the header, a misplaced quote, or a byte that is not of the encoding
   */
  *rows(): Generator<CsvRow, void, undefined> {
    const row: { line: number; cells: string[] } = { line: 1, cells: [] };
    for (let parsed = this.#nextRows(); parsed !== undefined; parsed = this.#nextRows()) {
      let line = this.#textLine;
      for (const [index, cells] of parsed.data.entries()) {
        row.line = line;
        row.cells = cells;
        line += 1 + newlinesIn(cells);
        if (isBlank(cells) || this.#isComment(cells[0] ?? '')) continue;
        const hasQuoteError = parsed.errors.some((error) => error.row === index);
        this.#checkRow(row, hasQuoteError);
        yield row;
      }
      this.#text = this.#text.slice(parsed.meta.cursor);
      this.#textLine = line;
    }
  }

  /** Returns an InputError about the cell in `column` (from 0) of the row that was just yielded. */
  errorAt(line: number, column: number, details: CellProblem): InputError {
    return new InputError({ file: this.file, line, column: this.#columnOf(line, column), ...details });
  }

  /** Parses a number with the decimal sign of the file; undefined if it is not one. */
  parseNumber(cell: string): number | undefined {
    if (this.#layout.decimal !== ',') return parseNumber(cell);
    return cell.includes('.') ? undefined : parseNumber(cell.replace(',', '.'));
  }

  /** Says about a cell that is not a number what is wrong with it. */
  numberProblem(row: CsvRow, column: number): CellProblem {
    const value = row.cells[column] ?? '';
    const name = this.header[column];
    const problem = value.trim() === '' ? `${name} is empty` : `${name} is ${showValue(value)}`;
    const isComma = this.#layout.decimal === ',';
    const allowed = `a finite number (decimal ${isComma ? 'comma, not point' : 'point, not comma'})`;
    const hint = `Give \`table: { decimal: "${isComma ? '.' : ','}" }\` in the mapping file if that is the decimal sign of the log`;
    return { problem, value, allowed, ...(this.#isMapped && /^\s*[-+]?\d+[.,]\d+\s*$/.test(value) ? { hint } : {}) };
  }

  #parseLine(line: string): string[] {
    const nul = line.indexOf('\0');
    if (nul >= 0) {
      const problem = 'a NUL character: this is no text, or UTF-16 without a byte order mark';
      const hint = 'Give `table: { encoding: utf-16le }` in the mapping file if it is that';
      const place = { file: this.file, line: this.#textLine, column: nul + 1 };
      throw new InputError({ ...place, problem, ...(this.#isMapped ? { hint } : {}) });
    }
    const feed = line.indexOf('\r');
    if (feed >= 0) throw this.#error(this.#textLine, feed + 1, 'a line ends with a carriage return alone; save the file with line feeds');
    const { data, errors } = this.#parse(`${line}\n`, true);
    if (data[0] === undefined || errors.length > 0) throw this.#error(this.#textLine, 1, QUOTE_PROBLEM);
    return data[0].map((name) => name.trim());
  }

  #lineName(): string {
    return this.headerLine === 1 ? 'the first line' : 'this line';
  }

  /** Columns without a name may be several: nobody can refer to them. */
  #uniqueNames(names: readonly string[]): string[] {
    const seen = new Map<string, number>();
    return names.map((name, column) => {
      const count = (seen.get(name) ?? 0) + 1;
      seen.set(name, count);
      if (name === '' || count === 1) return name;
      if (this.#layout.repeatedNames === 'number') return `${name} (${count})`;
      const hint = `Give \`table: { repeatedNames: number }\` in the mapping file to call it "${name} (${count})"`;
      const problem = `this is a second column named ${showValue(name)}`;
      throw this.errorAt(this.#textLine, column, { problem, value: name, ...(this.#isMapped ? { hint } : {}) });
    });
  }

  #dropUnits(): void {
    if (this.units.length !== this.header.length)
      throw this.#error(this.#textLine, 1, `the row of units has ${cellCount(this.units)}; the header has ${this.header.length}`);
    this.#dropLine();
  }

  #isComment(line: string): boolean {
    const { comment } = this.#layout;
    return comment !== undefined && line.trimStart().startsWith(comment);
  }

  #error(line: number, column: number, problem: string): InputError {
    return new InputError({ file: this.file, line, column, problem });
  }

  /** Some programs end each row with a delimiter, but not the header. */
  #checkRow(row: CsvRow, hasQuoteError: boolean): void {
    const { line, cells } = row;
    if (hasQuoteError) throw this.#error(line, 1, QUOTE_PROBLEM);
    const columns = this.header.length;
    if (cells.length === columns || (cells.length === columns + 1 && cells[columns]?.trim() === '')) return;
    checkMerged(cells.join(this.delimiter), this.file, line);
    throw this.#error(line, 1, `the row has ${cellCount(cells)}; the header has ${columns}`);
  }

  /** Parses the complete rows. Returns undefined at the end of the file. */
  #nextRows(): Parsed | undefined {
    for (;;) {
      if (this.#atEnd && this.#text === '') return undefined;
      const parsed = this.#parse(this.#text, !this.#atEnd);
      if (parsed.data.length > 0) return parsed;
      if (this.#text.length > ROW_LENGTH_MAX)
        throw this.#error(this.#textLine, 1, `the row is longer than ${ROW_LENGTH_MAX} characters; a closing quote may be missing`);
      this.#readBlock();
    }
  }

  #parse(text: string, moreFollows: boolean): Parsed {
    const parsed = this.#parser.parse(text, 0, moreFollows) as Parsed;
    for (const cells of parsed.data) {
      const last = cells.at(-1);
      if (cells.length > 1 && last?.endsWith('\r')) cells[cells.length - 1] = last.slice(0, -1);
    }
    return parsed;
  }

  /** The next line, without its end; empty at the end of the file. */
  #firstLine(): string {
    while (!this.#atEnd && !this.#text.includes('\n') && this.#text.length <= ROW_LENGTH_MAX) this.#readBlock();
    const end = this.#text.indexOf('\n');
    return this.#text.slice(0, end < 0 ? undefined : end).replace(/\r$/, '');
  }

  #dropLine(): void {
    this.#firstLine();
    const end = this.#text.indexOf('\n');
    this.#text = end < 0 ? '' : this.#text.slice(end + 1);
    this.#textLine++;
  }

  #readBlock(): void {
    const got = this.#open.read(this.#block);
    this.#atEnd = got === 0;
    this.#read += got;
    const block = this.#block.subarray(0, got);
    try {
      this.#text += this.#decoder.decode(block, { stream: !this.#atEnd });
    } catch {
      throw this.#encodingError(block);
    }
  }

  #encodingError(block: Uint8Array): InputError {
    const line = this.#textLine + this.#text.split('\n').length - 1;
    if (this.encoding !== 'utf-8') return this.#error(line, 1, `a character in or below this line is not ${this.encoding.toUpperCase()}`);
    // A character that started in the block before ends in this one.
    const start = block.findIndex((byte) => (byte & 0xc0) !== 0x80);
    const error = encodingError(this.file, block.subarray(Math.max(0, start)), line);
    return this.#isMapped ? new InputError({ ...error.details, hint: WINDOWS_HINT }) : error;
  }

  /** Returns where a cell starts in its line, in characters from 1. The line is still in the text: rows are yielded before they are dropped. */
  #columnOf(line: number, column: number): number {
    let start = 0;
    for (let at = this.#textLine; at < line; at++) start = this.#text.indexOf('\n', start) + 1;
    let quoted = false;
    let cell = 0;
    for (let at = start; at < this.#text.length; at++) {
      if (cell === column) return at - start + 1;
      if (this.#text[at] === '"') quoted = !quoted;
      else if (!quoted && this.#text[at] === this.delimiter) cell++;
    }
    return this.#text.length - start + 1;
  }
}
