/** The last step of `npm run build:host`: makes the command executable, and writes which tables it was built with. */
import { chmodSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { TOOL_ROOT } from '../common/project.js';
import { readTablesHash, tablesFile } from './tables.js';

chmodSync(join(TOOL_ROOT, 'dist', 'host', 'cli', 'main.js'), 0o755);
writeFileSync(tablesFile(TOOL_ROOT), readTablesHash(TOOL_ROOT));
