/** The last step of `npm run build:host`: makes the command executable, and writes which sources it was built from. */
import { chmodSync } from 'node:fs';
import { join } from 'node:path';
import { TOOL_ROOT } from '../common/project.js';
import { writeOwnHashes } from './own-sources.js';

chmodSync(join(TOOL_ROOT, 'dist', 'host', 'cli', 'main.js'), 0o755);
writeOwnHashes();
