import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Binaries } from '../simulate/evaluated-run.js';
import { type Case, titleOf } from './case.js';
import { CASES, NOMINAL } from './cases.js';
import { type CaseResult, measureCases } from './measure.js';
import type { RobustnessOptions } from './options.js';
import { planCase } from './plan.js';
import { randomCase } from './random-case.js';
import { type Summary, summarise } from './summary.js';

/** Seed of the first random machine. */
const FIRST_MACHINE = 1;

/** Returns the nominal case and those that the options choose. @throws Error when they choose none */
export function chooseCases(
  { only, machines }: Pick<RobustnessOptions, 'only' | 'machines'>,
  parameters: Readonly<Record<string, number>>,
): Case[] {
  const random = Array.from({ length: machines }, (_, index) => randomCase(FIRST_MACHINE + index, parameters));
  const chosen = [...CASES, ...random].filter((one) => titleOf(one).includes(only));
  if (chosen.length === 0 && !titleOf(NOMINAL).includes(only)) throw new Error(`--only is "${only}"; no case has this in its name`);
  return [NOMINAL, ...chosen];
}

/** All results, the nominal case first. */
export interface Robustness {
  readonly results: readonly CaseResult[];
  readonly summary: Summary;
}

/**
 * Measures the chosen cases.
 * @param onDone called with the number of runs that are done, and of all
 * @throws Error when the options choose no case
 */
export async function measureRobustness(
  binaries: Binaries,
  options: Pick<RobustnessOptions, 'only' | 'seeds' | 'seconds' | 'machines'>,
  onDone: (done: number, all: number) => void,
): Promise<Robustness> {
  const { contract } = binaries.controller.description;
  const defaults = Object.fromEntries(contract.parameters.map((one) => [one.name, one.default]));
  const cases = chooseCases(options, defaults);
  const folder = mkdtempSync(join(tmpdir(), 'latchbench-'));
  try {
    const setup = { contract, folder, seeds: options.seeds, seconds: options.seconds };
    const planned = cases.map((one, index) => planCase(one, index, setup));
    const results = await measureCases(binaries, planned, onDone);
    return { results, summary: summarise(results) };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
