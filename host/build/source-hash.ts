import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** SHA-256 over the controller's sources below `root` and the compiler's settings, in the order of their paths. */
export function hashSources(root: string): string {
  return hashTree(sourcesIn(join(root, 'assembly', 'controller')), readFileSync(join(root, 'asconfig.json')));
}

/** SHA-256 over the contract's tables below `root`. */
export const hashTables = (root: string): string => hashTree(sourcesIn(join(root, 'shared')), '');

/** Where the build of the host writes down which tables it was made with. */
export const tablesFile = (root: string): string => join(root, 'dist', 'shared', 'tables.sha256');

function sourcesIn(folder: string): Map<string, Uint8Array> {
  const paths = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((path) => path.endsWith('.ts'));
  return new Map(paths.map((path) => [path, readFileSync(join(folder, path))]));
}

/** The same over sources at hand: path below the controller's folder → text. */
export function hashTree(sources: ReadonlyMap<string, Uint8Array | string>, settings: Uint8Array | string): string {
  const hash = createHash('sha256');
  for (const [path, text] of [...sources].sort(([a], [b]) => (a < b ? -1 : 1))) hash.update(path).update('\0').update(text);
  return hash.update(settings).digest('hex');
}
