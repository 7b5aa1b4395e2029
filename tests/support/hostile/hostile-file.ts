/** A command on hostile files. Paths in `argv` and `files` are relative to a new folder, which `%` stands for. */
export interface HostileFile {
  /** Kind of attack. */
  readonly group: string;
  readonly name: string;
  readonly argv: readonly string[];
  /** Files to write first: their content, or what to make instead. */
  readonly files?: Readonly<Record<string, string | Uint8Array | Made>>;
  /** Exit codes that are right; 2 if not given. */
  readonly statuses?: readonly number[];
  /** What the error must say. */
  readonly says?: RegExp;
}

/** Something other than a file with a content. */
export type Made = { readonly linkTo: string } | { readonly pipe: true } | { readonly emptyBytes: number };

/** Text that must never be shown: it stands for what a file of the user contains. */
export const SECRET = 'hunter2';

export const MAP = 'rows: 1\ntime: { column: t, unit: s }\nsignals:\n  - { signal: loadCounts, column: load }\n';
export const CSV = 't,load\n0,1200\n0.01,1201\n0.02,1202\n';
export const SCENARIO = 'title: A\nstory: Invented.\nrows: 1\nseconds: 0.05\n';
export const MACHINE = 'title: A\n';

/** Repeats a text up to a length. */
export const fill = (text: string, length: number): string => text.repeat(Math.ceil(length / text.length)).slice(0, length);
