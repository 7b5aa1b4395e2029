import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { PLANT_LAYOUT, PLANT_SECTION } from '../contract/plant-layout.js';
import { type Compiled, compile, parseOptions } from './compile.js';
import { readSources } from './sources.js';

const PLANT = 'assembly/plant';

/** Compiles the plant of a project; the binary carries the hash of its records' layout. @throws InputError with the compiler's messages */
export const compilePlant = (root: string): Promise<Compiled> =>
  compile({
    name: 'plant',
    sources: readSources(root, PLANT),
    entry: `${PLANT}/index.ts`,
    options: parseOptions(readFileSync(join(root, PLANT, 'asconfig.json'), 'utf8')),
    section: { name: PLANT_SECTION, content: { layoutHash: PLANT_LAYOUT.hash } },
  });
