import { createHash } from 'node:crypto';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import asc from 'assemblyscript/asc';
import { describeContract } from '../contract/contract.js';
import { embedDescription } from '../contract/embed.js';

/** SHA-256 over the controller's sources and compiler settings, in the order of their paths. */
function sourceHash(root: string): string {
  const hash = createHash('sha256');
  const folder = join(root, 'assembly', 'controller');
  const sources = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((path) => path.endsWith('.ts'));
  for (const path of sources.sort())
    hash
      .update(path)
      .update('\0')
      .update(readFileSync(join(folder, path)));
  return hash.update(readFileSync(join(root, 'asconfig.json'))).digest('hex');
}

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
    writeFileSync(made, embedDescription(readFileSync(made), { version, sourceHash: sourceHash(root), contract: describeContract() }));
    renameSync(`${made}.map`, `${outFile}.map`);
    renameSync(made, outFile);
    return messages;
  } finally {
    rmSync(aside, { recursive: true });
  }
}
