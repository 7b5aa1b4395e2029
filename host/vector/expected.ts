import { createHash } from 'node:crypto';
import { closeSync, readSync } from 'node:fs';
import { InputError, openToRead } from '../common/input-error.js';
import { type Change, type OutputSignals, STATE_HASH } from '../replay/change.js';

const HEADER = 'tick,row,signal,value';
const BLOCK_BYTES = 1 << 16;

/** The lines of a text file with their numbers, read in blocks. `isLast`: no line end follows. */
function* lines(file: string): Generator<{ text: string; line: number; isLast: boolean }> {
  const { fd } = openToRead(file);
  const block = Buffer.alloc(BLOCK_BYTES);
  const decoder = new TextDecoder();
  let rest = '';
  let line = 1;
  try {
    for (let size = readSync(fd, block); size > 0; size = readSync(fd, block)) {
      const parts = (rest + decoder.decode(block.subarray(0, size), { stream: true })).split('\n');
      rest = parts.pop() ?? '';
      for (const text of parts) yield { text, line: line++, isLast: false };
    }
    if (rest !== '') yield { text: rest, line, isLast: true };
  } finally {
    closeSync(fd);
  }
}

/** Names of the signals that a line may have, without a row and with one. */
interface Names {
  readonly bank: ReadonlySet<string>;
  readonly row: ReadonlySet<string>;
}

function parseLine(file: string, text: string, line: number, rows: number, names: Names): Change {
  const cells = text.split(',');
  const [tick = '', row = '', signal = '', value = ''] = cells;
  const fail = (index: number, what: string, allowed: string): InputError => {
    const column = cells.slice(0, index).join(',').length + (index === 0 ? 1 : 2);
    return new InputError({ file, line, column, what, value: cells[index], allowed });
  };
  if (cells.length !== 4) throw new InputError({ file, line, column: 1, what: 'line', value: text, allowed: `four cells: ${HEADER}` });
  if (!/^\d{1,10}$/.test(tick)) throw fail(0, 'tick', 'a whole number from 0');
  if (row !== '' && !(/^\d{1,2}$/.test(row) && Number(row) >= 1 && Number(row) <= rows))
    throw fail(1, 'row', `nothing for the bank, or 1 to ${rows}`);
  const allowed = row === '' ? names.bank : names.row;
  if (!allowed.has(signal)) throw fail(2, 'signal', [...allowed].join(', '));
  return { tick: Number(tick), row: Number(row), signal, value };
}

/**
 * The accepted outputs of a vector, read as they are needed.
 * @throws InputError naming line and column of what is not right
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
      if (text !== HEADER) throw new InputError({ file, line, column: 1, what: 'header', value: text, allowed: HEADER });
      continue;
    }
    const change = parseLine(file, text, line, rows, names);
    if (change.tick < lastTick)
      throw new InputError({ file, line, column: 1, what: 'tick', value: change.tick, allowed: `${lastTick} or later` });
    lastTick = change.tick;
    yield change;
  }
  if (count === 0) throw new InputError({ file, line: 1, column: 1, what: 'empty file', allowed: `the header ${HEADER}` });
}

const lineOf = ({ tick, row, signal, value }: Change): string => `${tick},${row === 0 ? '' : row},${signal},${value}\n`;

export function printExpected(changes: Iterable<Change>): string {
  let text = `${HEADER}\n`;
  for (const change of changes) text += lineOf(change);
  return text;
}

const sha256 = () => createHash('sha256');

/** What an acceptance says of accepted outputs. */
export interface Digest {
  /** SHA-256 of the whole text, in hexadecimal. */
  readonly hash: string;
  /** Of each signal's lines by themselves, the first 16 digits. */
  readonly digests: Readonly<Record<string, string>>;
}

const DIGEST_DIGITS = 16;
const SIGNAL_CELL = 2;

/** Digest of a text that comes in lines. */
class Digester {
  private readonly whole = sha256();
  private readonly signals = new Map<string, ReturnType<typeof sha256>>();
  private count = 0;

  line(text: string): void {
    this.whole.update(text);
    this.count += 1;
    if (this.count === 1) return;
    const signal = text.split(',', SIGNAL_CELL + 1)[SIGNAL_CELL] ?? '';
    const hash = this.signals.get(signal) ?? sha256();
    this.signals.set(signal, hash.update(text));
  }

  finish(): Digest {
    const digests = [...this.signals]
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([signal, hash]) => [signal, hash.digest('hex').slice(0, DIGEST_DIGITS)]);
    return { hash: this.whole.digest('hex'), digests: Object.fromEntries(digests) };
  }
}

/** Digest of accepted outputs as they are written. */
export function digestText(text: string): Digest {
  const digester = new Digester();
  for (const line of text.split(/(?<=\n)/)) digester.line(line);
  return digester.finish();
}

/** The same of a file. @throws InputError when there is no such file */
export function digestFile(file: string): Digest {
  const digester = new Digester();
  for (const { text, isLast } of lines(file)) digester.line(isLast ? text : `${text}\n`);
  return digester.finish();
}

/** Signals whose lines are not the same in both. */
export function changedSignals(old: Digest['digests'], fresh: Digest['digests']): string[] {
  const names = new Set([...Object.keys(old), ...Object.keys(fresh)]);
  return [...names].filter((name) => old[name] !== fresh[name]).sort();
}

/** SHA-256 of a file, in hexadecimal, read in blocks. @throws InputError when there is no such file */
export function hashFile(file: string): string {
  const { fd } = openToRead(file);
  const hash = sha256();
  const block = Buffer.alloc(BLOCK_BYTES);
  try {
    for (let size = readSync(fd, block); size > 0; size = readSync(fd, block)) hash.update(block.subarray(0, size));
  } finally {
    closeSync(fd);
  }
  return hash.digest('hex');
}
