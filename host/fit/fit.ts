import { InputError } from '../common/input-error.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import { parameterValue } from '../contract/parameter-values.js';
import type { Controller } from '../runner/wasm-runner.js';
import { gatherNoise, type Noise } from './noise.js';
import type { Recorded } from './recorded-run.js';
import { type Feature, gatherSamples, type Samples } from './samples.js';

/** What is fitted to what. */
export interface FitSetup {
  readonly controller: Controller;
  readonly files: readonly string[];
  /** Parameters that differ from their defaults: those of the machine, and what is to be improved. */
  readonly values: ParameterValues;
  readonly horizonMs: number;
  readonly ridge: number;
  /** Pulses per minute and row that the deadband may let through. */
  readonly pulsesPerMin: number;
  readonly onProgress: (share: number) => void;
}

/** A parameter's value before and after. */
export interface Fitted {
  readonly name: string;
  readonly before: number;
  readonly after: number;
  /** The fit was beyond the parameter's limits; it was set to the limit. */
  readonly isAtLimit: boolean;
}

export interface Fit {
  readonly recordings: readonly Recorded[];
  readonly workingS: number;
  readonly samples: number;
  readonly pulses: { readonly raise: number; readonly lower: number };
  /** Of the features' correlation matrix. */
  readonly condition: number;
  /** RMS of what is left to explain in blocks that the weights were not fitted to, N. */
  readonly heldOut: {
    readonly samples: number;
    readonly presentN: number;
    readonly beforeN: number;
    readonly fittedN: number;
    readonly betterPercent: number;
  };
  readonly isBetter: boolean;
  readonly weights: readonly Fitted[];
  /** Of a fit that is better. */
  readonly flow?: { readonly gains: { least: number; median: number; most: number }; readonly valveFlowLpm: Fitted };
  readonly deadband?: { readonly noiseN: number; readonly pulsesPerMin: number; readonly fitted: readonly Fitted[] };
}

/** What a recording must show, or nothing can be learned from it. */
const WORKING_LEAST_S = 20;
const PULSES_LEAST = 20;
const FEATURE_LEAST_N = 1;
const CONDITION_MOST = 1e6;
/** How often recordings are run: for weights and flow, for the deadband's width, for the noise inside it. */
const RUNS = 3;

/** A fit that explains less more than this is as good as the weights before: other fields would undo it. */
const BETTER_LEAST_PERCENT = 2;

/** What the predictor weighs: without an accelerometer it has weights of their own, and no inertia. */
function featuresOf(contract: Contract, values: ParameterValues): Feature[] {
  const isWithoutAccelerometer = parameterValue('accelerationFitted', contract, values) === 0;
  const weights = contract.parameters.filter(({ group, name }) => group === 'predictor' && name.endsWith('Weight')).map(({ name }) => name);
  return weights
    .filter((weight) => weight.startsWith('noAccel') === isWithoutAccelerometer)
    .map((weight) => {
      const own = weight.replace(/^noAccel(.)/, (_, letter: string) => letter.toLowerCase());
      return { weight, probe: own.replace(/Weight$/, 'N') };
    });
}

/** @throws InputError when the recordings don't show enough of the loop */
function checkExcitation({ training, checking, workingS, pulses }: Samples, files: readonly string[], features: readonly Feature[]): void {
  const refuse = (what: string, value: unknown, allowed: string): never => {
    throw new InputError({ file: files.join(', '), what, value, allowed });
  };
  if (workingS < WORKING_LEAST_S || training.count === 0 || checking.count === 0)
    refuse(
      'seconds in mode working, over all rows',
      Number(workingS.toFixed(1)),
      `${WORKING_LEAST_S} or more, in a recording of over 10 s`,
    );
  for (const [direction, count] of Object.entries(pulses))
    if (count < PULSES_LEAST)
      refuse(`pulses that ${direction}`, count, `${PULSES_LEAST} or more each way, for example under a target that is changed`);
  const both = training.plus(checking);
  const still = both.rms.findIndex((rms) => !(rms >= FEATURE_LEAST_N));
  if (still >= 0) {
    const what = `${features[still]?.probe} hardly moves: RMS, N`;
    refuse(what, Number(both.rms[still]?.toFixed(3)), `${FEATURE_LEAST_N} or more: a rougher field, or a target that is changed`);
  }
  if (!(both.condition <= CONDITION_MOST))
    refuse(
      'condition of the features’ correlation',
      both.condition,
      `${CONDITION_MOST} at most: features that move independently, a longer recording`,
    );
}

/** Before and after, rounded as the parameter is shown and held to its limits. */
function fittedTo(name: string, after: number, contract: Contract, values: ParameterValues): Fitted {
  const { min, max, decimals } = contract.parameters.find((one) => one.name === name) as Contract['parameters'][number];
  const held = Math.min(max, Math.max(min, Number(after.toFixed(decimals))));
  return { name, before: parameterValue(name, contract, values), after: held, isAtLimit: after < min || after > max };
}

const valuesOf = (fitted: readonly Fitted[]): ParameterValues => Object.fromEntries(fitted.map(({ name, after }) => [name, after]));

/** The flow at which the gains would be about 1. */
function fitFlow(gains: readonly number[], contract: Contract, values: ParameterValues): NonNullable<Fit['flow']> {
  const sorted = [...gains].sort((a, b) => a - b);
  const at = (place: number): number => sorted[place] as number;
  const last = sorted.length - 1;
  const median = (at(Math.floor(last / 2)) + at(Math.ceil(last / 2))) / 2;
  const flow = parameterValue('valveFlowLpm', contract, values) * median;
  return { gains: { least: at(0), median, most: at(last) }, valveFlowLpm: fittedTo('valveFlowLpm', flow, contract, values) };
}

/** The narrowest deadband, N in whole numbers, that the prediction's noise leaves no more often than that. */
export function narrowestDeadband({ perMin }: Pick<Noise, 'perMin'>, leastN: number, mostN: number, pulsesPerMin: number): number {
  for (let widthN = Math.ceil(leastN); widthN < mostN; widthN++) if (perMin(widthN) <= pulsesPerMin) return widthN;
  return mostN;
}

function fitDeadband(setup: FitSetup, weights: ParameterValues): NonNullable<Fit['deadband']> {
  const { controller, files, values, pulsesPerMin, onProgress } = setup;
  const { contract } = controller.description;
  const { min, max } = contract.parameters.find(({ name }) => name === 'deadbandN') as Contract['parameters'][number];
  const heard = { controller, values: { ...values, ...weights, gainLearning: 1 } };
  const listen = (turn: number, pulsesBeyondN?: number): Noise =>
    gatherNoise({ ...heard, onProgress: (share) => onProgress((turn + share) / RUNS) }, files, max, pulsesBeyondN);
  const noise = listen(1);
  const widthN = narrowestDeadband(noise, min, max, pulsesPerMin);
  // The controller's own estimate is made while its pulses keep the error inside the deadband.
  const { sigmaN } = listen(2, widthN);
  // In mode noise the width must be within reach: three quarters and five quarters of it.
  const widths = { deadbandN: widthN, deadbandSigmas: widthN / sigmaN, deadbandMinN: 0.75 * widthN, deadbandMaxN: 1.25 * widthN };
  const fitted = Object.entries(widths).map(([name, width]) => fittedTo(name, width, contract, values));
  return { noiseN: sigmaN, pulsesPerMin: noise.perMin(widthN), fitted };
}

/**
 * Fits the predictor's weights, the valves' flow and the deadband to recordings. Weights: ridge regression of the mean load
 * of the next moments; whether they are better is told by blocks of 10 s in turn that they were not fitted to, those that are
 * answered are fitted to everything. Flow: by the median of the learned gains. Deadband: by how often the new prediction
 * leaves it, see LevelCrossings.
 * @throws InputError when a recording can't be used, or all of them don't show enough of the loop
 */
export function fitRecordings(setup: FitSetup): Fit {
  const { controller, files, values, horizonMs, ridge, onProgress } = setup;
  const { contract } = controller.description;
  const features = featuresOf(contract, values);
  const learning = { controller, values: { ...values, gainLearning: 1 }, onProgress: (share: number) => onProgress(share / RUNS) };
  const samples = gatherSamples(learning, files, features, horizonMs);
  checkExcitation(samples, files, features);
  const { training, checking, between, recordings, workingS, pulses, gains } = samples;
  const all = training.plus(checking).plus(between);
  const before = features.map(({ weight }) => parameterValue(weight, contract, values));
  const fittedN = checking.rmsError(training.ridgeWeights(ridge));
  const beforeN = checking.rmsError(before);
  const presentN = checking.rmsError(features.map(() => 0));
  const found = all.ridgeWeights(ridge);
  const weights = features.map(({ weight }, index) => fittedTo(weight, found[index] ?? 0, contract, values));
  const betterPercent = 100 * (1 - fittedN / beforeN);
  const isBetter = betterPercent >= BETTER_LEAST_PERCENT;
  const heldOut = { samples: checking.count, presentN, beforeN, fittedN, betterPercent };
  const fit = { recordings, workingS, samples: all.count, pulses, condition: all.condition, heldOut, isBetter, weights };
  if (!isBetter) return fit;
  return { ...fit, flow: fitFlow(gains, contract, values), deadband: fitDeadband(setup, valuesOf(weights)) };
}

/** All that a fit has found, over the parameters it began with. */
export function fittedValues({ weights, flow, deadband }: Fit, values: ParameterValues): ParameterValues {
  return { ...values, ...valuesOf([...weights, ...(flow === undefined ? [] : [flow.valveFlowLpm]), ...(deadband?.fitted ?? [])]) };
}
