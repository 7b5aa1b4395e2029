import type { SourceTree } from '../../build/sources.js';
import { withoutComments } from '../causes/edits.js';
import type { FileChange, SourceLine } from '../review.js';
import type { Place, Program } from './program.js';

/** A changed line with code. */
export interface CodeLine {
  readonly line: SourceLine;
  /** Numbers of the blocks that it is part of; of a constant, those that use it. Empty if nothing calls its function. */
  readonly blocks: readonly number[];
  /** Of a constant: where it is used. */
  readonly usedAt: readonly SourceLine[];
}

/** A line as a number in a file, from 1. */
interface LineNumber {
  readonly file: string;
  readonly line: number;
}

/** A change in which base has lines that head has others or none for. */
interface Hunk {
  readonly base: readonly LineNumber[];
  readonly head: readonly LineNumber[];
}

const numbers = (file: string, from: number, count: number): LineNumber[] =>
  Array.from({ length: count }, (_, index) => ({ file, line: from + index }));

/** Changes of the sources, by adjacent lines. */
export const hunksIn = (files: readonly FileChange[]): Hunk[] =>
  files
    .filter(({ path }) => path.endsWith('.ts'))
    .flatMap(({ path, basePath = path, lines }) =>
      lines.map(({ baseLine, removed, headLine, added }) => ({
        base: numbers(basePath, baseLine, removed.length),
        head: numbers(path, headLine, added.length),
      })),
    );

/** A declaration outside functions: its kind and name, and the index of its first line. */
interface Declaration {
  readonly kind: string;
  readonly name: string;
  readonly start: number;
}

const NAME = '[A-Za-z_$][\\w$]*';
const DECLARATION = new RegExp(`^(?:export )?(const enum|const|function|class|enum) (${NAME})`);
const LOCAL_CONSTANT = new RegExp(`^\\s+const (${NAME})`);
const ENUM_MEMBER = new RegExp(`^\\s+(${NAME})\\s*(?:=|,|$)`);

/** Finds the code of lines in one version of the sources. */
export class CodeFinder {
  /** Lines of each file, without comments. */
  private readonly files: ReadonlyMap<string, readonly string[]>;

  constructor(
    readonly program: Program,
    sources: SourceTree,
  ) {
    this.files = new Map([...sources].map(([file, text]) => [file, withoutComments(text).split('\n')]));
  }

  /** The code of a line; undefined if it has none: comments, brackets, declarations, and what the compiler leaves out. */
  codeOf({ file, line }: LineNumber): CodeLine | undefined {
    const { program } = this;
    const text = this.textOf(file, line);
    const blocks = program.blocksOf(file, line);
    const [first] = blocks;
    if (first !== undefined) return { line: program.startIn(first, file, line), blocks, usedAt: [] };
    if (!/[\w$]/.test(text)) return undefined;
    const whole = program.lineOf(file, line, text.search(/\S/) + 1);
    const uses = this.usesIn(file, line);
    if (uses.length === 0) return this.isUncalled(file, line) ? { line: whole, blocks: [], usedAt: [] } : undefined;
    const usedAt = uses.map((use) => program.lineOf(use.file, use.line, use.column, use.block));
    return { line: whole, blocks: [...new Set(uses.map(({ block }) => block))], usedAt };
  }

  /** Uses of the constant that a line declares; the declaration itself has no code. */
  private usesIn(file: string, line: number): Place[] {
    const { program } = this;
    const { kind, name, start } = this.declarationAt(file, line) ?? { kind: '', name: '', start: 0 };
    if (kind === 'const')
      return this.constantsFrom(file, name).flatMap((one) => program.usesOf(one.file, one.name, (inFile) => this.knows(inFile, one)));
    const text = this.textOf(file, line);
    const [, member] = kind.endsWith('enum') ? (ENUM_MEMBER.exec(text) ?? []) : [];
    if (member !== undefined) return program.usesOf(file, `${name}.${member}`, (inFile) => this.knows(inFile, { file, name }));
    const [, local] = kind === 'function' ? (LOCAL_CONSTANT.exec(text) ?? []) : [];
    if (local === undefined) return [];
    return program.usesOf(file, local, (inFile, at) => inFile === file && at > line && this.declarationAt(inFile, at)?.start === start);
  }

  /** A constant, and those whose values are computed from it. */
  private constantsFrom(file: string, name: string): { file: string; name: string }[] {
    const found = [{ file, name }];
    // The list goes on with what is added while it is read.
    for (const one of found)
      for (const [other, lines] of this.files) {
        if (!this.knows(other, one)) continue;
        for (const [index, text] of lines.entries()) {
          const [, kind, declared = ''] = DECLARATION.exec(text) ?? [];
          const isKnown = found.some((known) => known.file === other && known.name === declared);
          if (kind === 'const' && !isKnown && hasWord(valueAt(lines, index), one.name)) found.push({ file: other, name: declared });
        }
      }
    return found;
  }

  /** Whether a file declares or imports a name. */
  private knows(inFile: string, { file, name }: { readonly file: string; readonly name: string }): boolean {
    if (inFile === file) return true;
    const imports = (this.files.get(inFile) ?? []).join('\n').match(/^import\b[^;]*;/gm) ?? [];
    return imports.some((text) => hasWord(text, name));
  }

  /** Whether a line is in a function that nothing calls, which is not compiled. */
  private isUncalled(file: string, line: number): boolean {
    const declaration = this.declarationAt(file, line);
    if (declaration?.kind !== 'function' || this.program.hasFunction(file, declaration.name)) return false;
    // Its parameters may take several lines.
    const body = (this.files.get(file) ?? []).findIndex((text, index) => index >= declaration.start && /\{\s*$/.test(text));
    return body >= 0 && line - 1 > body;
  }

  /** The declaration that a line is in. */
  private declarationAt(file: string, line: number): Declaration | undefined {
    const lines = this.files.get(file) ?? [];
    for (let start = line - 1; start >= 0; start--) {
      const text = lines[start] ?? '';
      const [, kind, name = ''] = DECLARATION.exec(text) ?? [];
      if (kind !== undefined) return { kind, name, start };
      // A line that starts at the margin, and is no end of what was begun before, is something else.
      if (/^[^\s})\]]/.test(text)) return undefined;
    }
    return undefined;
  }

  private textOf(file: string, line: number): string {
    return this.files.get(file)?.[line - 1] ?? '';
  }
}

const hasWord = (text: string, word: string): boolean => new RegExp(`(?<![\\w$.])${word.replaceAll('$', '\\$')}(?![\\w$])`).test(text);

/** The value of the constant that a line starts to declare. */
function valueAt(lines: readonly string[], start: number): string {
  const end = lines.findIndex((text, index) => index >= start && /;\s*$/.test(text));
  return lines
    .slice(start, end + 1)
    .join('\n')
    .replace(/^.*?=/, '');
}
