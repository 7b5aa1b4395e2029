import { type Document, isScalar, Lexer, type Scalar, visit, type YAMLMap } from 'yaml';
import { findControl } from './control-characters.js';
import type { SyntaxProblem } from './yaml-syntax.js';

/** Nodes, separators and line ends of a file; our largest has 5000. A parser needs about 20 µs for each. */
const TOKENS_MAX = 100_000;
/** Nesting of brackets and of dashes on one line. No file of ours has more than five levels. */
const DEPTH_MAX = 50;
/** Length of a value or a key, in characters. */
const SCALAR_LENGTH_MAX = 10_000;

/** What the lexer inserts between the tokens of the text: start of a document, end of a flow, start of a scalar. */
const MARKS: readonly string[] = ['\u0002', '\u0018', '\u001f'];
const SCALAR_MARK = '\u001f';

/** Depth of nesting at a token: of brackets, and of the dashes and question marks of one line. */
class Nesting {
  #brackets = 0;
  #dashes = 0;

  depthAt(token: string): number {
    if (token === '[' || token === '{') this.#brackets += 1;
    if (token === ']' || token === '}') this.#brackets -= 1;
    if (token === '-' || token === '?') this.#dashes += 1;
    if (token.startsWith('\n') || token.startsWith('\r')) this.#dashes = 0;
    return this.#brackets + this.#dashes;
  }
}

/** What is wrong with the tokens, and the offset where. */
function findExcess(text: string): SyntaxProblem | undefined {
  const nesting = new Nesting();
  let offset = 0;
  let count = 0;
  let isScalar = false;
  for (const token of new Lexer().lex(text)) {
    if (!isScalar && MARKS.includes(token)) {
      isScalar = token === SCALAR_MARK;
      continue;
    }
    count += 1;
    if (count > TOKENS_MAX) return { offset, problem: `the file has more than ${TOKENS_MAX} values and separators` };
    // In quotes, a scalar has no mark.
    const isText = isScalar || /^["']/.test(token);
    if (isText && token.length > SCALAR_LENGTH_MAX) return { offset, problem: `this text is longer than ${SCALAR_LENGTH_MAX} characters` };
    if (!isScalar && nesting.depthAt(token) > DEPTH_MAX) return { offset, problem: `values are nested in more than ${DEPTH_MAX} levels` };
    isScalar = false;
    offset += token.length;
  }
  return undefined;
}

const controlProblem = (escaped: string): string => `the text contains ${escaped}, a character that is not visible`;

/**
 * Checks a YAML text before it is parsed: parsing takes far longer than this, for some texts with the square of their length.
 * Returns the first control character, or where the text has too many, too long or too deep values.
 */
export function findInText(text: string): SyntaxProblem | undefined {
  // Line ends of Windows are no control characters here; a carriage return elsewhere hides what is before it.
  const control = findControl(text.replaceAll('\r\n', ' \n'));
  return control === undefined ? findExcess(text) : { offset: control.offset, problem: controlProblem(control.escaped) };
}

/** The first key that is in the mapping already. The parser's own check takes the square of the number of keys. */
function findDuplicate({ items }: YAMLMap): Scalar | undefined {
  const seen = new Set<unknown>();
  for (const { key } of items) {
    if (!isScalar(key)) continue;
    if (seen.has(key.value)) return key;
    seen.add(key.value);
  }
  return undefined;
}

/** Returns the first key that appears twice in a mapping, or the first value with an escaped control character. */
export function findInDocument(document: Document.Parsed, text: string): SyntaxProblem | undefined {
  let found: SyntaxProblem | undefined;
  const stopAt = ({ range }: Scalar, problem: string): symbol => {
    found = { offset: range?.[0] ?? 0, problem };
    return visit.BREAK;
  };
  visit(document, {
    Map(_, map) {
      const key = findDuplicate(map);
      return key === undefined ? undefined : stopAt(key, `the key \`${text.slice(key.range?.[0], key.range?.[1])}\` appears twice`);
    },
    Scalar(_, scalar) {
      const control = typeof scalar.value === 'string' ? findControl(scalar.value) : undefined;
      return control === undefined ? undefined : stopAt(scalar, controlProblem(control.escaped));
    },
  });
  return found;
}
