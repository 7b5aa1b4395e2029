import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { PLANT_LAYOUT, PLANT_SECTION } from '../contract/plant-layout.js';
import { type Compiled, type CompileOptions, compile } from './compile.js';
import { parseOptions } from './compiler-options.js';
import { hashSources, readSources } from './sources.js';

const PLANT = 'assembly/plant';

const readSettings = (root: string): string => readFileSync(join(root, PLANT, 'asconfig.json'), 'utf8');

/** As embedded in the binary, so that a binary can be matched with its sources. */
export const hashPlant = (root: string): string => hashSources(readSources(root, PLANT), PLANT, readSettings(root));

/**
 * Compiles the plant of a project; the binary carries the hashes of its records' layout and of its sources.
 * @throws InputError with the compiler's messages
 */
export function compilePlant(root: string, onStart?: CompileOptions['onStart']): Promise<Compiled> {
  const compilation = {
    name: 'plant',
    sources: readSources(root, PLANT),
    entry: `${PLANT}/index.ts`,
    options: parseOptions(readSettings(root)),
    section: { name: PLANT_SECTION, content: { layoutHash: PLANT_LAYOUT.hash, sourceHash: hashPlant(root) } },
  };
  return compile(compilation, { onStart });
}

/** The hash of the sources that a plant was compiled from; undefined if its description has none. */
export function plantSourceHash(plant: WebAssembly.Module): string | undefined {
  const [section] = WebAssembly.Module.customSections(plant, PLANT_SECTION);
  return section === undefined ? undefined : (JSON.parse(Buffer.from(section).toString()) as { sourceHash?: string }).sourceHash;
}
