import { embedDescription } from '../contract/embed.js';
import { PLANT_LAYOUT, PLANT_SECTION } from '../contract/plant-layout.js';
import { compile } from './compile.js';

/** Compiles the plant below `root`; the binary carries the hash of its records' layout, see `compile`. */
export function buildPlant(root: string, outFile: string): Promise<string> {
  const options = ['--config', 'assembly/plant/asconfig.json', '--baseDir', root];
  return compile(outFile, options, (wasm) => embedDescription(wasm, { layoutHash: PLANT_LAYOUT.hash }, PLANT_SECTION));
}
