import type { Compiled } from '../build/compile.js';
import { CONTROLLER, type ControllerSources, compileController, type Optimisation, versionIn } from '../build/controller.js';
import { hashTables, ownTablesHash } from '../build/own-sources.js';
import type { SourceTree } from '../build/sources.js';
import { InputError } from '../common/input-error.js';
import { type Contract, describeContract } from '../contract/contract.js';
import { contractNote } from '../contract/generate/assemblyscript.js';
import { CONTRACT_FILE, PROJECT_CONTRACT_FILE } from '../contract/generate/generated-files.js';
import { parseContract } from '../contract/read-contract.js';
import { BadBinary } from '../wasm/bytes.js';
import { readFiles } from './git.js';

/*
 * A commit may be anybody's. Its files are read as data: the compiler of this program compiles its AssemblyScript in memory, with
 * those of its settings that name no file and no code, and its contract is the JSON that `npm run contract` wrote. None of its scripts,
 * packages or other code runs, and nothing of it is written anywhere but to the cache.
 */

const SETTINGS = 'asconfig.json';
const PACKAGE = 'package.json';
const TABLES = 'shared';
const GENERATED = `${CONTROLLER}/generated/`;

export interface CommitBuild extends Compiled {
  /** What the binary was compiled from. */
  readonly from: ControllerSources;
}

type Files = ReadonlyMap<string, Buffer>;

/** The TypeScript and AssemblyScript files below a folder. */
const below = (files: Files, folder: string): SourceTree =>
  new Map(
    [...files].flatMap(([path, bytes]) =>
      path.startsWith(`${folder}/`) && path.endsWith('.ts') ? [[path, bytes.toString('utf8')] as const] : [],
    ),
  );

const isSource = (path: string): boolean =>
  [SETTINGS, PACKAGE, CONTRACT_FILE, PROJECT_CONTRACT_FILE].includes(path) ||
  [CONTROLLER, TABLES].some((folder) => path.startsWith(`${folder}/`));

function textOf(files: Files, path: string): string {
  const bytes = files.get(path);
  if (bytes === undefined) throw new InputError({ file: path, problem: `it has no ${path}` });
  return bytes.toString('utf8');
}

/** The contract that a commit states. @throws InputError if it is not valid, or its generated sources were written from another one */
function statedContract(json: Buffer, sources: SourceTree): Contract {
  let contract: Contract;
  try {
    contract = parseContract(json);
  } catch (error) {
    if (!(error instanceof BadBinary)) throw error;
    throw new InputError({ file: CONTRACT_FILE, problem: error.message });
  }
  const note = contractNote(contract);
  const other = [...sources].find(([path, text]) => path.startsWith(GENERATED) && text.split('\n', 2)[1] !== note);
  if (other === undefined) return contract;
  throw new InputError({ file: CONTRACT_FILE, problem: `its ${other[0]} was not written from its ${CONTRACT_FILE}` });
}

/** Older commits state no contract: theirs is ours if their tables are. @throws InputError if they are not */
function contractOf(files: Files, sources: SourceTree): Contract {
  const json = files.get(PROJECT_CONTRACT_FILE) ?? files.get(CONTRACT_FILE);
  if (json !== undefined) return statedContract(json, sources);
  if (hashTables(below(files, TABLES)) === ownTablesHash()) return describeContract();
  throw new InputError({
    file: CONTRACT_FILE,
    problem: `its tables are not those of this program, and it has no ${CONTRACT_FILE}. Build it in its own checkout, and name the binary`,
  });
}

/** The contract of a commit. @throws InputError if it states none that is valid */
export function contractOfCommit(commit: string, root: string): Contract {
  const files = readFiles(commit, isSource, root);
  return contractOf(files, below(files, CONTROLLER));
}

/** Compiles the controller of a commit. None of its code runs. @throws InputError with the compiler's messages, or if it lacks something */
export async function compileCommit(commit: string, root: string, optimisation: Optimisation): Promise<CommitBuild> {
  const files = readFiles(commit, isSource, root);
  const sources = below(files, CONTROLLER);
  const from: ControllerSources = {
    sources,
    settings: textOf(files, SETTINGS),
    version: versionIn(textOf(files, PACKAGE)),
    foreign: { contract: contractOf(files, sources) },
  };
  return { ...(await compileController(from, { optimisation })), from };
}
