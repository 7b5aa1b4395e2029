import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** SHA-256 over the controller's sources below `root` and the compiler's settings, in the order of their paths. */
export function hashSources(root: string): string {
  const folder = join(root, 'assembly', 'controller');
  const paths = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((path) => path.endsWith('.ts'));
  const sources = paths.map((path) => [path, readFileSync(join(folder, path))] as const);
  return hashTree(new Map(sources), readFileSync(join(root, 'asconfig.json')));
}

/** The same over sources at hand: path below the controller's folder → text. */
export function hashTree(sources: ReadonlyMap<string, Uint8Array | string>, settings: Uint8Array | string): string {
  const hash = createHash('sha256');
  for (const [path, text] of [...sources].sort(([a], [b]) => (a < b ? -1 : 1))) hash.update(path).update('\0').update(text);
  return hash.update(settings).digest('hex');
}
