import { closeSync, readSync } from 'node:fs';
import Papa from 'papaparse';
import { InputError, openToRead } from '../../common/input-error.js';

/** One line of cells. The object is used again for the next one. */
export interface CsvRow {
  /** Where it starts, counted from 1. */
  line: number;
  cells: readonly string[];
}

const BLOCK_BYTES = 1 << 18;
/** Longest row, characters: what lies between two ends of line (or behind a quote that is never closed). */
const ROW_LENGTH_MAX = 1 << 20;
const DELIMITERS = [',', ';', '\t', '|'];

interface Parsed {
  readonly data: string[][];
  readonly errors: readonly { readonly row: number; readonly message: string }[];
  readonly meta: { readonly cursor: number };
}

const newlinesIn = (cells: readonly string[]): number => cells.reduce((sum, cell) => sum + cell.split('\n').length - 1, 0);
const isBlank = (cells: readonly string[]): boolean => cells.length === 1 && (cells[0] === '' || cells[0] === '\r');

/**
 * A CSV file (RFC 4180; also with semicolons, tabs or bars, guessed from the header) read block by block. The parser
 * is used one level below its streams, because those work by callbacks and tell no line.
 */
export class CsvFile {
  readonly file: string;
  readonly header: readonly string[];
  readonly #fd: number;
  readonly #size: number;
  #read = 0;
  readonly #block = new Uint8Array(BLOCK_BYTES);
  readonly #decoder = new TextDecoder('utf-8', { fatal: true });
  readonly #parser: Papa.Parser;
  readonly #delimiter: string;
  /** What has been read and not yet been left behind, and the line it starts in. */
  #text = '';
  #textLine = 1;
  #atEnd = false;

  /** @throws InputError when there is no such file, or it is empty. */
  constructor(file: string) {
    this.file = file;
    const { fd, size } = openToRead(file);
    this.#fd = fd;
    this.#size = size;
    try {
      this.#readHeaderText();
      const end = this.#text.indexOf('\n');
      const first = this.#text.slice(0, end < 0 ? undefined : end).replace(/\r$/, '');
      if (first.trim() === '') throw this.#error(1, 1, 'no header', 'names of columns in the first line');
      this.#delimiter = Papa.parse(first, { delimitersToGuess: DELIMITERS }).meta.delimiter;
      this.#parser = new Papa.Parser({ delimiter: this.#delimiter, newline: '\n' });
      this.header = (this.#parse(`${first}\n`, true).data[0] ?? []).map((name) => name.trim());
    } catch (error) {
      this.close();
      throw error;
    }
  }

  /** How much of the file has been read, 0 to 1. */
  get share(): number {
    return this.#size === 0 ? 1 : Math.min(1, this.#read / this.#size);
  }

  close(): void {
    closeSync(this.#fd);
  }

  /**
   * The rows below the header, blank lines left out, one after the other.
   * @throws InputError at a row with more or fewer cells than the header, at a quote out of place, at a byte that isn't UTF-8.
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
          this.#checkRow(row, parsed.errors.find((error) => error.row === index)?.message);
          yield row;
        }
      }
      this.#text = this.#text.slice(parsed.meta.cursor);
      this.#textLine = line;
    }
  }

  /** An InputError about the cell in `column` (counted from 0) of a row that was just yielded, or of the header. */
  wrong(line: number, column: number, what: string, value: unknown, allowed: string): InputError {
    return new InputError({ file: this.file, line, column: this.#columnOf(line, column), what, value, allowed });
  }

  #error(line: number, column: number, what: string, allowed: string): InputError {
    return new InputError({ file: this.file, line, column, what, allowed });
  }

  #checkRow(row: CsvRow, quoteError: string | undefined): void {
    const { line, cells } = row;
    if (quoteError !== undefined) throw this.#error(line, 1, quoteError, 'quotes around a whole cell, doubled within it');
    const wanted = this.header.length;
    if (cells.length === wanted) return;
    throw this.#error(line, 1, `row of ${cells.length} cells`, `${wanted} cells, as in the header`);
  }

  /** Parses the rows that are complete. Undefined at the end of the file. */
  #nextRows(): Parsed | undefined {
    for (;;) {
      if (this.#atEnd && this.#text === '') return undefined;
      const parsed = this.#parse(this.#text, !this.#atEnd);
      if (parsed.data.length > 0) return parsed;
      if (this.#text.length > ROW_LENGTH_MAX) throw this.#error(this.#textLine, 1, 'row too long', `at most ${ROW_LENGTH_MAX} characters`);
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
    const got = readSync(this.#fd, this.#block, 0, BLOCK_BYTES, null);
    this.#atEnd = got === 0;
    this.#read += got;
    try {
      this.#text += this.#decoder.decode(this.#block.subarray(0, got), { stream: !this.#atEnd });
    } catch {
      throw this.#error(this.#textLine + this.#text.split('\n').length - 1, 1, 'text that is not UTF-8, in this line or below', 'UTF-8');
    }
  }

  /** Where a cell starts in its line, in characters counted from 1. The line is still in the text, for rows are yielded before it moves on. */
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
