export interface Section {
  readonly id: number;
  readonly bytes: number;
}

/** The sections of a WebAssembly binary in their order (Core Specification 1.0, §5.5.2: id, size as LEB128, content). */
export function readSections(wasm: Uint8Array): Section[] {
  const sections: Section[] = [];
  let at = 8;
  while (at < wasm.length) {
    const id = wasm[at++] ?? 0;
    let bytes = 0;
    for (let shift = 0; ; shift += 7) {
      const byte = wasm[at++] ?? 0;
      bytes += (byte & 0x7f) * 2 ** shift;
      if (byte < 0x80) break;
    }
    sections.push({ id, bytes });
    at += bytes;
  }
  if (at !== wasm.length) throw new Error(`the last section ends at ${at}, the file at ${wasm.length}`);
  return sections;
}
