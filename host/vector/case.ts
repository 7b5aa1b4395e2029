import { existsSync, readdirSync } from 'node:fs';
import { basename, isAbsolute, join, resolve } from 'node:path';
import { InputError } from '../common/input-error.js';
import { oncePer } from '../common/once.js';
import { CASES } from '../common/project.js';
import { readYaml, type YamlFile } from '../common/yaml-file.js';
import { type Contract, describeContract, type ParameterValues } from '../contract/contract.js';
import { parameterProperties } from '../contract/parameter-schema.js';
import { checkRules, valuesOf, type WrittenParameters } from '../contract/parameter-values.js';
import { changedSignals, digestFile } from './expected.js';

/** Who took these outputs for right, when and why. The last one counts; the ones before are history. */
export interface Acceptance {
  readonly date: string;
  readonly by: string;
  readonly reason: string;
  /** Signals that changed, or `all` for the first one. */
  readonly signals: readonly string[];
  /** SHA-256 of expected.csv. */
  readonly hash: string;
  /** Of each signal's lines, the first 16 digits: what tells which signals an acceptance has changed. */
  readonly digests?: Readonly<Record<string, string>>;
}

/** What case.yaml holds. */
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
  /** What it was asked for by. */
  readonly asked: string;
  readonly caseFile: string;
  readonly inputFile: string;
  readonly expectedFile: string;
  /** All that configure() gets: the overrides, and the tick rate. */
  readonly values: ParameterValues;
}

const WORDS = { type: 'string', pattern: '\\S', title: 'words', maxLength: 2000 } as const;

const caseSchema = oncePer((contract: Contract): object => {
  const { tickHz, parameters } = parameterProperties(contract);
  return {
    type: 'object',
    required: ['title', 'why', 'origin', 'rows', 'tickHz'],
    additionalProperties: false,
    properties: {
      title: WORDS,
      why: WORDS,
      origin: WORDS,
      rows: { type: 'integer', minimum: 1, maximum: contract.rowsMax },
      tickHz,
      parameters,
      acceptances: {
        type: 'array',
        items: {
          type: 'object',
          required: ['date', 'by', 'reason', 'signals', 'hash'],
          additionalProperties: false,
          properties: {
            date: { type: 'string', pattern: '^\\d{4}-\\d{2}-\\d{2}$' },
            by: WORDS,
            reason: WORDS,
            signals: { type: 'array', minItems: 1, items: WORDS },
            hash: { type: 'string', pattern: '^[0-9a-f]{64}$' },
            digests: { type: 'object', additionalProperties: { type: 'string', pattern: '^[0-9a-f]{16}$' } },
          },
        },
      },
    },
  };
});

/** Folder of a case: a name below vectors/cases, or a path to any other folder. */
export const caseFolder = (nameOrPath: string): string =>
  isAbsolute(nameOrPath) || nameOrPath.includes('/') || nameOrPath.startsWith('.') ? nameOrPath : join(CASES, nameOrPath);

/** Names of all cases in vectors/cases, in alphabetical order. */
export const caseNames = (): string[] =>
  readdirSync(CASES)
    .filter((name) => !name.startsWith('.') && existsSync(join(CASES, name, 'case.yaml')))
    .sort();

/** Stands for every signal, where there was nothing before that others could be told from. */
export const ALL_SIGNALS = 'all';

/**
 * An acceptance covers no more than it names: a signal whose accepted lines changed with it stands in its list.
 * @throws InputError at the list that leaves one out
 */
function checkCovered(read: YamlFile<CaseFile>): void {
  const acceptances = read.value.acceptances ?? [];
  for (const [index, { signals, digests }] of acceptances.entries()) {
    const before = acceptances[index - 1]?.digests;
    if (before === undefined) continue;
    const covered = digests === undefined ? [] : changedSignals(before, digests);
    const missing = covered.filter((name) => !signals.includes(name));
    if (digests !== undefined && missing.length === 0 && !signals.includes(ALL_SIGNALS)) continue;
    const what =
      digests === undefined ? 'signals of an acceptance without digests' : `signals of an acceptance that covers ${covered.join(', ')}`;
    throw read.wrong(['acceptances', index, 'signals'], what, 'each signal that it covers, as latchbench accept writes them');
  }
}

/** Reads case.yaml of a case. @throws InputError with line and column, or with the names there are */
export function readCase(nameOrPath: string, contract: Contract = describeContract()): VectorCase {
  const folder = caseFolder(nameOrPath);
  const caseFile = join(folder, 'case.yaml');
  if (!existsSync(caseFile))
    throw new InputError({ file: caseFile, what: 'case', value: nameOrPath, allowed: ['a folder with a case.yaml', ...caseNames()] });
  const read = readYaml<CaseFile>(caseFile, caseSchema(contract));
  const { value } = read;
  const values = { ...valuesOf(value.parameters ?? {}, contract), tickHz: value.tickHz };
  checkRules(values, contract, read, ['parameters']);
  checkCovered(read);
  return {
    ...value,
    name: basename(resolve(folder)),
    asked: nameOrPath,
    caseFile,
    inputFile: join(folder, 'input.mcap'),
    expectedFile: join(folder, 'expected.csv'),
    values,
  };
}

/** How to mend a case whose outputs nobody has accepted, with its folder as it was named. */
const remedy = (one: VectorCase): string =>
  `latchbench accept ${/[^\w./-]/.test(one.asked) ? `'${one.asked}'` : one.asked} --by NAME --reason TEXT`;

/** Outputs count only if somebody has accepted just them: what speaks against a case's, undefined if nothing does. */
export function acceptanceTrouble(one: VectorCase): InputError | undefined {
  const last = one.acceptances?.at(-1);
  const { expectedFile, caseFile } = one;
  if (!existsSync(expectedFile)) return new InputError({ file: expectedFile, what: 'no accepted outputs', allowed: remedy(one) });
  if (last === undefined) return new InputError({ file: caseFile, what: 'no acceptance', allowed: remedy(one) });
  const { hash, digests } = digestFile(expectedFile);
  const mended = `${last.hash}, accepted ${last.date} by ${last.by}; or ${remedy(one)}`;
  if (hash !== last.hash) return new InputError({ file: expectedFile, what: 'SHA-256', value: hash, allowed: mended });
  const wrong = changedSignals(last.digests ?? {}, digests);
  if (wrong.length === 0) return undefined;
  return new InputError({ file: caseFile, what: `digests of the last acceptance, wrong for ${wrong.join(', ')}`, allowed: remedy(one) });
}

/** @throws InputError when expected.csv is missing, or is not what the last acceptance says */
export function checkAccepted(one: VectorCase): void {
  const trouble = acceptanceTrouble(one);
  if (trouble !== undefined) throw trouble;
}
