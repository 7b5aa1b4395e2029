/** `npm run contract`: writes every generated file from the tables in shared/. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { generatedFiles } from './generated-files.js';

for (const [path, text] of Object.entries(generatedFiles())) {
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, text);
  process.stderr.write(`${path}\n`);
}
