import { existsSync, mkdirSync, rmSync } from 'node:fs';
import { dirname, join, posix, relative } from 'node:path';
import { pathToFileURL } from 'node:url';
import { sha256 } from '../common/hash.js';
import { InputError } from '../common/input-error.js';
import { TOOL_ROOT } from '../common/project.js';
import { toolVersion } from '../common/version.js';
import { writeAllAtomic } from '../common/write-atomic.js';
import { type ContractTables, type ProjectTables, useTables } from '../contract/tables-in-force.js';
import { readTablesHash, TABLES } from './own-sources.js';
import { readSources, type SourceTree } from './sources.js';

/*
 * The contract's tables of a team's project are TypeScript, as this program's are: the working tree is trusted, and its tables run.
 * Those of a commit never do: see commit-build.ts.
 */

/** The tables that belong to a project. What they import besides each other is this program's. */
export const TABLE_FILES = ['parameters.ts', 'faults.ts', 'records.ts'] as const;
/** How they import this program's tables. */
const OWN_IMPORT = /'latchbench\/shared\/([a-z]+)\.js'/g;

const PROGRAM_TABLES = join(TOOL_ROOT, TABLES);

/** Where a module that a table imports is; undefined if there is none. */
function resolveTable(text: string, from: string): string | undefined {
  const [, own] = /^latchbench\/shared\/([a-z]+)\.js$/.exec(text) ?? [];
  const path = own === undefined ? join(dirname(from), text.replace(/\.js$/, '.ts')) : join(PROGRAM_TABLES, `${own}.ts`);
  return existsSync(path) ? path : undefined;
}

/** Checks the types of the tables, and compiles them. @returns path below shared → text @throws InputError with line and column */
async function compileTables(root: string, paths: readonly string[]): Promise<Map<string, string>> {
  // Takes half a second to load, and is needed only after an edit.
  const { default: ts } = await import('typescript');
  const options = {
    ...{ target: ts.ScriptTarget.ES2022, module: ts.ModuleKind.ESNext, moduleResolution: ts.ModuleResolutionKind.Bundler },
    ...{ strict: true, exactOptionalPropertyTypes: true, skipLibCheck: true, types: [] },
  };
  const host = ts.createCompilerHost(options);
  host.resolveModuleNameLiterals = (literals, from) =>
    literals.map(({ text }) => {
      const path = resolveTable(text, from);
      return { resolvedModule: path === undefined ? undefined : { resolvedFileName: path, extension: ts.Extension.Ts } };
    });
  const program = ts.createProgram(
    paths.map((path) => join(root, path)),
    options,
    host,
  );
  const [wrong] = ts.getPreEmitDiagnostics(program);
  if (wrong !== undefined) {
    const at = wrong.file?.getLineAndCharacterOfPosition(wrong.start ?? 0);
    const place = at === undefined ? {} : { line: at.line + 1, column: at.character + 1 };
    const problem = ts.flattenDiagnosticMessageText(wrong.messageText, ' ').replace(/\.$/, '');
    throw new InputError({ file: wrong.file === undefined ? TABLES : relative(root, wrong.file.fileName), ...place, problem });
  }
  const compiled = new Map<string, string>();
  for (const path of paths) {
    program.emit(program.getSourceFile(join(root, path)), (_, text) => {
      const withUrls = text.replaceAll(OWN_IMPORT, (_all, own) => `'${pathToFileURL(join(TOOL_ROOT, 'dist', TABLES, `${own}.js`)).href}'`);
      compiled.set(posix.basename(path).replace(/\.ts$/, '.mjs'), withUrls.replaceAll(/(from '\.\/[\w-]+)\.js'/g, "$1.mjs'"));
    });
  }
  return compiled;
}

/** Compiled tables are kept beside the controller: a folder for their content and this program's version. */
async function compiledFolder(root: string, sources: SourceTree): Promise<string> {
  const all = join(root, 'dist', 'tables');
  const key = sha256(JSON.stringify([toolVersion(), PROGRAM_TABLES, readTablesHash(TOOL_ROOT), [...sources]])).slice(0, 16);
  const folder = join(all, key);
  const names = TABLE_FILES.map((name) => join(folder, name.replace(/\.ts$/, '.mjs')));
  if (names.every((file) => existsSync(file))) return folder;
  const compiled = await compileTables(root, [...sources.keys()]);
  rmSync(all, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  writeAllAtomic([...compiled].map(([name, text]) => [join(folder, name), text] as const));
  return folder;
}

/**
 * Compiles and reads the contract's tables of a team's project.
 * @throws InputError with line and column, or if a table is missing
 */
export async function readProjectTables(root: string): Promise<ProjectTables> {
  const missing = TABLE_FILES.find((name) => !existsSync(join(root, TABLES, name)));
  if (missing !== undefined) throw new InputError({ file: `${TABLES}/${missing}`, problem: 'the table is missing', hint: 'Restore it' });
  const folder = await compiledFolder(root, readSources(root, TABLES));
  const modules = await Promise.all(
    TABLE_FILES.map((name) => import(pathToFileURL(join(folder, name.replace(/\.ts$/, '.mjs'))).href) as Promise<object>),
  );
  const { PARAMETERS, RULES, FAULTS, CHECKS, RECORDS, ENUMS } = Object.assign({}, ...modules) as ContractTables;
  return { tables: { PARAMETERS, RULES, FAULTS, CHECKS, RECORDS, ENUMS }, hash: readTablesHash(root) };
}

/**
 * Puts the contract's tables of a project into force, before any module is loaded that works with them.
 * @throws InputError with line and column, or if the controller could not be described by them
 */
export async function useProjectTables(root: string): Promise<void> {
  useTables(await readProjectTables(root));
  const { describeContract } = await import('../contract/contract.js');
  const { parseContract } = await import('../contract/read-contract.js');
  try {
    parseContract(Buffer.from(JSON.stringify(describeContract())));
  } catch (error) {
    throw new InputError({ file: TABLES, problem: (error as Error).message });
  }
}
