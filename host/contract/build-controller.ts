/** `npm run build:controller`: compiles the controller and lets the binary describe itself. */
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import asc from 'assemblyscript/asc';
import { CONTROLLER_WASM, ROOT } from '../project.js';
import { describeContract } from './contract.js';
import { embedDescription } from './embed.js';

/** SHA-256 over the controller's sources and compiler settings, in the order of their paths. */
function sourceHash(): string {
  const hash = createHash('sha256');
  const folder = join(ROOT, 'assembly', 'controller');
  const sources = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((path) => path.endsWith('.ts'));
  for (const path of sources.sort())
    hash
      .update(path)
      .update('\0')
      .update(readFileSync(join(folder, path)));
  return hash.update(readFileSync(join(ROOT, 'asconfig.json'))).digest('hex');
}

const { error, stderr } = await asc.main(['--config', 'asconfig.json', '--target', 'release', '--baseDir', ROOT]);
// The optimiser says so whenever it stops converging at its limit; the binary is sound.
const messages = stderr.toString().replace(/^Last converge was suboptimal\.\n/m, '');
process.stderr.write(messages);
if (error !== null) process.exit(1);

const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { version: string };
const wasm = readFileSync(CONTROLLER_WASM);
const aside = `${CONTROLLER_WASM}.partial`;
writeFileSync(aside, embedDescription(wasm, { version, sourceHash: sourceHash(), contract: describeContract() }));
renameSync(aside, CONTROLLER_WASM);
