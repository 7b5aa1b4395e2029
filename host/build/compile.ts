import { mkdirSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import asc from 'assemblyscript/asc';

/**
 * Compiles AssemblyScript and lets `finish` have its way with the binary before `outFile` appears, whole or not at all; the
 * source map, where there is one, stands beside it.
 * @param options of the compiler, without --outFile
 * @returns what the compiler says; empty if there is nothing to say
 * @throws Error with the compiler's messages when it does not compile
 */
export async function compile(outFile: string, options: readonly string[], finish: (wasm: Buffer) => Uint8Array): Promise<string> {
  mkdirSync(dirname(outFile), { recursive: true });
  const aside = mkdtempSync(join(dirname(outFile), '.build-'));
  const made = join(aside, basename(outFile));
  try {
    const { error, stderr } = await asc.main([...options, '--outFile', made, '--sourceMap']);
    // The optimiser says so whenever it stops converging at its limit; the binary is sound.
    const messages = stderr.toString().replace(/^Last converge was suboptimal\.\n/m, '');
    if (error !== null) throw new Error(messages === '' ? error.message : messages);
    writeFileSync(made, finish(readFileSync(made)));
    renameSync(`${made}.map`, `${outFile}.map`);
    renameSync(made, outFile);
    return messages;
  } finally {
    rmSync(aside, { recursive: true });
  }
}
