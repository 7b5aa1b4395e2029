import { readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { TABLE_FILES } from '../build/project-tables.js';
import { readSources } from '../build/sources.js';
import { sha256 } from '../common/hash.js';
import { TOOL_ROOT } from '../common/project.js';

/** Files by their path below the project's folder, with slashes. */
export type Files = ReadonlyMap<string, string>;

const CONTROLLER = 'assembly/controller';

/** A table as a project has it: it imports this program's other tables from the package. */
function projectTable(name: string): string {
  const text = readFileSync(join(TOOL_ROOT, 'shared', name), 'utf8');
  return text.replaceAll(/'\.\/([a-z]+)\.js'/g, (own, table: string) =>
    (TABLE_FILES as readonly string[]).includes(`${table}.ts`) ? own : `'latchbench/shared/${table}.js'`,
  );
}

/** The files of a team's project that this program comes with, and that the team changes: controller, its settings, and tables. */
export function programFiles(): Files {
  const sources = [...readSources(TOOL_ROOT, CONTROLLER)].filter(([path]) => !path.startsWith(`${CONTROLLER}/generated/`));
  return new Map([
    ...sources.sort(([a], [b]) => (a < b ? -1 : 1)),
    ...TABLE_FILES.map((name) => [`shared/${name}`, projectTable(name)] as const),
    ['asconfig.json', readFileSync(join(TOOL_ROOT, 'asconfig.json'), 'utf8')],
  ]);
}

/** SHA-256 of each file. */
export const hashesOf = (files: Files): Record<string, string> =>
  Object.fromEntries([...files].map(([path, text]) => [path, sha256(text)]));

/** A file of the template of a project, with its placeholders replaced. */
export function templateFile(name: string, values: Readonly<Record<string, string>>): string {
  const text = readFileSync(join(TOOL_ROOT, 'host', 'project', 'template', basename(name)), 'utf8');
  return text.replaceAll(/%(\w+)%/g, (all, key: string) => values[key] ?? all);
}
