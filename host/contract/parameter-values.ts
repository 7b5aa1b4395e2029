import type { Rule } from '../../shared/parameters.js';
import { readYaml, type YamlFile } from '../common/yaml-file.js';
import type { Contract, ParameterValues } from './contract.js';
import { parameterSchema } from './parameter-schema.js';

const HOLDS = {
  '<': (left: number, right: number) => left < right,
  '<=': (left: number, right: number) => left <= right,
  '>=': (left: number, right: number) => left >= right,
} as const;

/**
 * Checks the rules between parameters, defaults filled in; the limits of each are the schema's part.
 * @param path where the parameters stand in the file
 * @throws InputError at the value that breaks a rule
 */
export function checkRules(values: ParameterValues, contract: Contract, file: YamlFile<unknown>, path: readonly string[]): void {
  const broken = brokenRule(values, contract);
  if (broken === undefined) return;
  const { left, is, right } = broken;
  const name = left in values ? left : right;
  const other = name === left ? right : left;
  throw file.wrong([...path, name], name, `${left} ${is} ${right}, and ${other} is ${inForce(other, values, contract)}`);
}

/** A parameter's value, or its default, as the controller gets it. */
const inForce = (name: string, values: ParameterValues, { parameters }: Contract): number =>
  Math.fround(values[name] ?? parameters.find((one) => one.name === name)?.default ?? 0);

/** The first rule between parameters that does not hold, defaults filled in. */
export const brokenRule = (values: ParameterValues, contract: Contract): Rule | undefined =>
  contract.rules.find(({ left, is, right }) => !HOLDS[is](inForce(left, values, contract), inForce(right, values, contract)));

/** Parameters as a person writes them: a choice may be its word. */
export type WrittenParameters = Readonly<Record<string, number | string>>;

/** The numbers behind what a person wrote; the schema has seen to it that every word is a choice. */
export function valuesOf(written: WrittenParameters, contract: Contract): ParameterValues {
  const numberOf = (name: string, value: number | string): number =>
    typeof value === 'number' ? value : (contract.parameters.find((one) => one.name === name)?.choices?.indexOf(value) ?? Number.NaN);
  return Object.fromEntries(Object.entries(written).map(([name, value]) => [name, numberOf(name, value)]));
}

/** Reads a parameter file: a mapping from name to value. @throws InputError with line and column */
export function readParameterFile(file: string, contract: Contract): ParameterValues {
  const read = readYaml<WrittenParameters>(file, parameterSchema(contract));
  const values = valuesOf(read.value, contract);
  checkRules(values, contract, read, []);
  return values;
}
