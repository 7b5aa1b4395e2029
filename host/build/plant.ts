import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { writePlant } from '../contract/generate/plant.js';
import { PLANT_SECTION, plantLayout } from '../contract/plant-layout.js';
import { projectTables } from '../contract/tables-in-force.js';
import { type Compiled, type CompileOptions, compile } from './compile.js';
import { parseOptions } from './compiler-options.js';
import { hashSources, readSources, type SourceTree } from './sources.js';

const PLANT = 'assembly/plant';

/** The sources of the plant, with the records that it exchanges with the controller laid out as those of the project. */
function readPlantSources(root: string): SourceTree {
  const sources = readSources(root, PLANT);
  return projectTables() === undefined ? sources : new Map([...sources, [`${PLANT}/generated/records.ts`, writePlant()]]);
}

const readSettings = (root: string): string => readFileSync(join(root, PLANT, 'asconfig.json'), 'utf8');

/** As embedded in the binary, so that a binary can be matched with its sources. */
export const hashPlant = (root: string): string => hashSources(readPlantSources(root), PLANT, readSettings(root));

/**
 * Compiles the plant of a project; the binary carries the hashes of its records' layout and of its sources.
 * @throws InputError with the compiler's messages
 */
export function compilePlant(root: string, onStart?: CompileOptions['onStart']): Promise<Compiled> {
  const compilation = {
    name: 'plant',
    sources: readPlantSources(root),
    entry: `${PLANT}/index.ts`,
    options: parseOptions(readSettings(root)),
    section: { name: PLANT_SECTION, content: { layoutHash: plantLayout().hash, sourceHash: hashPlant(root) } },
  };
  return compile(compilation, { onStart });
}

/** The hash of the sources that a plant was compiled from; undefined if its description has none. */
export function plantSourceHash(plant: WebAssembly.Module): string | undefined {
  const [section] = WebAssembly.Module.customSections(plant, PLANT_SECTION);
  return section === undefined ? undefined : (JSON.parse(Buffer.from(section).toString()) as { sourceHash?: string }).sourceHash;
}
