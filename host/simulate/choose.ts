import { InputError } from '../common/input-error.js';
import { parseYaml } from '../common/yaml-file.js';
import { type Contract, describeContract, type ParameterValues } from '../contract/contract.js';
import { parameterSchema } from '../contract/parameter-schema.js';
import { checkRules, readParameterFile, valuesOf, type WrittenParameters } from '../contract/parameter-values.js';
import type { Actuation } from './plant.js';
import { type RunChoice, usualChoice } from './run.js';
import type { Scenario } from './scenario.js';

/** What a person asks for on top of a scenario. */
export interface Wishes {
  readonly seed?: number | undefined;
  /** A strategy of the controller, or a baseline that never ships. */
  readonly strategy?: string | undefined;
  /** Parameter file. */
  readonly parameters?: string | undefined;
  /** `name=value`, the last one counts. */
  readonly set?: readonly string[] | undefined;
}

/** What moves the oil in place of the pair, for comparison. */
const BASELINES: readonly Actuation[] = ['proportional', 'perfect'];

/** What may stand for a strategy: the controller's own, then the baselines. */
export const strategyNames = (contract: Contract): string[] => [
  ...(contract.parameters.find(({ name }) => name === 'strategy')?.choices ?? []),
  ...BASELINES,
];

/** Reads `name=value`. @throws InputError that names the flag */
function readSetting(setting: string, contract: Contract): WrittenParameters {
  const [, name, value] = /^(\w+)=(.+)$/.exec(setting) ?? [];
  if (name === undefined) throw new InputError({ file: '--set', what: 'setting', value: setting, allowed: 'name=value' });
  return parseYaml<WrittenParameters>(`${name}: ${value}`, `--set ${setting}`, parameterSchema(contract)).value;
}

/**
 * Parameters, over them a file's, over them a strategy of the controller, over them single settings.
 * @throws InputError for a name or value that there is not, or parameters that don't go together
 */
export function chooseParameters(usual: ParameterValues, wishes: Omit<Wishes, 'seed'>, contract: Contract): ParameterValues {
  const written: WrittenParameters = Object.assign({}, ...(wishes.set ?? []).map((one) => readSetting(one, contract)));
  const chosen = wishes.strategy === undefined ? {} : { strategy: wishes.strategy };
  const filed = wishes.parameters === undefined ? {} : readParameterFile(wishes.parameters, contract);
  const parameters = { ...usual, ...filed, ...valuesOf({ ...chosen, ...written }, contract) };
  const words = Object.keys({ ...filed, ...chosen, ...written }).map((name) => `${name}: ${parameters[name]}`);
  checkRules(parameters, contract, parseYaml(words.join('\n') || '{}', 'parameters of this run', {}), []);
  return parameters;
}

/**
 * How a scenario is to be run: its own parameters, over them a file's, over them single settings.
 * @throws InputError for a name, value or strategy that there is not, or parameters that don't go together
 */
export function chooseRun(scenario: Scenario, wishes: Wishes, contract: Contract = describeContract()): RunChoice {
  const usual = usualChoice(scenario);
  const strategies = strategyNames(contract);
  const { strategy } = wishes;
  const baseline = BASELINES.find((one) => one === strategy);
  if (strategy !== undefined && !strategies.includes(strategy))
    throw new InputError({ file: '--strategy', what: 'strategy', value: strategy, allowed: strategies });
  const parameters = chooseParameters(usual.parameters, baseline === undefined ? wishes : { ...wishes, strategy: undefined }, contract);
  return { seed: wishes.seed ?? usual.seed, actuation: baseline ?? 'latching', parameters: { ...parameters, tickHz: scenario.tickHz } };
}
