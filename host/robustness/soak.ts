import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { mersenne } from 'pure-rand/generator/mersenne';
import { runPool } from '../common/pool.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { EVENTS, type EventKind, keysOf } from '../simulate/events.js';
import { type Case, titleOf } from './case.js';
import { type PlannedCase, planCase } from './plan.js';
import { randomCase } from './random-case.js';
import type { Violation } from './safety-watch.js';
import type { WatchedRun, WatchedTask } from './worker.js';

/** Length of a run, s. */
const SECONDS = 30;
/** An event begins within this time, s, and lasts up to `LAST_S`: the rest of the run is enough for the controller to recover. */
const FIRST_S = 4;
const LATEST_S = 14;
const LAST_S = 8;
const ROWS_MAX = 2;
/** Seed of the first machine: others than those whose loads are compared. */
const FIRST_MACHINE = 10_001;
/** Decimals of times, so that they are whole ticks. */
const TIME_DECIMALS = 3;

/** Events that put a valve into a position that the controller did not order, or keep it there. */
const movesValve = ({ what }: EventKind): boolean => what.startsWith('valve-') || what.startsWith('missed-');
const needsAccelerometer = ({ what }: EventKind): boolean => what.startsWith('acceleration-');
/** No random machine has a map of the soil. */
const needsPreview = ({ what }: EventKind): boolean => what.startsWith('soil-ahead-');

/** A random machine on a random field with one or two rows, and one event of a random kind at a random time. */
export function soakCase(seed: number, parameters: Readonly<Record<string, number>>): Case {
  const one = randomCase(seed, parameters);
  // Another stream than that of the machine, which starts with the same seed.
  const random = mersenne(-seed);
  const hasAccelerometer = one.parts?.accelerometer !== 'none';
  const kinds = EVENTS.filter((kind) => !needsPreview(kind) && (hasAccelerometer || !needsAccelerometer(kind)));
  const kind = kinds[uniformInt(random, 0, kinds.length - 1)] as EventKind;
  const time = (min: number, max: number): number => Number((min + (max - min) * uniformFloat64(random)).toFixed(TIME_DECIMALS));
  const keys = keysOf(kind);
  const event = {
    atS: time(FIRST_S, LATEST_S),
    what: kind.what,
    ...(keys.includes('row') ? { row: 'all' } : {}),
    ...(keys.includes('valve') ? { valve: uniformInt(random, 0, 1) === 0 ? 'supply' : 'return' } : {}),
    ...(keys.includes('forS') ? { forS: time(0.01, LAST_S) } : {}),
  };
  return {
    ...one,
    name: `${one.name}, ${kind.what} at ${event.atS} s`,
    scenario: { ...one.scenario, rows: uniformInt(random, 1, ROWS_MAX), events: [event] },
    broken: movesValve(kind) ? 'all' : 'none',
  };
}

/** A broken safety rule and where it was found. */
export interface SoakFinding extends Violation {
  readonly title: string;
  readonly seed: number;
}

/**
 * Runs random machines, fields and events, and looks for broken safety rules: a stop of the controller, NaN, both valves open,
 * a valve that stays open after it was ordered closed. A valve that an event moved or blocked may be in a wrong position.
 * @param onDone called with the number of runs that are done
 */
export async function soak(binaries: Binaries, machines: number, onDone: (done: number) => void): Promise<SoakFinding[]> {
  const { contract } = binaries.controller.description;
  const parameters = Object.fromEntries(contract.parameters.map((one) => [one.name, one.default]));
  const folder = mkdtempSync(join(tmpdir(), 'latchbench-'));
  try {
    const planned = Array.from({ length: machines }, (_, index): PlannedCase => {
      return planCase(soakCase(FIRST_MACHINE + index, parameters), index, { contract, folder, seeds: 1, seconds: SECONDS });
    });
    const tasks = planned.map(({ scenario, machine, seeds }, index): WatchedTask => {
      return { scenario, machine, seed: (seeds[0] ?? 0) + index, actuation: 'latching' };
    });
    const runs = await runPool<WatchedTask, WatchedRun>(new URL('./worker.js', import.meta.url), binaries, tasks, onDone);
    return runs.flatMap(({ violations }, index) => {
      const { of } = planned[index] as PlannedCase;
      const found = violations.filter(({ kind }) => kind !== 'valve' || of.broken !== 'all');
      return found.map((one) => ({ ...one, title: titleOf(of), seed: tasks[index]?.seed ?? 0 }));
    });
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
