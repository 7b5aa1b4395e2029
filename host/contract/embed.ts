import type { Contract } from './contract.js';

/** Name of the custom section with the build's description. */
export const SECTION = 'latchbench.contract';

/** A build's description: the project's version, a hash of the controller's sources, and the contract. */
export interface BuildDescription {
  readonly version: string;
  readonly sourceHash: string;
  readonly contract: Contract;
}

/** Unsigned LEB128, WebAssembly's encoding of sizes (WebAssembly Core Specification 1.0, §5.2.2). */
export function leb128(value: number): number[] {
  const bytes: number[] = [];
  let rest = value;
  do {
    const low = rest & 0x7f;
    rest >>>= 7;
    bytes.push(rest === 0 ? low : low | 0x80);
  } while (rest !== 0);
  return bytes;
}

/** Appends a custom section (id 0: size, name, content) with the description as JSON. */
export function embedDescription(wasm: Uint8Array, description: unknown, section: string = SECTION): Buffer {
  const name = Buffer.from(section);
  const body = Buffer.concat([Buffer.from(leb128(name.length)), name, Buffer.from(JSON.stringify(description))]);
  return Buffer.concat([wasm, Buffer.from([0, ...leb128(body.length)]), body]);
}

/** Returns the description in a compiled module. @throws Error if it has none, or two */
export function describeModule(module: WebAssembly.Module): BuildDescription {
  const sections = WebAssembly.Module.customSections(module, SECTION);
  const [section] = sections;
  if (section === undefined || sections.length > 1) {
    throw new Error(`it has ${sections.length} custom sections "${SECTION}" instead of one`);
  }
  return JSON.parse(Buffer.from(section).toString()) as BuildDescription;
}
