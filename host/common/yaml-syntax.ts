import { type Document, type ErrorCode, isAlias, isCollection, isScalar, type Node, type Pair, visit } from 'yaml';

/** Values that aliases may repeat; each of them may itself be large. */
export const ALIASES_MAX = 100;

/** What is wrong with the syntax of a YAML text, and at which offset. */
export interface SyntaxProblem {
  readonly offset: number;
  readonly problem: string;
}

/** Syntax errors in our words: the parser's own use terms of its implementation. */
const PROBLEMS: Readonly<Record<ErrorCode, string>> = {
  ALIAS_PROPS: 'an alias can have no anchor or tag',
  BAD_ALIAS: 'this is not a valid alias or anchor name',
  BAD_COLLECTION_TYPE: 'this tag does not fit a list or a mapping',
  BAD_DIRECTIVE: 'this is not a valid YAML directive',
  BAD_DQ_ESCAPE: 'this escape sequence is not valid in double quotes',
  BAD_INDENT: 'the indentation does not match the lines above',
  BAD_PROP_ORDER: 'an anchor or a tag must come before the value, after the indicator',
  BAD_SCALAR_START: 'text that starts with this character needs quotes',
  BLOCK_AS_IMPLICIT_KEY: 'a mapping cannot start here; check the indentation, or put text that holds a colon in quotes',
  BLOCK_IN_FLOW: 'an indented list or mapping cannot be inside brackets or braces',
  DUPLICATE_KEY: 'this key appears twice',
  IMPOSSIBLE: 'this is not valid YAML',
  KEY_OVER_1024_CHARS: 'this key is longer than 1024 characters',
  MISSING_CHAR: 'a quote, bracket, comma, colon or space is missing',
  MULTILINE_IMPLICIT_KEY: 'this key extends over several lines, or the colon after it is missing',
  MULTIPLE_ANCHORS: 'this value has two anchors',
  MULTIPLE_DOCS: 'a second document starts here; the file must hold one',
  MULTIPLE_TAGS: 'this value has two tags',
  NON_STRING_KEY: 'this key is not text',
  RESOURCE_EXHAUSTION: 'values are nested too deeply',
  TAB_AS_INDENT: 'a tab is used as indentation; YAML allows only spaces',
  TAG_RESOLVE_FAILED: 'this tag is unknown',
  UNEXPECTED_TOKEN: 'this character is out of place',
};

/** The last node before an offset for which `isRight` holds. */
function lastBefore(document: Document.Parsed, offset: number, isRight: (node: Node) => boolean): number | undefined {
  let found: number | undefined;
  visit(document, {
    Node: (_, node) => {
      const start = node.range?.[0];
      if (start !== undefined && start < offset && isRight(node)) found = Math.max(found ?? 0, start);
    },
  });
  return found;
}

/** What is not closed, by the parser's message, at its start: the parser notices it at its end, perhaps many lines below. */
function unclosed(document: Document.Parsed, text: string, offset: number, message: string): SyntaxProblem | undefined {
  const [, quote] = /^Missing closing (['"])quote/.exec(message) ?? [];
  const [, bracket] = /end with an? ([}\]])$/.exec(message) ?? [];
  if (quote !== undefined) {
    const start = lastBefore(document, offset, (node) => isScalar(node) && text[node.range?.[0] ?? 0] === quote);
    return { offset: start ?? offset, problem: `a ${quote === '"' ? 'double' : 'single'} quote is not closed` };
  }
  if (bracket === undefined) return undefined;
  const [kind, opening] = bracket === '}' ? ['brace', '{'] : ['bracket', '['];
  const isOpen = (node: Node): boolean =>
    isCollection(node) && text[node.range?.[0] ?? 0] === opening && text[(node.range?.[1] ?? 0) - 1] !== bracket;
  return { offset: lastBefore(document, offset, isOpen) ?? offset, problem: `a ${kind} is not closed: \`${bracket}\` is missing` };
}

/** A list or a mapping as a key, or an alias without an anchor: valid YAML that no file of ours can mean. */
function misused(document: Document.Parsed): SyntaxProblem | undefined {
  const anchors = new Set<string>();
  let found: SyntaxProblem | undefined;
  visit(document, {
    Pair: (_, { key }: Pair) => {
      if (!isCollection(key)) return undefined;
      found = { offset: key.range?.[0] ?? 0, problem: 'a list or a mapping cannot be a key' };
      return visit.BREAK;
    },
    Node: (_, node, ancestors) => {
      if ('anchor' in node && node.anchor !== undefined) anchors.add(node.anchor);
      if (!isAlias(node)) return undefined;
      const isInside = ancestors.some((one) => 'anchor' in one && one.anchor === node.source);
      if (anchors.has(node.source) && !isInside) return undefined;
      const problem = isInside
        ? `*${node.source} is inside the value that it repeats`
        : `the alias *${node.source} has no anchor before it`;
      found = { offset: node.range?.[0] ?? 0, problem };
      return visit.BREAK;
    },
  });
  return found;
}

/** Returns the first problem with the syntax of a text; undefined if there is none. */
export function syntaxProblem(document: Document.Parsed, text: string): SyntaxProblem | undefined {
  const [found] = [...document.errors, ...document.warnings];
  if (found === undefined) return misused(document);
  const [offset] = found.pos;
  return unclosed(document, text, offset, found.message) ?? { offset, problem: PROBLEMS[found.code] };
}

/** Offset of the first alias. */
export function firstAlias(document: Document.Parsed): number {
  let offset = 0;
  visit(document, {
    Alias: (_, { range }) => {
      offset = range?.[0] ?? 0;
      return visit.BREAK;
    },
  });
  return offset;
}
