import { mkdirSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import asc from 'assemblyscript/asc';
import { describeContract } from '../contract/contract.js';
import { embedDescription } from '../contract/embed.js';
import { hashSources } from './source-hash.js';

/**
 * Compiles the controller below `root` and lets the binary describe itself. `outFile` appears whole or not at all; its
 * source map stands beside it.
 * @param options more options for the compiler, such as `--use ROWS=24`
 * @returns what the compiler says; empty if there is nothing to say
 * @throws Error with the compiler's messages when it does not compile
 */
export async function buildController(root: string, outFile: string, version: string, options: readonly string[] = []): Promise<string> {
  mkdirSync(dirname(outFile), { recursive: true });
  const aside = mkdtempSync(join(dirname(outFile), '.build-'));
  const made = join(aside, basename(outFile));
  try {
    const { error, stderr } = await asc.main([
      '--config',
      'asconfig.json',
      '--target',
      'release',
      '--baseDir',
      root,
      '--outFile',
      made,
      ...options,
    ]);
    // The optimiser says so whenever it stops converging at its limit; the binary is sound.
    const messages = stderr.toString().replace(/^Last converge was suboptimal\.\n/m, '');
    if (error !== null) throw new Error(messages === '' ? error.message : messages);
    writeFileSync(made, embedDescription(readFileSync(made), { version, sourceHash: hashSources(root), contract: describeContract() }));
    renameSync(`${made}.map`, `${outFile}.map`);
    renameSync(made, outFile);
    return messages;
  } finally {
    rmSync(aside, { recursive: true });
  }
}
