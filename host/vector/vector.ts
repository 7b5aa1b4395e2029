import { existsSync, readdirSync, statSync } from 'node:fs';
import { basename, isAbsolute, join, resolve } from 'node:path';
import { abbreviated } from '../common/hash.js';
import { InputError } from '../common/input-error.js';
import { refuseLinksOut } from '../common/links.js';
import { oncePer } from '../common/once.js';
import type { Project } from '../common/project.js';
import { shellWord } from '../common/shell-word.js';
import { readYaml } from '../common/yaml-file.js';
import { type Contract, describeContract, type ParameterValues } from '../contract/contract.js';
import { parameterProperties } from '../contract/parameter-schema.js';
import { checkRules, valuesOf, type WrittenParameters } from '../contract/parameter-values.js';
import { ACCEPTANCES_SCHEMA, type Acceptance, checkHistory, TEXT } from './acceptance.js';
import { changedSignals, digestFile } from './expected.js';

/** Content of case.yaml. */
export interface CaseFile {
  readonly title: string;
  readonly why: string;
  readonly origin: string;
  readonly rows: number;
  readonly tickHz: number;
  readonly parameters?: WrittenParameters;
  readonly acceptances?: readonly Acceptance[];
}

/** A vector: recorded inputs with the accepted outputs, kept in a folder as a regression case. */
export interface VectorCase extends CaseFile {
  readonly name: string;
  /** Name or path as the user gave it. */
  readonly requested: string;
  readonly caseFile: string;
  readonly inputFile: string;
  readonly expectedFile: string;
  /** Parameters for configure(): the overrides and the tick rate. */
  readonly values: ParameterValues;
}

/** Schemas by their text: contracts of several builds have the same one, and to compile a schema takes longer than to use it. */
const schemas = new Map<string, object>();

/** JSON Schema of a vector's case.yaml; the same object for contracts with the same parameters. */
export const caseSchema = oncePer((contract: Contract): object => {
  const { tickHz, parameters } = parameterProperties(contract);
  const schema = {
    type: 'object',
    required: ['title', 'why', 'origin', 'rows', 'tickHz'],
    additionalProperties: false,
    properties: {
      title: { ...TEXT, pattern: '^[^\\n]*\\S[^\\n]*$', title: 'non-empty text on one line', description: 'What happens in it' },
      why: { ...TEXT, description: 'What a reviewer would miss without it' },
      origin: { ...TEXT, description: 'Where the inputs are from' },
      rows: { description: 'Rows of its inputs', type: 'integer', minimum: 1, maximum: contract.rowsMax },
      tickHz,
      parameters,
      acceptances: { ...ACCEPTANCES_SCHEMA, description: 'Who accepted the outputs; written by `latchbench accept` alone' },
    },
  };
  const text = JSON.stringify(schema);
  const known = schemas.get(text) ?? schema;
  schemas.set(text, known);
  return known;
});

/** Whether a vector is named by its folder, which can be anywhere, and not by its name in vectors/cases. */
export const isVectorPath = (nameOrPath: string): boolean =>
  isAbsolute(nameOrPath) || nameOrPath.includes('/') || nameOrPath.startsWith('.');

/** Returns the folder of a vector: a name in vectors/cases, or a path to any folder. */
export const vectorFolder = ({ vectors }: Project, nameOrPath: string): string =>
  isVectorPath(nameOrPath) ? nameOrPath : join(vectors, nameOrPath);

/** Returns the names of all vectors in vectors/cases, in alphabetical order. */
export const vectorNames = ({ vectors }: Project): string[] =>
  readdirSync(vectors)
    .filter((name) => !name.startsWith('.') && existsSync(join(vectors, name, 'case.yaml')))
    .sort();

/** A folder without case.yaml, a file in its place, or a name that is unknown. */
function noVector(project: Project, nameOrPath: string, folder: string): InputError {
  const found = statSync(folder, { throwIfNoEntry: false });
  if (found?.isFile()) {
    const hint = 'Create a vector from a recording with `latchbench add`';
    return new InputError({ file: folder, problem: 'this is a file, not the folder of a vector', hint });
  }
  if (found !== undefined) return new InputError({ file: folder, problem: 'this is not a vector: the folder has no case.yaml' });
  return new InputError({ file: folder, problem: `there is no vector ${nameOrPath}`, value: nameOrPath, allowed: vectorNames(project) });
}

/** Reads the case.yaml of a vector. @throws InputError with line and column, or with the known names */
export function readVector(project: Project, nameOrPath: string, contract: Contract = describeContract()): VectorCase {
  const folder = vectorFolder(project, nameOrPath);
  if (folder !== nameOrPath) refuseLinksOut(project.vectors, folder);
  const caseFile = join(folder, 'case.yaml');
  if (!existsSync(caseFile)) throw noVector(project, nameOrPath, folder);
  return { ...readVectorFolder(folder, contract), requested: nameOrPath };
}

/**
 * Reads the case.yaml in a folder.
 * @param options `checksHistory`: whether its acceptances must form a valid history; those of an older commit need not
 * @throws InputError with line and column
 */
export function readVectorFolder(
  folder: string,
  contract: Contract = describeContract(),
  { checksHistory = true }: { readonly checksHistory?: boolean } = {},
): VectorCase {
  const [caseFile, expectedFile] = [join(folder, 'case.yaml'), join(folder, 'expected.csv')];
  refuseLinksOut(folder, caseFile, expectedFile);
  const read = readYaml<CaseFile>(caseFile, caseSchema(contract));
  const { value } = read;
  const values = { ...valuesOf(value.parameters ?? {}, contract), tickHz: value.tickHz };
  checkRules(values, contract, read, (name) => ['parameters', name]);
  if (checksHistory) checkHistory(read);
  return {
    ...value,
    name: basename(resolve(folder)),
    requested: folder,
    caseFile,
    inputFile: join(folder, 'input.mcap'),
    expectedFile,
    values,
  };
}

/** The command that accepts the outputs of a vector, with its folder as the user named it. */
const acceptCommand = ({ requested }: VectorCase): string => `\`latchbench accept ${shellWord(requested)} --by NAME --reason TEXT\``;

/** Returns why the outputs of a vector do not count as accepted; undefined if they do. */
export function acceptanceProblem(vector: VectorCase): InputError | undefined {
  const last = vector.acceptances?.at(-1);
  const { expectedFile, caseFile } = vector;
  const hint = `Run ${acceptCommand(vector)}`;
  if (!existsSync(expectedFile)) return new InputError({ file: expectedFile, problem: 'the vector has no accepted outputs', hint });
  if (last === undefined) return new InputError({ file: caseFile, problem: 'the outputs have never been accepted', hint });
  const { hash, digests } = digestFile(expectedFile);
  if (hash !== last.hash) {
    const problem = `the file has changed since ${last.by} accepted it on ${last.date}: its SHA-256 starts with ${abbreviated(hash)}, not ${abbreviated(last.hash)}`;
    return new InputError({ file: expectedFile, problem, value: hash, hint: `Restore it, or run ${acceptCommand(vector)}` });
  }
  const wrong = changedSignals(last.digests ?? {}, digests);
  if (wrong.length === 0) return undefined;
  return new InputError({ file: caseFile, problem: `the digests of the last acceptance are wrong for ${wrong.join(', ')}`, hint });
}

/** @throws InputError if expected.csv is missing, or differs from the last acceptance */
export function checkAccepted(vector: VectorCase): void {
  const problem = acceptanceProblem(vector);
  if (problem !== undefined) throw problem;
}
