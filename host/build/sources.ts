import { readdirSync, readFileSync } from 'node:fs';
import { join, posix } from 'node:path';
import { Sha256 } from '../common/hash.js';

/** Source files: path below the project's folder, with slashes → text. */
export type SourceTree = ReadonlyMap<string, string>;

/** The TypeScript and AssemblyScript files below a folder of a project. */
export function readSources(root: string, folder: string): SourceTree {
  const paths = readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' }).filter((path) => path.endsWith('.ts'));
  return new Map(paths.map((path) => [posix.join(folder, path.replaceAll('\\', '/')), readFileSync(join(root, folder, path), 'utf8')]));
}

/** SHA-256 over the files below a folder, in the order of their paths below it, and over the compiler's settings. */
export function hashSources(sources: SourceTree, folder: string, settings: string): string {
  const hash = new Sha256();
  const below = [...sources].flatMap(([path, text]) =>
    path.startsWith(`${folder}/`) ? [[path.slice(folder.length + 1), text] as const] : [],
  );
  for (const [path, text] of below.sort(([a], [b]) => (a < b ? -1 : 1))) hash.update(path).update('\0').update(text);
  return hash.update(settings).digest();
}
