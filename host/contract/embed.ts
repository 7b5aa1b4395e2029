import { leb128 } from '../wasm/bytes.js';
import type { Contract } from './contract.js';

/** Name of the custom section with the build's description. */
export const SECTION = 'latchbench.contract';

/** A build's description: the project's version, a hash of the controller's sources, and the contract. */
export interface BuildDescription {
  readonly version: string;
  readonly sourceHash: string;
  readonly contract: Contract;
}

/** Appends a custom section (id 0: size, name, content) with the description as JSON. */
export function embedDescription(wasm: Uint8Array, description: unknown, section: string = SECTION): Buffer {
  const name = Buffer.from(section);
  const body = Buffer.concat([Buffer.from(leb128(name.length)), name, Buffer.from(JSON.stringify(description))]);
  return Buffer.concat([wasm, Buffer.from([0, ...leb128(body.length)]), body]);
}
