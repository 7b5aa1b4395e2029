import { ROWS_MAX } from '../../shared/limits.js';
import { describeContract } from '../contract/contract.js';
import { embedDescription } from '../contract/embed.js';
import { compile } from './compile.js';
import { hashSources } from './source-hash.js';

/** A controller with room for `rows` rows only: it needs less memory. */
export const buildForRows = (root: string, outFile: string, version: string, rows: number): Promise<string> =>
  compileController(root, outFile, version, ['--use', `ROWS=${rows}`], rows);

/**
 * Compiles the controller below `root` and lets the binary describe itself, see `compile`.
 * @param options more options for the compiler
 */
export function buildController(root: string, outFile: string, version: string, options: readonly string[] = []): Promise<string> {
  return compileController(root, outFile, version, options, ROWS_MAX);
}

function compileController(root: string, outFile: string, version: string, options: readonly string[], rows: number): Promise<string> {
  const description = { version, sourceHash: hashSources(root), contract: describeContract(rows) };
  const release = ['--config', 'asconfig.json', '--target', 'release', '--baseDir', root];
  return compile(outFile, [...release, ...options], (wasm) => embedDescription(wasm, description));
}
