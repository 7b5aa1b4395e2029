import { fstatSync, openSync, statSync } from 'node:fs';

/** Where and what a person got wrong. Lines, columns and bytes: lines and columns count from 1, bytes from 0. */
export interface InputErrorDetails {
  readonly file: string;
  readonly line?: number | undefined;
  readonly column?: number | undefined;
  /** Offset in a binary file. */
  readonly byte?: number | undefined;
  /** What is wrong, such as `signal` or `key`. */
  readonly what: string;
  /** The offending value. */
  readonly value?: unknown;
  /** What would be right: words, or a list of names. */
  readonly allowed: string | readonly string[];
}

/** Long enough for a SHA-256 in quotes. */
const VALUE_LENGTH = 70;
/** Of a longer list, the names nearest to what was written. */
const NAMES_MOST = 8;

function showValue(value: unknown): string {
  const text = typeof value === 'number' || value === undefined ? String(value) : (JSON.stringify(value) ?? String(value));
  return text.length > VALUE_LENGTH ? `${text.slice(0, VALUE_LENGTH)}…` : text;
}

function showPlace({ file, line, column, byte }: InputErrorDetails): string {
  if (byte !== undefined) return `${file}: byte ${byte}`;
  return [file, line, line === undefined ? undefined : column].filter((part) => part !== undefined).join(':');
}

/** Levenshtein's distance between two words, letter case aside. */
function distance(one: string, other: string): number {
  const a = one.toLowerCase();
  const b = other.toLowerCase();
  let row = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const replaced = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(replaced, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}

function listNames(names: readonly string[], value: unknown): string {
  if (names.length <= NAMES_MOST || typeof value !== 'string') return `one of ${names.join(', ')}`;
  const nearest = [...names].sort((a, b) => distance(a, value) - distance(b, value)).slice(0, NAMES_MOST);
  return `one of ${nearest.join(', ')} and ${names.length - NAMES_MOST} more`;
}

function compose(details: InputErrorDetails): string {
  const { what, allowed } = details;
  const subject = 'value' in details ? `${what} ${showValue(details.value)}` : what;
  const words = typeof allowed === 'string' ? allowed : listNames(allowed, details.value);
  return `${showPlace(details)}: ${subject} — allowed: ${words}`;
}

/**
 * Everything that a person can get wrong: a file, a name, a value. The message is one line, such as
 * `map.yaml:7:12: signal "loadCount" — allowed: one of loadCounts, pressureCounts`.
 */
export class InputError extends Error {
  readonly details: InputErrorDetails;

  constructor(details: InputErrorDetails) {
    super(compose(details));
    this.name = 'InputError';
    this.details = details;
  }
}

const FILE_TROUBLE: Readonly<Record<string, string>> = {
  ENOENT: 'not found',
  ENOTDIR: 'not found',
  EACCES: 'no permission',
  EPERM: 'no permission',
  EROFS: 'read-only',
  EISDIR: 'a folder',
  ENOSPC: 'no space left',
  ENAMETOOLONG: 'a name that is too long',
  ELOOP: 'a link that leads nowhere',
  ENOTEMPTY: 'a folder that is not empty',
  EMFILE: 'too many open files',
};

/** A system error about a path, as an InputError where a person can mend it; anything else comes back unchanged. */
export function fileTrouble(error: unknown, file: string, allowed: string): unknown {
  const trouble = FILE_TROUBLE[(error as NodeJS.ErrnoException | undefined)?.code ?? ''];
  return trouble === undefined ? error : new InputError({ file, what: trouble, allowed });
}

/**
 * Opens a file for reading and answers its descriptor and size in bytes.
 * @throws InputError when there is none, it may not be read, or it is a folder.
 */
export function openToRead(file: string): { fd: number; size: number } {
  try {
    // A folder opens, but gives EISDIR only when it is read: too late for a good message.
    if (statSync(file).isDirectory()) throw Object.assign(new Error(file), { code: 'EISDIR' });
    const fd = openSync(file, 'r');
    return { fd, size: fstatSync(fd).size };
  } catch (error) {
    throw fileTrouble(error, file, 'a file that can be read');
  }
}
