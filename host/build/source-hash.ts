import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** SHA-256 over the controller's sources below `root` and the compiler's settings, in the order of their paths. */
export function hashSources(root: string): string {
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
