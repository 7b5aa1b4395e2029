import { Sha256 } from '../common/hash.js';
import { InputError, showValue } from '../common/input-error.js';
import { InputFile } from '../common/read-file.js';
import { type Change, type OutputSignals, STATE_HASH } from '../replay/change.js';

const HEADER = 'tick,row,signal,value';
const BLOCK_BYTES = 1 << 16;
/** Ours have up to 70 characters. */
const LINE_LENGTH_MAX = 1000;

/** Yields the lines of a text file with their numbers, read in blocks. `isLast`: no line end follows. @throws InputError at a long line */
function* lines(file: string): Generator<{ text: string; line: number; isLast: boolean }> {
  const open = new InputFile(file, 'expected');
  const block = Buffer.alloc(BLOCK_BYTES);
  const decoder = new TextDecoder();
  let rest = '';
  let line = 1;
  try {
    for (let size = open.read(block); size > 0; size = open.read(block)) {
      const parts = (rest + decoder.decode(block.subarray(0, size), { stream: true })).split('\n');
      rest = parts.pop() ?? '';
      for (const text of parts) yield { text, line: line++, isLast: false };
      if (rest.length > LINE_LENGTH_MAX)
        throw new InputError({ file, line, column: 1, problem: `the line is longer than ${LINE_LENGTH_MAX} characters` });
    }
    if (rest !== '') yield { text: rest, line, isLast: true };
  } finally {
    open.close();
  }
}

/** Names of the signals that a line without or with a row may have. */
interface Names {
  readonly bank: ReadonlySet<string>;
  readonly row: ReadonlySet<string>;
}

function parseLine(file: string, text: string, line: number, rows: number, names: Names): Change {
  const cells = text.split(',');
  const [tick = '', row = '', signal = '', value = ''] = cells;
  const cellError = (index: number, name: string, allowed: string | readonly string[]): InputError => {
    const column = cells.slice(0, index).join(',').length + (index === 0 ? 1 : 2);
    const value = cells[index];
    return new InputError({ file, line, column, problem: `${name} is ${showValue(value)}`, value, allowed });
  };
  if (cells.length !== 4) {
    const problem = `the line must have four cells: ${HEADER}`;
    throw new InputError({ file, line, column: 1, problem, value: text });
  }
  if (!/^\d{1,10}$/.test(tick)) throw cellError(0, 'tick', 'an integer of at least 0');
  if (row !== '' && !(/^\d{1,2}$/.test(row) && Number(row) >= 1 && Number(row) <= rows))
    throw cellError(1, 'row', `between 1 and ${rows}, or empty for the bank`);
  const known = row === '' ? names.bank : names.row;
  if (!known.has(signal)) throw cellError(2, 'signal', [...known]);
  return { tick: Number(tick), row: Number(row), signal, value };
}

/**
 * Yields the accepted outputs of a vector, reading the file as they are needed.
 * @throws InputError with line and column
 */
export function* readExpected(file: string, rows: number, signals: OutputSignals): Generator<Change> {
  const names = {
    bank: new Set([...signals.bank, ...signals.summary].map(({ name }) => name)).add(STATE_HASH),
    row: new Set(signals.row.map(({ name }) => name)),
  };
  let lastTick = 0;
  let count = 0;
  for (const { text, line } of lines(file)) {
    count = line;
    if (line === 1) {
      if (text !== HEADER)
        throw new InputError({ file, line, column: 1, problem: `the header is ${showValue(text)}`, value: text, allowed: HEADER });
      continue;
    }
    const change = parseLine(file, text, line, rows, names);
    if (change.tick < lastTick)
      throw new InputError({
        file,
        line,
        column: 1,
        problem: `tick is ${change.tick}`,
        value: change.tick,
        allowed: `at least ${lastTick}`,
      });
    lastTick = change.tick;
    yield change;
  }
  if (count === 0) throw new InputError({ file, line: 1, column: 1, problem: `the file is empty; it must start with ${HEADER}` });
}

const lineOf = ({ tick, row, signal, value }: Change): string => `${tick},${row === 0 ? '' : row},${signal},${value}\n`;

export function printExpected(changes: Iterable<Change>): string {
  let text = `${HEADER}\n`;
  for (const change of changes) text += lineOf(change);
  return text;
}

/** Hashes that an acceptance keeps of the accepted outputs. */
export interface Digest {
  /** SHA-256 of the text, in hexadecimal. */
  readonly hash: string;
  /** First 16 digits of the SHA-256 of each signal's lines. */
  readonly digests: Readonly<Record<string, string>>;
}

const SIGNAL_CELL = 2;

/** Computes the digest of a text that comes in lines. */
class Digester {
  readonly #text = new Sha256();
  readonly #signals = new Map<string, Sha256>();
  #count = 0;

  line(text: string): void {
    this.#text.update(text);
    this.#count += 1;
    if (this.#count === 1) return;
    const signal = text.split(',', SIGNAL_CELL + 1)[SIGNAL_CELL] ?? '';
    const hash = this.#signals.get(signal) ?? new Sha256();
    this.#signals.set(signal, hash.update(text));
  }

  finish(): Digest {
    const digests = [...this.#signals].sort(([a], [b]) => (a < b ? -1 : 1)).map(([signal, hash]) => [signal, hash.shortDigest()]);
    return { hash: this.#text.digest(), digests: Object.fromEntries(digests) };
  }
}

/** Returns the digest of accepted outputs before they are written. */
export function digestText(text: string): Digest {
  const digester = new Digester();
  for (const line of text.split(/(?<=\n)/)) digester.line(line);
  return digester.finish();
}

/** Returns the digest of a file. @throws InputError if there is no such file */
export function digestFile(file: string): Digest {
  const digester = new Digester();
  for (const { text, isLast } of lines(file)) digester.line(isLast ? text : `${text}\n`);
  return digester.finish();
}

/** Returns the signals whose lines differ. */
export function changedSignals(before: Digest['digests'], after: Digest['digests']): string[] {
  const names = new Set([...Object.keys(before), ...Object.keys(after)]);
  return [...names].filter((name) => before[name] !== after[name]).sort();
}
