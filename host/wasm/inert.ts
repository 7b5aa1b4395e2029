import { BadBinary } from './bytes.js';
import { type BinaryModule, KIND, type Limits, readModule, SECTION, type Signature } from './module.js';

/** What a kind of binary exports besides its memory. */
export interface Interface {
  readonly required: Readonly<Record<string, Signature>>;
  readonly optional?: Readonly<Record<string, Signature>>;
}

/** Size of a unit of memory, bytes. */
export const PAGE_BYTES = 65536;
/** More than the plant needs with the longest height profile. */
const PAGES_MAX = 256;
/** References to functions. */
const TABLE_MAX = 10_000;

const sameTypes = (a: readonly string[], b: readonly string[]): boolean => a.length === b.length && a.every((type, at) => b[at] === type);
const describe = ({ params, results }: Signature): string => `(${params.join(', ')}) → ${results.join(', ') || 'nothing'}`;

/** The size of memory must be fixed: a grown memory would leave views of the old one behind. */
function checkSize(what: string, { min, max }: Limits, allowed: number, isFixed: boolean): void {
  if (max === undefined) throw new BadBinary(`its ${what} has no maximum size`);
  if (Math.max(min, max) > allowed)
    throw new BadBinary(`its ${what} has a size of up to ${Math.max(min, max)}; at most ${allowed} is allowed`);
  if (isFixed && min !== max) throw new BadBinary(`its ${what} can grow from ${min} to ${max}; it must have a fixed size`);
}

function checkExports({ exports, functions, types }: BinaryModule, { required, optional = {} }: Interface): void {
  const known = new Map([...Object.entries(required), ...Object.entries(optional)]);
  for (const { name, kind, index } of exports) {
    if (name === 'memory' && kind === KIND.memory) continue;
    const expected = known.get(name);
    if (expected === undefined || kind !== KIND.function)
      throw new BadBinary(`it exports ${JSON.stringify(name.slice(0, 60))}, which is not part of its interface`);
    const found = types[functions[index] ?? -1];
    if (found === undefined || !sameTypes(found.params, expected.params) || !sameTypes(found.results, expected.results))
      throw new BadBinary(`its ${name} is ${found === undefined ? 'damaged' : describe(found)} instead of ${describe(expected)}`);
  }
  const missing = ['memory', ...Object.keys(required)].find((name) => !exports.some((one) => one.name === name));
  if (missing !== undefined) throw new BadBinary(`it does not export ${missing}`);
}

/**
 * Reads a binary and checks that it can do nothing but compute when it is called: it imports nothing, runs nothing when it is
 * instantiated, exports what its interface lists and nothing else, and its memory has a fixed size.
 * @throws BadBinary that says what is wrong with it
 */
export function readInert(bytes: Uint8Array, expected: Interface): BinaryModule {
  const module = readModule(bytes);
  if (module.sections.some(({ id }) => id === SECTION.import)) throw new BadBinary('it imports something; a binary must be self-contained');
  if (module.sections.some(({ id }) => id === SECTION.start))
    throw new BadBinary('it has a start function, which would run before it is called');
  const [memory] = module.memories;
  if (memory === undefined) throw new BadBinary('it has no memory');
  checkSize('memory', memory, PAGES_MAX, true);
  for (const table of module.tables) checkSize('table', table, TABLE_MAX, false);
  checkExports(module, expected);
  if (!WebAssembly.validate(bytes as Uint8Array<ArrayBuffer>)) throw new BadBinary('it is not valid WebAssembly');
  return module;
}
