import type { Contract } from './contract.js';

/** Name of the custom section that carries the contract as JSON. */
export const SECTION = 'latchbench.contract';

/** What the build writes into the binary: the contract, the tool's version and a hash of the controller's sources. */
export interface BuildDescription {
  readonly version: string;
  readonly sourceHash: string;
  readonly contract: Contract;
}

/** Unsigned LEB128, as WebAssembly writes sizes (WebAssembly Core Specification 1.0, §5.2.2). */
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

/** The binary with something said of it, as JSON in a custom section (id 0: size, name, content). */
export function embedDescription(wasm: Uint8Array, description: unknown, section: string = SECTION): Buffer {
  const name = Buffer.from(section);
  const body = Buffer.concat([Buffer.from(leb128(name.length)), name, Buffer.from(JSON.stringify(description))]);
  return Buffer.concat([wasm, Buffer.from([0, ...leb128(body.length)]), body]);
}

/** What a compiled module says of itself. @throws Error when it says nothing, or twice. */
export function describeModule(module: WebAssembly.Module): BuildDescription {
  const sections = WebAssembly.Module.customSections(module, SECTION);
  const [section] = sections;
  if (section === undefined || sections.length > 1) {
    throw new Error(`the binary has ${sections.length} sections “${SECTION}”, one is needed: build it with npm run build:controller`);
  }
  return JSON.parse(Buffer.from(section).toString()) as BuildDescription;
}
