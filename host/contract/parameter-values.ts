import type { Rule } from '../../shared/parameters.js';
import { readYaml, type YamlFile, type YamlPath } from '../common/yaml-file.js';
import type { Contract, ParameterValues } from './contract.js';
import { parameterSchema } from './parameter-schema.js';

const HOLDS = {
  '<': (left: number, right: number) => left < right,
  '<=': (left: number, right: number) => left <= right,
  '>=': (left: number, right: number) => left >= right,
} as const;

const RULE_WORDS = { '<': 'less than', '<=': 'at most', '>=': 'at least' } as const;

/**
 * Checks the rules between parameters, with defaults filled in; the schema checks the limits of each.
 * @param pathOf returns the path in the file that a parameter's value comes from
 * @throws InputError at the value that breaks a rule
 */
export function checkRules(
  values: ParameterValues,
  contract: Contract,
  file: Pick<YamlFile<unknown>, 'errorAt'>,
  pathOf: (name: string) => YamlPath = (name) => [name],
): void {
  const broken = brokenRule(values, contract);
  if (broken === undefined) return;
  const { left, is, right } = broken;
  const name = left in values ? left : right;
  const other = name === left ? right : left;
  const problem = `${name} is ${values[name]}, but ${other} is ${parameterValue(other, contract, values)}`;
  throw file.errorAt(pathOf(name), { problem, hint: `${left} must be ${RULE_WORDS[is]} ${right}` });
}

/** Returns the value of a parameter, or its default. @throws Error if the contract has no such parameter */
export function parameterValue(name: string, { parameters }: Contract, values: ParameterValues): number {
  const value = values[name] ?? parameters.find((one) => one.name === name)?.default;
  if (value === undefined) throw new Error(`the contract has no parameter ${name}`);
  return value;
}

/** Returns the first rule between parameters that is broken, with defaults filled in. */
export function brokenRule(values: ParameterValues, contract: Contract): Rule | undefined {
  // As the controller gets it.
  const rounded = (name: string): number => Math.fround(parameterValue(name, contract, values));
  return contract.rules.find(({ left, is, right }) => !HOLDS[is](rounded(left), rounded(right)));
}

/** Parameters as written in a file: a choice may be its name. */
export type WrittenParameters = Readonly<Record<string, number | string>>;

/** Returns the parameters as numbers. The schema has checked that every name is a choice. */
export function valuesOf(written: WrittenParameters, contract: Contract): ParameterValues {
  const numberOf = (name: string, value: number | string): number =>
    typeof value === 'number' ? value : (contract.parameters.find((one) => one.name === name)?.choices?.indexOf(value) ?? Number.NaN);
  return Object.fromEntries(Object.entries(written).map(([name, value]) => [name, numberOf(name, value)]));
}

/** A parameter file: its values, and errors with their places. */
export interface ParameterFile extends Pick<YamlFile<unknown>, 'errorAt'> {
  readonly values: ParameterValues;
}

/** Reads a parameter file: a mapping from names to values. @throws InputError with line and column */
export function openParameterFile(file: string, contract: Contract): ParameterFile {
  const read = readYaml<WrittenParameters>(file, parameterSchema(contract));
  const values = valuesOf(read.value, contract);
  checkRules(values, contract, read);
  return { values, errorAt: read.errorAt };
}

/** Returns the values of a parameter file. @throws InputError with line and column */
export const readParameterFile = (file: string, contract: Contract): ParameterValues => openParameterFile(file, contract).values;
