/** What is wrong with an input, and where. Lines and columns count from 1, bytes from 0. */
export interface InputErrorDetails {
  readonly file: string;
  readonly line?: number | undefined;
  readonly column?: number | undefined;
  /** Offset in a binary file. */
  readonly byte?: number | undefined;
  /** What is wrong, as a clause that names the offending value: `speedMps is -3`. Without a full stop. */
  readonly problem: string;
  /** The offending value, for the JSON output and to find the name that was probably meant. */
  readonly value?: unknown;
  /** What it must be, as it follows "it must be": `between 0 and 12`; or the names to choose from. */
  readonly allowed?: string | readonly string[] | undefined;
  /** What to do about it, as a sentence without its full stop: 'Run `npm run build`'. */
  readonly hint?: string | undefined;
}

/** Long enough for a SHA-256 in quotes. */
const VALUE_LENGTH_MAX = 70;
/** Of a longer value this much is shown, so that what it must be fits into the same line. */
const VALUE_LENGTH_SHOWN = 30;
/** How many names of a longer list are shown, and their characters: those nearest to what was written. */
const NAMES_MAX = 8;
const NAMES_LENGTH_MAX = 85;
/** A longer path is shown without its middle. */
const PATH_LENGTH_MAX = 160;

const shorten = (text: string): string => (text.length > VALUE_LENGTH_MAX ? `${text.slice(0, VALUE_LENGTH_SHOWN)}…` : text);

/** Text from a file as one line of an error, cut if it is long: it could look like another message. */
const oneLine = (text: string): string => shorten(text.replaceAll('\n', '\\n'));

/** A value as an error shows it: strings in quotes, on one line, cut if they are long. */
export function showValue(value: unknown): string {
  return shorten(typeof value === 'number' || value === undefined ? String(value) : (JSON.stringify(value) ?? String(value)));
}

function showPlace({ file, line, column, byte }: InputErrorDetails): string {
  const half = PATH_LENGTH_MAX / 2;
  const name = file.replaceAll('\n', '\\n');
  const path = name.length > PATH_LENGTH_MAX ? `${name.slice(0, half)}…${name.slice(-half)}` : name;
  if (byte !== undefined) return `${path}: byte ${byte}`;
  return [path, line, line === undefined ? undefined : column].filter((part) => part !== undefined).join(':');
}

/** Number of letters to insert, delete, replace or swap with their neighbour between two words, ignoring case. */
function editDistance(one: string, other: string): number {
  const a = one.toLowerCase();
  const b = other.toLowerCase();
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const replaced = (last[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      const isSwap = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      const swapped = isSwap ? (beforeLast[j - 2] ?? 0) + 1 : replaced;
      row.push(Math.min(replaced, swapped, (last[j] ?? 0) + 1, (row[j - 1] ?? 0) + 1));
    }
    beforeLast = last;
    last = row;
  }
  return last[b.length] ?? 0;
}

/** Of a longer list, the names nearest to what was written. */
function listNames(nearestFirst: readonly string[], all: readonly string[]): string {
  const [names, nearest] = [all.map(oneLine), nearestFirst.map(oneLine)];
  if (names.length <= NAMES_MAX && names.join(', ').length <= NAMES_LENGTH_MAX) return names.join(', ');
  const fits = (count: number): boolean => nearest.slice(0, count).join(', ').length <= NAMES_LENGTH_MAX;
  let count = Math.min(NAMES_MAX, Math.max(1, names.length - 1));
  while (count > 1 && !fits(count)) count--;
  const others = names.length - count;
  return `${nearest.slice(0, count).join(', ')}${others === 0 ? '' : ` and ${others} more`}`;
}

const nearestFirst = (names: readonly string[], value: string): string[] => {
  const distances = new Map(names.map((name) => [name, editDistance(name, value)]));
  return [...names].sort((a, b) => (distances.get(a) ?? 0) - (distances.get(b) ?? 0));
};

/** What follows the problem: the name that was probably meant, or the names to choose from. */
function nameRule(names: readonly string[], value: unknown): string {
  const choice = names.length === 1 ? 'it must be' : 'it must be one of';
  // Nothing resembles a value that is no text, or far longer than any name.
  if (typeof value !== 'string' || value.length > VALUE_LENGTH_MAX) return `${choice} ${listNames(names, names)}`;
  const nearest = nearestFirst(names, value);
  const [best = ''] = nearest;
  // One slip in three letters; shorter words are too alike to guess.
  const isClose = editDistance(best, value) <= Math.floor(Math.min(best.length, value.length) / 3);
  return isClose ? `did you mean \`${oneLine(best)}\`?` : `${choice} ${listNames(nearest, names)}`;
}

function ruleOf({ allowed, value }: InputErrorDetails): string {
  if (allowed === undefined || allowed.length === 0) return '';
  return `; ${typeof allowed === 'string' ? `it must be ${allowed}` : nameRule(allowed, value)}`;
}

const withStop = (sentence: string): string => (/[.?!]$/.test(sentence) ? sentence : `${sentence}.`);

function compose(details: InputErrorDetails): string {
  const { value, hint } = details;
  const isShown = typeof value !== 'string' || value === oneLine(value);
  const problem = isShown ? details.problem : details.problem.replaceAll(value, () => oneLine(value));
  return `${showPlace(details)}: ${withStop(problem + ruleOf(details))}${hint === undefined ? '' : ` ${withStop(hint)}`}`;
}

/**
 * Bad input or bad usage: a file, a name or a value that the user can correct. The message is one line, such as
 * `scenario.yaml:12:9: speedMps is -3; it must be between 0 and 12.`
 */
export class InputError extends Error {
  /** The command ends with exit code 2. */
  readonly isExpected = true;
  readonly details: InputErrorDetails;

  constructor(details: InputErrorDetails) {
    super(compose(details));
    this.name = 'InputError';
    this.details = details;
  }
}

type FileUse = 'read' | 'write';
type FileProblem = Pick<InputErrorDetails, 'problem' | 'allowed' | 'hint'>;

const FILE_PROBLEMS: Readonly<Record<string, FileProblem | ((use: FileUse) => FileProblem)>> = {
  ENOENT: (use) => ({ problem: use === 'read' ? 'no such file' : 'its folder does not exist' }),
  ENOTDIR: { problem: 'part of the path is not a folder' },
  EACCES: (use) => ({ problem: `no permission to ${use} it` }),
  EPERM: (use) => ({ problem: `no permission to ${use} it` }),
  EROFS: { problem: 'its file system is read-only' },
  EISDIR: { problem: 'this is a folder', allowed: 'a file' },
  ENOSPC: { problem: 'no space is left on the disk' },
  ENAMETOOLONG: { problem: 'the name is too long' },
  ELOOP: { problem: 'its symbolic links form a loop' },
  ENOTEMPTY: { problem: 'the folder is not empty' },
  EMFILE: { problem: 'too many files are open' },
};

/** Returns a system error about a path as an InputError if the user can correct it, otherwise the error itself. */
export function asFileError(error: unknown, file: string, use: FileUse): unknown {
  const found = FILE_PROBLEMS[(error as NodeJS.ErrnoException | undefined)?.code ?? ''];
  if (found === undefined) return error;
  return new InputError({ file, ...(typeof found === 'function' ? found(use) : found) });
}
