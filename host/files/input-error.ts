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

const VALUE_LENGTH = 60;

function showValue(value: unknown): string {
  const text = typeof value === 'number' || value === undefined ? String(value) : (JSON.stringify(value) ?? String(value));
  return text.length > VALUE_LENGTH ? `${text.slice(0, VALUE_LENGTH)}…` : text;
}

function showPlace({ file, line, column, byte }: InputErrorDetails): string {
  if (byte !== undefined) return `${file}: byte ${byte}`;
  return [file, line, line === undefined ? undefined : column].filter((part) => part !== undefined).join(':');
}

function compose(details: InputErrorDetails): string {
  const { what, allowed } = details;
  const subject = 'value' in details ? `${what} ${showValue(details.value)}` : what;
  const words = typeof allowed === 'string' ? allowed : `one of ${allowed.join(', ')}`;
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
