import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { shortHash } from '../../common/hash.js';
import { InputError } from '../../common/input-error.js';
import { writeAtomic } from '../../common/write-atomic.js';
import { readYaml } from '../../common/yaml-file.js';
import { changedMachine, type Machine } from '../../machine/machine.js';
import type { Binaries } from '../../simulate/evaluated-run.js';
import { readScenario } from '../../simulate/scenario.js';
import type { Catalogue, Changes } from './catalogue.js';
import { changesOf, type Design, type DesignMetrics, type Picks, Weigher } from './design.js';
import { isConfirmed, pickFinalists, type SimulatedMetrics, simulateDesign, simulatedGains } from './finalists.js';
import { gains } from './front.js';
import { designCount, type SearchState, search, searchFrom } from './search.js';

/** What is asked of a search. */
export interface SearchRequest {
  readonly machine: Machine;
  readonly catalogue: Catalogue;
  readonly seed: number;
  /** Designs that are tried in all, with those of earlier calls on the same folder. */
  readonly tries: number;
  /** Most designs that are simulated. */
  readonly finalists: number;
  /** Runs of each, with seeds of their own. */
  readonly runs: number;
  /** Where the search is kept and finalists are written to, as machine files. Without one nothing is kept. */
  readonly folder?: string | undefined;
}

/** A design that was found, against the machine as it is; units as the metrics' names say. */
export interface FoundDesign {
  readonly name: string;
  /** Its machine file, where one is kept. */
  readonly file?: string;
  /** Option of each choice that is not as it is. */
  readonly options: readonly string[];
  readonly changes: Changes;
  readonly metrics: DesignMetrics;
  /** Whole steps of SAME_SHARE by which each metric is better. */
  readonly gains: readonly number[];
}

export interface Finalist extends FoundDesign {
  readonly simulated: SimulatedMetrics;
  /** Share by which each simulated metric is better. */
  readonly simulatedGains: readonly number[];
  readonly isConfirmed: boolean;
}

export interface SearchResult {
  readonly machine: string;
  readonly catalogue: string;
  /** On which finalists are simulated, and its rows. */
  readonly scenario: string;
  readonly rows: number;
  readonly seed: number;
  readonly designs: number;
  readonly tries: number;
  readonly fit: number;
  readonly runs: number;
  readonly present: { readonly metrics: DesignMetrics; readonly simulated: SimulatedMetrics };
  readonly front: readonly FoundDesign[];
  readonly finalists: readonly Finalist[];
}

/** A search as it is kept: what it is of, and how far it has come. */
interface KeptSearch extends SearchState {
  readonly machine: string;
  readonly catalogue: string;
}

const COUNT = { type: 'integer', minimum: 0 } as const;
const HASH = { type: 'string', pattern: '^[0-9a-f]{16}$' } as const;
const KEPT_SCHEMA = {
  type: 'object',
  required: ['machine', 'catalogue', 'seed', 'tries', 'fit', 'random', 'front'],
  additionalProperties: false,
  properties: {
    machine: HASH,
    catalogue: HASH,
    seed: COUNT,
    tries: COUNT,
    fit: COUNT,
    random: { type: 'array', items: { type: 'integer' }, minItems: 4, maxItems: 4 },
    front: { type: 'array', items: { type: 'array', items: COUNT } },
  },
};

const hashOf = (file: string): string => shortHash(readFileSync(file));

/** @throws InputError where the folder keeps another search, or something else */
function resume(file: string, folder: string, of: Pick<KeptSearch, 'machine' | 'catalogue' | 'seed'>, { choices }: Catalogue): SearchState {
  if (!existsSync(file)) {
    if (existsSync(folder) && readdirSync(folder).length > 0)
      throw new InputError({ file: folder, what: 'folder that is not empty', allowed: 'a new folder, or that of a search to go on with' });
    mkdirSync(folder, { recursive: true });
    return searchFrom(of.seed);
  }
  const kept = readYaml<KeptSearch>(file, KEPT_SCHEMA);
  for (const name of ['machine', 'catalogue', 'seed'] as const) {
    if (kept.value[name] !== of[name]) throw kept.wrong([name], `search with another ${name}`, `${of[name]}, or another folder`);
  }
  const isDesign = (picks: Picks): boolean =>
    picks.length === choices.length && picks.every((pick, index) => pick < (choices[index]?.options.length ?? 0));
  const odd = kept.value.front.findIndex((picks) => !isDesign(picks));
  if (odd >= 0) throw kept.wrong(['front', odd], 'design', `the number of an option for each of ${choices.length} choices`);
  return kept.value;
}

function found({ machine, catalogue }: SearchRequest, { picks, metrics }: Design, present: Design): FoundDesign {
  const changes = changesOf(catalogue, picks);
  const options = catalogue.choices.flatMap(({ name, options: all }, index) =>
    (picks[index] ?? 0) === 0 ? [] : [`${name}: ${all[picks[index] ?? 0]?.name}`],
  );
  const name = `${machine.name}-${shortHash(JSON.stringify(changes)).slice(0, 6)}`;
  return { name, options, changes, metrics, gains: gains(metrics, present.metrics) };
}

const machineText = ({ machine, catalogue }: SearchRequest, { name, options, changes }: FoundDesign): string =>
  changedMachine(
    machine,
    `${machine.title}: design ${name}`,
    `Made of the machine ${machine.name} by a search in the catalogue ${catalogue.name}. Otherwise are ${options.join('; ')}.`,
    changes,
  );

async function simulateAll(
  binaries: Binaries,
  request: SearchRequest,
  designs: readonly FoundDesign[],
  folder: string,
  say: (text: string) => void,
): Promise<{ present: SimulatedMetrics; finalists: Finalist[] }> {
  const { machine, catalogue, runs } = request;
  const simulate = (file: string): Promise<SimulatedMetrics> => simulateDesign(binaries, catalogue.scenario, file, runs);
  say('simulating the machine as it is');
  const present = await simulate(machine.file);
  const finalists: Finalist[] = [];
  for (const [index, design] of designs.entries()) {
    say(`simulating design ${index + 1} of ${designs.length}`);
    const file = join(folder, `${design.name}.yaml`);
    writeAtomic(file, machineText(request, design));
    const simulated = await simulate(file);
    const kept = request.folder === undefined ? {} : { file };
    finalists.push({
      ...design,
      ...kept,
      simulated,
      simulatedGains: simulatedGains(simulated, present),
      isConfirmed: isConfirmed(simulated, present),
    });
  }
  return { present, finalists };
}

/**
 * Searches a catalogue for designs of a machine that no other one found dominates, and simulates the best of those that beat the
 * machine as it is. Same request, same result; with a folder it is kept each thousand tries, and goes on from there.
 * @throws InputError where the folder keeps something else, or a design does not go with the scenario
 */
export async function runSearch(binaries: Binaries, request: SearchRequest, say: (text: string) => void): Promise<SearchResult> {
  const { machine, catalogue, seed, tries, folder } = request;
  // Before anything is spent: the machine must go with the scenario.
  const scenario = readScenario(catalogue.scenario, binaries.controller.description.contract, machine.file);
  const weigher = new Weigher(machine, catalogue);
  const of = { machine: hashOf(machine.file), catalogue: hashOf(catalogue.file), seed };
  const file = folder === undefined ? undefined : join(folder, 'search.json');
  const from = folder === undefined || file === undefined ? searchFrom(seed) : resume(file, folder, of, catalogue);
  const state = search(weigher, from, tries, (now, last) => {
    say(`${now.tries} of ${last} designs tried, ${now.front.length} on the front`);
    if (file !== undefined) writeAtomic(file, `${JSON.stringify({ ...of, ...now })}\n`);
  });
  const front = state.front.flatMap((picks) => weigher.weigh(picks) ?? []);
  const { present } = weigher;
  const chosen = pickFinalists(front, present, request.finalists).map((one) => found(request, one, present));
  const aside = folder ?? mkdtempSync(join(tmpdir(), 'latchbench-search-'));
  try {
    const simulated = await simulateAll(binaries, request, chosen, aside, say);
    return {
      machine: machine.name,
      catalogue: catalogue.name,
      scenario: scenario.name,
      rows: scenario.rows,
      seed,
      designs: designCount(weigher),
      tries: state.tries,
      fit: state.fit,
      runs: request.runs,
      present: { metrics: present.metrics, simulated: simulated.present },
      front: front.map((one) => found(request, one, present)),
      finalists: simulated.finalists,
    };
  } finally {
    if (folder === undefined) rmSync(aside, { recursive: true });
  }
}
