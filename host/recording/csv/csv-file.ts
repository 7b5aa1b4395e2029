import Papa from 'papaparse';
import { InputError, type InputErrorDetails, showValue } from '../../common/input-error.js';
import { InputFile } from '../../common/read-file.js';
import { checkMerged, encodingError } from '../../common/text-file.js';

/** One row of cells. The object is reused for the next one. */
export interface CsvRow {
  /** Line in the file at which it starts, from 1. */
  line: number;
  cells: readonly string[];
}

const BLOCK_BYTES = 1 << 18;
/** Longest row, characters: the text between two line ends, or after a quote that is never closed. */
const ROW_LENGTH_MAX = 1 << 20;
const DELIMITERS = [',', ';', '\t', '|'];

const QUOTE_PROBLEM = 'a quote is missing or misplaced; quotes enclose a cell and are doubled inside it';

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

/**
 * A CSV file (RFC 4180; also with semicolons, tabs or bars, detected from the header) read block by block. The parser is
 * used below the level of its streams, because those need callbacks and report no line.
 */
export class CsvFile {
  readonly file: string;
  readonly header: readonly string[];
  readonly #open: InputFile;
  #read = 0;
  readonly #block = new Uint8Array(BLOCK_BYTES);
  readonly #decoder = new TextDecoder('utf-8', { fatal: true });
  readonly #parser: Papa.Parser;
  readonly #delimiter: string;
  /** Text that has been read but not yet yielded, and the line it starts in. */
  #text = '';
  #textLine = 1;
  #atEnd = false;

  /** @throws InputError if there is no such file, its first line is empty, or two columns have the same name */
  constructor(file: string) {
    this.file = file;
    this.#open = new InputFile(file, 'csv');
    try {
      this.#readHeaderText();
      const end = this.#text.indexOf('\n');
      const first = this.#text.slice(0, end < 0 ? undefined : end).replace(/\r$/, '');
      if (first.trim() === '') throw this.#error(1, 1, 'the first line is empty; it must hold the names of the columns');
      this.#delimiter = Papa.parse(first, { delimitersToGuess: DELIMITERS }).meta.delimiter;
      this.#parser = new Papa.Parser({ delimiter: this.#delimiter, newline: '\n' });
      this.header = this.#parseHeader(first);
      this.#checkHeader();
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
   * Yields the rows below the header, without blank lines.
   * @throws InputError at a row with more or fewer cells than the header, a misplaced quote, or a byte that is not UTF-8
   */
  *rows(): Generator<CsvRow, void, undefined> {
    const row: { line: number; cells: string[] } = { line: 1, cells: [] };
    let isHeader = true;
    for (let parsed = this.#nextRows(); parsed !== undefined; parsed = this.#nextRows()) {
      let line = this.#textLine;
      for (const [index, cells] of parsed.data.entries()) {
        row.line = line;
        row.cells = cells;
        line += 1 + newlinesIn(cells);
        if (isHeader || isBlank(cells)) isHeader = false;
        else {
          const hasQuoteError = parsed.errors.some((error) => error.row === index);
          this.#checkRow(row, hasQuoteError);
          yield row;
        }
      }
      this.#text = this.#text.slice(parsed.meta.cursor);
      this.#textLine = line;
    }
  }

  /** Returns an InputError about the cell in `column` (from 0) of the row that was just yielded, or of the header. */
  errorAt(line: number, column: number, details: CellProblem): InputError {
    return new InputError({ file: this.file, line, column: this.#columnOf(line, column), ...details });
  }

  #parseHeader(first: string): string[] {
    const feed = first.indexOf('\r');
    if (feed >= 0) throw this.#error(1, feed + 1, 'a line ends with a carriage return alone; save the file with line feeds');
    const { data, errors } = this.#parse(`${first}\n`, true);
    if (data[0] === undefined || errors.length > 0) throw this.#error(1, 1, QUOTE_PROBLEM);
    return data[0].map((name) => name.trim());
  }

  /** Columns without a name may be several: nobody can refer to them. */
  #checkHeader(): void {
    const seen = new Set<string>();
    for (const [column, name] of this.header.entries()) {
      if (name !== '' && seen.has(name))
        throw this.errorAt(1, column, { problem: `this is a second column named ${showValue(name)}`, value: name });
      seen.add(name);
    }
  }

  #error(line: number, column: number, problem: string): InputError {
    return new InputError({ file: this.file, line, column, problem });
  }

  #checkRow({ line, cells }: CsvRow, hasQuoteError: boolean): void {
    if (hasQuoteError) throw this.#error(line, 1, QUOTE_PROBLEM);
    const columns = this.header.length;
    if (cells.length === columns) return;
    checkMerged(cells.join(this.#delimiter), this.file, line);
    const found = cells.length === 1 ? '1 cell' : `${cells.length} cells`;
    throw this.#error(line, 1, `the row has ${found}; the header has ${columns}`);
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

  #readHeaderText(): void {
    while (!this.#atEnd && !this.#text.includes('\n') && this.#text.length <= ROW_LENGTH_MAX) this.#readBlock();
  }

  #readBlock(): void {
    const got = this.#open.read(this.#block);
    this.#atEnd = got === 0;
    this.#read += got;
    try {
      this.#text += this.#decoder.decode(this.#block.subarray(0, got), { stream: !this.#atEnd });
    } catch {
      const block = this.#block.subarray(0, got);
      // A character that started in the block before ends in this one.
      const start = block.findIndex((byte) => (byte & 0xc0) !== 0x80);
      throw encodingError(this.file, block.subarray(Math.max(0, start)), this.#textLine + this.#text.split('\n').length - 1);
    }
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
      else if (!quoted && this.#text[at] === this.#delimiter) cell++;
    }
    return this.#text.length - start + 1;
  }
}
