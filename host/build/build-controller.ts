import { describeContract } from '../contract/contract.js';
import { embedDescription } from '../contract/embed.js';
import { compile } from './compile.js';
import { hashSources } from './source-hash.js';

/**
 * Compiles the controller below `root` and lets the binary describe itself, see `compile`.
 * @param options more options for the compiler, such as `--use ROWS=24`
 */
export function buildController(root: string, outFile: string, version: string, options: readonly string[] = []): Promise<string> {
  const description = { version, sourceHash: hashSources(root), contract: describeContract() };
  const release = ['--config', 'asconfig.json', '--target', 'release', '--baseDir', root];
  return compile(outFile, [...release, ...options], (wasm) => embedDescription(wasm, description));
}
