import { mkdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { type Compiled, writeBinary } from '../build/compile.js';
import { compileController, readControllerSources } from '../build/controller.js';
import { InputError } from '../common/input-error.js';
import { refuseLinksOut } from '../common/links.js';
import { isOwnProject, type Project } from '../common/project.js';
import { readText } from '../common/read-file.js';
import { writeAllAtomic } from '../common/write-atomic.js';
import { projectFiles } from '../contract/generate/generated-files.js';

/** @throws InputError in this program's own checkout, and outside of any project */
export function requireOwnProject(project: Project): void {
  if (isOwnProject(project)) return;
  const hint = 'Make a project with `latchbench init`, and call it there. In the checkout of latchbench, run `npm run build`';
  throw new InputError({ file: project.manifest, problem: 'this folder is in no project', hint });
}

function isWritten(file: string, text: string): boolean {
  try {
    return readText(file, 'yaml') === text;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return false;
  }
}

/**
 * Writes the generated files of a project from its tables, and compiles its controller. What is up to date stays as it is.
 * @returns paths of the files that were written, below the project's folder
 * @throws InputError with the compiler's messages
 */
export async function buildProject(project: Project, onCompile: () => void): Promise<{ written: string[]; compiled: Compiled }> {
  const { root } = project;
  const changed = Object.entries(projectFiles()).filter(([path, text]) => !isWritten(join(root, path), text));
  for (const [path] of changed) {
    mkdirSync(dirname(join(root, path)), { recursive: true });
    refuseLinksOut(root, join(root, path));
  }
  writeAllAtomic(changed.map(([path, text]) => [join(root, path), text] as const));
  const compiled = await compileController(readControllerSources(root), { onStart: onCompile });
  writeBinary(project.controllerWasm, compiled);
  return { written: changed.map(([path]) => path), compiled };
}
