/** The end of `npm run build:host`: the command can be run, and says of itself which tables it was made with. */
import { chmodSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from '../common/project.js';
import { hashTables, tablesFile } from './source-hash.js';

chmodSync(join(ROOT, 'dist', 'host', 'cli', 'main.js'), 0o755);
writeFileSync(tablesFile(ROOT), hashTables(ROOT));
