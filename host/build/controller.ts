import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROWS_MAX } from '../../shared/limits.js';
import { InputError } from '../common/input-error.js';
import { TOOL_ROOT } from '../common/project.js';
import { type Contract, describeContract } from '../contract/contract.js';
import { type BuildDescription, SECTION } from '../contract/embed.js';
import { checkSources } from './check-sources.js';
import { type Compiled, type CompileOptions, compile } from './compile.js';
import { type CompilerOptions, parseOptions } from './compiler-options.js';
import { hashSources, readSources, type SourceTree } from './sources.js';

/** Folder of the controller's sources. */
export const CONTROLLER = 'assembly/controller';
const FIT = 'assembly/fit';

/** What a controller is compiled from. */
export interface ControllerSources {
  readonly sources: SourceTree;
  /** Text of asconfig.json. */
  readonly settings: string;
  /** Version of the project. */
  readonly version: string;
  /** Of sources that may be somebody else's, such as those of a commit. */
  readonly foreign?: {
    /** What their generated files were written from. */
    readonly contract: Contract;
  };
}

/** The version in a package.json. @throws InputError if it has none */
export function versionIn(packageJson: string): string {
  const [, version] = /^ {2}"version": "([0-9A-Za-z.+-]{1,64})",?$/m.exec(packageJson) ?? [];
  if (version === undefined) throw new InputError({ file: 'package.json', problem: 'it has no version' });
  return version;
}

/** The sources in a project's working tree. */
export function readControllerSources(root: string): ControllerSources {
  return {
    sources: readSources(root, CONTROLLER),
    settings: readFileSync(join(root, 'asconfig.json'), 'utf8'),
    version: versionIn(readFileSync(join(root, 'package.json'), 'utf8')),
  };
}

/** As embedded in the binary, so that a binary can be matched with its sources. */
export const hashController = ({ sources, settings }: ControllerSources): string => hashSources(sources, CONTROLLER, settings);

const describeBuild = (from: ControllerSources, rows: number): BuildDescription => ({
  version: from.version,
  sourceHash: hashController(from),
  contract: from.foreign?.contract ?? describeContract(rows),
});

/** How a controller is compiled. All three compute the same bits, except the payload of NaN. */
export type Optimisation = 'release' | 'quick' | 'none';

const OPTIMISATIONS: Readonly<Record<Optimisation, CompilerOptions>> = {
  release: {},
  // A third of the compiler's time; level 1 saves little more, and its code runs five times slower.
  quick: { optimizeLevel: 2, converge: false },
  // Keeps every function, local and constant, with its name.
  none: { optimizeLevel: 0, shrinkLevel: 0, converge: false, debug: true },
};

export interface ControllerBuild {
  readonly optimisation?: Optimisation;
  /** Room for this number of rows; fewer rows need less memory. */
  readonly rows?: number;
  readonly onStart?: CompileOptions['onStart'];
}

/** Compiles a controller; the binary carries the contract that this program was built with, or that of foreign sources. @throws InputError with the compiler's messages */
export function compileController(
  from: ControllerSources,
  { optimisation = 'release', rows = ROWS_MAX, onStart }: ControllerBuild = {},
): Promise<Compiled> {
  const options = parseOptions(from.settings);
  const use = [options.use ?? []].flat().map(String);
  const compilation = {
    name: 'controller',
    sources: from.sources,
    entry: `${CONTROLLER}/index.ts`,
    options: { ...options, ...OPTIMISATIONS[optimisation], use: rows === ROWS_MAX ? use : [...use, `ROWS=${rows}`] },
    section: { name: SECTION, content: describeBuild(from, rows) },
  };
  return compile(compilation, { isForeign: from.foreign !== undefined, onStart });
}

/**
 * Compiles the controller of a project's working tree.
 * @throws InputError with the compiler's messages, or if the sources do not fit this program's tables
 */
export async function compileWorkingTree(
  root: string,
  build: ControllerBuild = {},
): Promise<Compiled & { readonly from: ControllerSources }> {
  checkSources(root);
  const from = readControllerSources(root);
  return { ...(await compileController(from, build)), from };
}

/**
 * Compiles the controller of a project with a second entry that imposes recorded orders, for fitting.
 * @throws InputError with the compiler's messages, or if the sources do not fit this program's tables
 */
export async function compileFit(root: string): Promise<Compiled> {
  checkSources(root);
  const from = readControllerSources(root);
  return compile({
    name: 'fit',
    sources: new Map([...from.sources, ...readSources(TOOL_ROOT, FIT)]),
    entry: `${FIT}/index.ts`,
    options: { ...parseOptions(from.settings), ...OPTIMISATIONS.quick },
    section: { name: SECTION, content: describeBuild(from, ROWS_MAX) },
  });
}
