import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { InputError } from '../common/input-error.js';
import { generatedFiles } from '../contract/generate/generated-files.js';
import { ownTablesHash, readTablesHash } from './own-sources.js';

const GENERATED = 'assembly/controller/generated/';

/** Tables are compiled into this program: it does not know of later edits. @throws InputError */
function checkTables(root: string): void {
  if (readTablesHash(root) === ownTablesHash()) return;
  throw new InputError({ file: 'shared', problem: 'the tables were edited after this program was built', hint: 'Run `npm run build`' });
}

/** The description in a binary is written from this program's tables: generated sources must be too. @throws InputError */
function checkGenerated(root: string): void {
  for (const [path, text] of Object.entries(generatedFiles())) {
    if (!path.startsWith(GENERATED)) continue;
    const file = join(root, path);
    if (existsSync(file) && readFileSync(file, 'utf8') === text) continue;
    throw new InputError({
      file: path,
      problem: 'the file was not generated from the contract that this program was built with',
      hint: 'Run `npm run build`',
    });
  }
}

/** Checks that this program can compile and describe the controller of a project's working tree. @throws InputError if not */
export function checkSources(root: string): void {
  checkTables(root);
  checkGenerated(root);
}
