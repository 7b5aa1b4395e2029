import type { UnitName } from '../../shared/units.js';
import type { Contract, ParameterValues } from './contract.js';
import type { BuildDescription } from './embed.js';

/*
 * What made a result. Every command that runs the controller reports it: the build once as `controller`, and for each run what it ran
 * with as `ranWith`.
 */

/** A controller's binary: where it comes from, and hashes that identify it. */
export interface BuildIdentity {
  /** As the user named it: a commit, a file, or `.` for the working tree. */
  readonly name: string;
  /** Full hash of the commit, if it was named by one. */
  readonly commit?: string | undefined;
  readonly version: string;
  readonly sourceHash: string;
  readonly contractHash: string;
  /** SHA-256 of the binary. */
  readonly binaryHash: string;
}

/** A parameter that does not have its default. */
export interface ChangedParameter {
  readonly name: string;
  /** A choice is given by its name. */
  readonly value: number | string;
  readonly default: number | string;
  readonly unit: UnitName;
}

/** The settings of a run of the controller. */
export interface RunIdentity {
  /** The strategy in force, or the baseline in its place; undefined if the build does not have the parameter. */
  readonly strategy: string | undefined;
  /** All parameters that differ from the defaults of the build, without the strategy. */
  readonly parameters: readonly ChangedParameter[];
  readonly seed?: number | undefined;
}

const STRATEGY = 'strategy';

/** The parameters whose values, as the controller gets them, differ from the defaults. */
export function changedParameters({ parameters }: Contract, values: ParameterValues): ChangedParameter[] {
  return parameters.flatMap(({ name, unit, choices, default: byDefault }) => {
    const value = values[name] ?? byDefault;
    if (Math.fround(value) === Math.fround(byDefault)) return [];
    return [{ name, value: choices?.[value] ?? value, default: choices?.[byDefault] ?? byDefault, unit }];
  });
}

/**
 * The settings of a run.
 * @param values parameters for configure(); the others have their defaults
 * @param options `baseline`: what drives the valves in place of a strategy; `seed`: of a simulation
 */
export function identifyRun(
  contract: Contract,
  values: ParameterValues,
  { baseline, seed }: { readonly baseline?: string | undefined; readonly seed?: number | undefined } = {},
): RunIdentity {
  const strategy = contract.parameters.find(({ name }) => name === STRATEGY);
  const inForce = strategy?.choices?.[values[STRATEGY] ?? strategy.default];
  return {
    strategy: baseline ?? inForce,
    parameters: changedParameters(contract, values).filter(({ name }) => name !== STRATEGY),
    ...(seed === undefined ? {} : { seed }),
  };
}

/** The same as texts, for the description of a recording. */
export function recordedIdentity({ version, sourceHash }: BuildDescription, { strategy, parameters }: RunIdentity): Record<string, string> {
  const values = parameters.map(({ name, value }) => `${name} ${value}`).join(', ');
  return {
    controller: `version ${version}, source hash ${sourceHash}`,
    ...(strategy === undefined ? {} : { strategy }),
    parameters: values === '' ? 'defaults' : values,
  };
}
