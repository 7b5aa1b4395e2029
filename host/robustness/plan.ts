import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Contract } from '../contract/contract.js';
import { type Changes, machineVariantOf, variantOf } from '../figures/variant.js';
import type { Case } from './case.js';
import { heightColumns, hillCsv } from './hill.js';
import { failedChecks } from './undersized.js';

/** The nominal scenario and machine: ideal rows with an accelerometer on class D at 3 m/s, so that a case shows one thing alone. */
const SCENARIO = 'class-d-ideal';
const MACHINE = 'ideal-with-accelerometer';
/** The nominal field, but for its roughness. */
const FIELD = { soilEdgeM: 0.1 };

/** Parts and keys that the *perfect* actuation depends on; sensors, valves and supply do not concern it. */
const MECHANICAL_PARTS = ['row', 'wheel', 'linkage', 'actuator', 'accumulator', 'liftSpring', 'rebound', 'frame', 'spread'];
const MECHANICAL_KEYS = ['field', 'drive', 'rows'];

/** How long and with which fields cases run. */
export interface PlanSetup {
  readonly contract: Contract;
  /** Number of successive seeds. */
  readonly seeds: number;
  readonly seconds: number;
  /** For scenario, machine and profile files. */
  readonly folder: string;
}

/** A case with its files. */
export interface PlannedCase {
  readonly of: Case;
  readonly rows: number;
  readonly scenario: string;
  readonly machine: string;
  readonly seeds: readonly number[];
  /** Equal for cases whose runs with the *perfect* actuation are the same. */
  readonly mechanics: string;
  /** Names of the design checks that make it impossible for any controller to hold the load. */
  readonly undersized: readonly string[];
}

/** Rows of the nominal scenario, which a hill has too. */
const HILL_ROWS = 4;
/** Length of a hill's profile per second, m: a little beyond the speed of the nominal scenario. */
const HILL_MPS = 3.2;

/** The field of a case, on class D unless it has its own roughness or profile. */
function fieldOf({ scenario, hill }: Case, index: number, { folder, seconds }: PlanSetup): Changes {
  const own: Changes = { ...FIELD, ...((scenario?.field ?? {}) as Changes) };
  if (hill === undefined) return 'roughnessCm3' in own ? own : { class: 'D', ...own };
  const file = join(folder, `hill-${index}.csv`);
  writeFileSync(file, hillCsv(hill, HILL_ROWS, HILL_MPS * seconds));
  return { ...own, profile: { file, distance: 'x_m', height: heightColumns(HILL_ROWS), heightUnit: 'm' } };
}

function mechanicsOf({ parts = {}, scenario = {}, hill, machine }: Case): string {
  const gasEvents = ((scenario.events ?? []) as readonly { readonly what: string }[]).filter(({ what }) => what.startsWith('gas-'));
  const pick = (from: Changes, names: readonly string[]): unknown[] => names.map((name) => from[name] ?? null);
  return JSON.stringify([pick(parts, MECHANICAL_PARTS), pick(scenario, MECHANICAL_KEYS), hill ?? null, machine ?? null, gasEvents]);
}

/** Writes the files of a case. @throws InputError when it is no valid scenario */
export function planCase(one: Case, index: number, setup: PlanSetup): PlannedCase {
  const { contract, folder, seconds, seeds } = setup;
  const machine = machineVariantOf(one.machine ?? MACHINE, `machine-${index}`, one.parts ?? {}, folder);
  const changes = { seconds, ...one.scenario, machine, field: fieldOf(one, index, setup) };
  const scenario = variantOf(SCENARIO, `scenario-${index}`, changes, folder, contract);
  return {
    of: one,
    rows: scenario.rows,
    scenario: scenario.file,
    machine,
    seeds: Array.from({ length: seeds }, (_, count) => scenario.seed + count),
    mechanics: mechanicsOf(one),
    undersized: failedChecks(scenario),
  };
}
