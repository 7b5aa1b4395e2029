import { InputError, showValue } from '../common/input-error.js';
import { parseYaml } from '../common/yaml-file.js';
import { type Contract, describeContract, type ParameterValues } from '../contract/contract.js';
import { parameterSchema } from '../contract/parameter-schema.js';
import { checkRules, openParameterFile, valuesOf, type WrittenParameters } from '../contract/parameter-values.js';
import type { Actuation } from './plant.js';
import { defaultSettings, type RunSettings } from './run.js';
import type { Scenario } from './scenario.js';

/** Options that override a scenario's own settings, as written on the command line. */
export interface RunOptions {
  readonly seed?: number | undefined;
  /** A strategy of the controller, or a baseline that never ships. */
  readonly strategy?: string | undefined;
  /** Parameter file. */
  readonly parameters?: string | undefined;
  /** `name=value`; the last value of a name counts. */
  readonly set?: readonly string[] | undefined;
}

/** Actuators to compare with; they replace the valve pair. */
const BASELINES: readonly Actuation[] = ['proportional', 'perfect'];

/** Names that `strategy` accepts: the controller's strategies, then the baselines. */
export const strategyNames = (contract: Contract): string[] => [
  ...(contract.parameters.find(({ name }) => name === 'strategy')?.choices ?? []),
  ...BASELINES,
];

/** Reads `name=value`. @throws InputError that names the flag */
function readSetting(setting: string, contract: Contract): WrittenParameters {
  const [, name, value] = /^(\w+)=(.+)$/.exec(setting) ?? [];
  if (name === undefined)
    throw new InputError({ file: '--set', problem: `the setting is ${showValue(setting)}`, value: setting, allowed: 'name=value' });
  try {
    return parseYaml<WrittenParameters>(`${name}: ${value}`, `--set ${setting}`, parameterSchema(contract)).value;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    // Line and column would be those of a file that does not exist.
    const { problem, ...details } = error.details;
    const isUnknown = problem.startsWith('unknown key');
    throw new InputError({
      ...details,
      line: undefined,
      column: undefined,
      problem: problem.replace('unknown key', 'unknown parameter'),
      ...(isUnknown ? { hint: '`latchbench parameters` lists them all' } : {}),
    });
  }
}

/**
 * Returns `base` overridden by a parameter file, then by a strategy of the controller, then by single settings.
 * @throws InputError for an unknown name, a bad value, or parameters that contradict each other
 */
export function resolveParameters(base: ParameterValues, options: Omit<RunOptions, 'seed'>, contract: Contract): ParameterValues {
  const single: WrittenParameters = Object.assign({}, ...(options.set ?? []).map((one) => readSetting(one, contract)));
  const strategy = options.strategy === undefined ? {} : { strategy: options.strategy };
  const file = options.parameters === undefined ? undefined : openParameterFile(options.parameters, contract);
  const parameters = { ...base, ...file?.values, ...valuesOf({ ...strategy, ...single }, contract) };
  const isOfFile = (name: string): boolean => file !== undefined && name in file.values && !(name in single) && !(name in strategy);
  checkRules(parameters, contract, {
    errorAt: (path, { problem = '', ...details }) => {
      if (file !== undefined && isOfFile(String(path[0]))) return file.errorAt(path, { problem, ...details });
      const flag = Object.keys(single).length > 0 ? '--set' : options.strategy !== undefined ? '--strategy' : '--parameters';
      return new InputError({ file: flag, problem, ...details });
    },
  });
  return parameters;
}

/**
 * Returns the settings of a run: the scenario's, overridden by `options`.
 * @throws InputError for an unknown name or strategy, a bad value, or parameters that contradict each other
 */
export function resolveSettings(scenario: Scenario, options: RunOptions, contract: Contract = describeContract()): RunSettings {
  const defaults = defaultSettings(scenario);
  const strategies = strategyNames(contract);
  const { strategy } = options;
  const baseline = BASELINES.find((one) => one === strategy);
  if (strategy !== undefined && !strategies.includes(strategy))
    throw new InputError({ file: '--strategy', problem: `the strategy is ${showValue(strategy)}`, value: strategy, allowed: strategies });
  const forController = baseline === undefined ? options : { ...options, strategy: undefined };
  const parameters = resolveParameters(defaults.parameters, forController, contract);
  return {
    seed: options.seed ?? defaults.seed,
    actuation: baseline ?? 'latching',
    parameters: { ...parameters, tickHz: scenario.tickHz },
  };
}
