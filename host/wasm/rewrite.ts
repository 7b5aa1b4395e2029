import { leb128 } from './bytes.js';
import { type BinaryModule, SECTION } from './module.js';

/* Writing changed copies of binaries (WebAssembly Core Specification 1.0, chapter 5). */

export type Part = Uint8Array | readonly number[];

export const join = (parts: readonly Part[]): Uint8Array =>
  Buffer.concat(parts.map((part) => (part instanceof Uint8Array ? part : Uint8Array.from(part))));

/** Its size in bytes, and then the content. */
export const sized = (content: Uint8Array): Uint8Array => join([leb128(content.length), content]);

/** Their number, and then the entries. */
export const list = (entries: readonly Part[]): Uint8Array => join([leb128(entries.length), ...entries]);

/** Returns a copy in which some sections have other contents, by their id. It has no custom sections. */
export function withSections({ bytes, sections }: BinaryModule, changed: ReadonlyMap<number, Uint8Array>): Uint8Array<ArrayBuffer> {
  const contents = new Map(
    sections.filter(({ id }) => id !== SECTION.custom).map(({ id, start, end }) => [id, bytes.subarray(start, end)]),
  );
  for (const [id, content] of changed) contents.set(id, content);
  // Sections come in the order of their codes, except that the count of data comes before the code.
  const orderOf = (id: number): number => (id === SECTION.dataCount ? SECTION.code - 0.5 : id);
  const inOrder = [...contents].sort(([a], [b]) => orderOf(a) - orderOf(b));
  return Uint8Array.from(join([bytes.subarray(0, 8), ...inOrder.flatMap(([id, content]) => [[id], sized(content)])]));
}
