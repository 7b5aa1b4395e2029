import { InputError } from '../common/input-error.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import { parameterValue } from '../contract/parameter-values.js';
import type { Controller } from '../runner/wasm-runner.js';
import { measureNoise, type Noise } from './noise.js';
import type { Recorded } from './recorded-run.js';
import { type Feature, gatherSamples, type Samples } from './samples.js';

/** What is fitted to what. */
export interface FitSetup {
  /** The controller with its entry for fitting, assembly/fit. */
  readonly controller: Controller;
  readonly files: readonly string[];
  /** Parameters that differ from their defaults: those of the machine, and the starting point. */
  readonly values: ParameterValues;
  readonly horizonMs: number;
  /** Multiple of the penalty that the samples' noise calls for, see NormalEquations.ridgeShare. */
  readonly ridge: number;
  /** Pulses per minute and row that the deadband may cause. */
  readonly pulsesPerMin: number;
  readonly onProgress: (share: number) => void;
}

/** A parameter's value before and after the fit. */
export interface Fitted {
  readonly name: string;
  readonly before: number;
  readonly after: number;
  /** The fit was beyond the parameter's limit, and the value was set to that limit. */
  readonly isAtLimit: boolean;
}

/** Learned gains of valves. */
export interface Gains {
  readonly min: number;
  readonly median: number;
  readonly max: number;
  /** Standard deviation relative to the median. */
  readonly scatterRatio: number;
}

export interface Fit {
  readonly recordings: readonly Recorded[];
  readonly workingS: number;
  readonly samples: number;
  readonly pulses: { readonly raise: number; readonly lower: number };
  /** Condition number of the features' correlation matrix. */
  readonly conditionNumber: number;
  /** Penalty of the weights as a share of each feature's mean square. */
  readonly ridgeShare: number;
  /** RMS prediction error in blocks that the weights were not fitted to, N. */
  readonly heldOut: {
    readonly samples: number;
    readonly persistenceRmsN: number;
    readonly beforeRmsN: number;
    readonly fittedRmsN: number;
    readonly improvementPercent: number;
  };
  readonly isBetter: boolean;
  readonly weights: readonly Fitted[];
  /** Only if the fit is better. */
  readonly flow?: {
    readonly supply: Gains;
    readonly return: Gains;
    /** Undefined if the gains scatter too much. */
    readonly valveFlowLpm?: Fitted;
  };
  readonly deadband?: { readonly noiseN: number; readonly pulsesPerMin: number; readonly fitted: readonly Fitted[] };
}

/** What a recording must contain to be fitted to. */
const WORKING_MIN_S = 20;
const PULSES_MIN = 20;
const FEATURE_MIN_N = 1;
const CONDITION_MAX = 1e6;
/** How often recordings are run: for weights and flow, for the deadband's width, for the noise inside it. */
const RUNS = 3;

/** A fit with a smaller improvement is no better than the weights before: other fields would undo it. */
const IMPROVEMENT_MIN_PERCENT = 2;

/**
 * Valves of one type differ by about 5 %. If their gains scatter by more than this, they show the motion of the rows: in simulations
 * the flow was then up to 15 % off, otherwise up to 12 % low.
 */
export const SCATTER_MAX = 0.15;

const NO_ACCEL = 'noAccel';

/** The predictor's features: without an accelerometer it has other weights, and none for inertia. */
function featuresOf(contract: Contract, values: ParameterValues): Feature[] {
  const hasAccelerometer = parameterValue('accelerationFitted', contract, values) !== 0;
  const weights = contract.parameters.filter(({ group, name }) => group === 'predictor' && name.endsWith('Weight')).map(({ name }) => name);
  return weights
    .filter((weight) => weight.startsWith(NO_ACCEL) !== hasAccelerometer)
    .map((weight) => {
      const name = weight.startsWith(NO_ACCEL) ? weight.charAt(NO_ACCEL.length).toLowerCase() + weight.slice(NO_ACCEL.length + 1) : weight;
      return { weight, probe: name.replace(/Weight$/, 'N') };
    });
}

/** @throws InputError if the recordings do not excite the loop enough */
function checkExcitation(
  { training, validation, workingS, pulses }: Samples,
  files: readonly string[],
  features: readonly Feature[],
): void {
  const refuse = (problem: string, value: number, hint: string): never => {
    throw new InputError({ file: files.join(', '), problem, value, hint });
  };
  if (workingS < WORKING_MIN_S)
    refuse(`the rows are in mode working for ${workingS.toFixed(1)} s, summed over rows`, workingS, `A fit needs ${WORKING_MIN_S} s`);
  if (training.count === 0 || validation.count === 0)
    refuse('no recording is long enough to hold a part of it out', validation.count, 'A fit needs a recording of more than 10 s');
  for (const [direction, count] of Object.entries(pulses))
    if (count < PULSES_MIN)
      refuse(`only ${count} pulses ${direction} the pressure`, count, `A fit needs ${PULSES_MIN} in each direction: change the target`);
  const all = training.plus(validation);
  const small = all.rms.findIndex((rms) => !(rms >= FEATURE_MIN_N));
  if (small >= 0) {
    const rms = all.rms[small] ?? Number.NaN;
    const problem = `${features[small]?.probe} hardly changes: its RMS is ${rms.toFixed(3)} N`;
    refuse(problem, rms, `A fit needs ${FEATURE_MIN_N} N: record a rougher field, or change the target`);
  }
  if (!(all.condition <= CONDITION_MAX))
    refuse(
      `the features are collinear: their correlation has condition number ${all.condition.toPrecision(3)}`,
      all.condition,
      `A fit needs at most ${CONDITION_MAX}: record for longer, on more varied ground`,
    );
}

/** Before and after, rounded as the parameter is displayed and clamped to its limits. */
function fittedTo(name: string, after: number, contract: Contract, values: ParameterValues): Fitted {
  const { min, max, decimals } = contract.parameters.find((one) => one.name === name) as Contract['parameters'][number];
  const clamped = Math.min(max, Math.max(min, Number(after.toFixed(decimals))));
  return { name, before: parameterValue(name, contract, values), after: clamped, isAtLimit: after < min || after > max };
}

const afterOf = (fitted: readonly Fitted[]): ParameterValues => Object.fromEntries(fitted.map(({ name, after }) => [name, after]));

function gainsOf(values: readonly number[]): Gains {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (index: number): number => sorted[index] as number;
  const last = sorted.length - 1;
  const median = (at(Math.floor(last / 2)) + at(Math.ceil(last / 2))) / 2;
  // A normal distribution has a mean absolute deviation of √(2/π) standard deviations.
  const deviation = values.reduce((sum, value) => sum + Math.abs(value - median), 0) / values.length / Math.sqrt(2 / Math.PI);
  return { min: at(0), median, max: at(last), scatterRatio: deviation / median };
}

/** The flow at which the gains of both kinds of valve would be 1 on average: there is one parameter for both. Not if they scatter. */
function fitFlow(gains: Samples['gains'], contract: Contract, values: ParameterValues): NonNullable<Fit['flow']> {
  const [supply, back] = [gainsOf(gains.supply), gainsOf(gains.return)];
  if (Math.max(supply.scatterRatio, back.scatterRatio) > SCATTER_MAX) return { supply, return: back };
  const flow = (parameterValue('valveFlowLpm', contract, values) * (supply.median + back.median)) / 2;
  return { supply, return: back, valveFlowLpm: fittedTo('valveFlowLpm', flow, contract, values) };
}

/** The narrowest deadband, an integer in N, that the prediction's noise leaves at most `pulsesPerMin` times per minute. */
export function narrowestDeadband({ perMin }: Pick<Noise, 'perMin'>, minN: number, maxN: number, pulsesPerMin: number): number {
  for (let widthN = Math.ceil(minN); widthN < maxN; widthN++) if (perMin(widthN) <= pulsesPerMin) return widthN;
  return maxN;
}

function fitDeadband(setup: FitSetup, weights: ParameterValues): NonNullable<Fit['deadband']> {
  const { controller, files, values, pulsesPerMin, onProgress } = setup;
  const { contract } = controller.description;
  const { min, max } = contract.parameters.find(({ name }) => name === 'deadbandN') as Contract['parameters'][number];
  const run = { controller, values: { ...values, ...weights, gainLearning: 1 } };
  const measure = (turn: number, widthN?: number): Noise =>
    measureNoise({ ...run, onProgress: (share) => onProgress((turn + share) / RUNS) }, files, max, widthN);
  const noise = measure(1);
  const widthN = narrowestDeadband(noise, min, max, pulsesPerMin);
  // The controller estimates its noise while its pulses keep the error inside the deadband.
  const { sigmaN } = measure(2, widthN);
  // In mode noise the deadband may vary from three quarters to five quarters of this width.
  const widths = { deadbandN: widthN, deadbandSigmas: widthN / sigmaN, deadbandMinN: 0.75 * widthN, deadbandMaxN: 1.25 * widthN };
  const fitted = Object.entries(widths).map(([name, width]) => fittedTo(name, width, contract, values));
  return { noiseN: sigmaN, pulsesPerMin: noise.perMin(widthN), fitted };
}

/**
 * Fits the predictor's weights, the valves' flow and the deadband to recordings. Weights: ridge regression of the mean load over
 * the horizon; they are validated on alternate blocks of 10 s that were held out, then fitted to everything. Flow: by the medians
 * of the learned gains. Deadband: by how often the new prediction leaves it, see LevelCrossings.
 * @throws InputError if a recording can't be used, or all of them together do not excite the loop enough
 */
export function fitRecordings(setup: FitSetup): Fit {
  const { controller, files, values, horizonMs, ridge, onProgress } = setup;
  const { contract } = controller.description;
  const features = featuresOf(contract, values);
  const learning = { controller, values: { ...values, gainLearning: 1 }, onProgress: (share: number) => onProgress(share / RUNS) };
  const samples = gatherSamples(learning, files, features, horizonMs);
  checkExcitation(samples, files, features);
  const { training, validation, between, overlap, recordings, workingS, pulses, gains } = samples;
  const all = training.plus(validation).plus(between);
  const before = features.map(({ weight }) => parameterValue(weight, contract, values));
  const fittedRmsN = validation.rmsError(training.ridgeWeights(ridge * training.ridgeShare(overlap)));
  const beforeRmsN = validation.rmsError(before);
  const persistenceRmsN = validation.rmsError(features.map(() => 0));
  const ridgeShare = ridge * all.ridgeShare(overlap);
  const found = all.ridgeWeights(ridgeShare);
  const weights = features.map(({ weight }, index) => fittedTo(weight, found[index] ?? 0, contract, values));
  const improvementPercent = 100 * (1 - fittedRmsN / beforeRmsN);
  const isBetter = improvementPercent >= IMPROVEMENT_MIN_PERCENT;
  const heldOut = { samples: validation.count, persistenceRmsN, beforeRmsN, fittedRmsN, improvementPercent };
  const fit = { recordings, workingS, samples: all.count, pulses, conditionNumber: all.condition, ridgeShare, heldOut, isBetter, weights };
  if (!isBetter) return fit;
  return { ...fit, flow: fitFlow(gains, contract, values), deadband: fitDeadband(setup, afterOf(weights)) };
}

/** All fitted values, over the parameters of the starting point. */
export function fittedValues({ weights, flow, deadband }: Fit, values: ParameterValues): ParameterValues {
  return {
    ...values,
    ...afterOf([...weights, ...(flow?.valveFlowLpm === undefined ? [] : [flow.valveFlowLpm]), ...(deadband?.fitted ?? [])]),
  };
}
