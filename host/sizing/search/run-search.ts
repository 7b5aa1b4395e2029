import { existsSync, mkdirSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { shortHash } from '../../common/hash.js';
import { InputError } from '../../common/input-error.js';
import { readNamedBy, refuseLinksOut } from '../../common/links.js';
import { readBytes } from '../../common/read-file.js';
import { begin, end, makeTemporaryFolder, removeTemporaryFolder } from '../../common/unfinished.js';
import { checkWork } from '../../common/work-limit.js';
import { writeAtomic } from '../../common/write-atomic.js';
import { readYaml } from '../../common/yaml-file.js';
import { identifyRun, type RunIdentity } from '../../contract/run-identity.js';
import { editMachineFile, type Machine } from '../../machine/machine.js';
import type { Binaries } from '../../simulate/evaluated-run.js';
import { readScenarioWith } from '../../simulate/scenario.js';
import { checkRuns } from '../../simulate/work.js';
import type { Catalogue, Changes } from './catalogue.js';
import { changesOf, type Design, Evaluator, type Objectives, type Picks } from './design.js';
import { type Confirmation, confirm, pickFinalists, type SimulatedMetrics, simulateDesign, simulatedGains } from './finalists.js';
import { gains } from './front.js';
import { designCount, initialState, type SearchState, search } from './search.js';

export interface SearchRequest {
  readonly machine: Machine;
  readonly catalogue: Catalogue;
  readonly seed: number;
  /** Designs to try in total, including those of earlier calls with the same folder. */
  readonly tries: number;
  /** Maximum number of designs to simulate. */
  readonly finalists: number;
  /** Simulations per design, each with a different seed. */
  readonly runs: number;
  /** Folder for the state of the search and for finalists as machine files. Without one nothing is saved. */
  readonly folder?: string | undefined;
  /** The user has agreed to any number of runs and tries. */
  readonly isConfirmed?: boolean | undefined;
}

/** A design compared with the baseline. */
export interface FoundDesign {
  readonly name: string;
  /** Its machine file, if the search has a folder. */
  readonly file?: string;
  /** The option of each choice that differs from the baseline. */
  readonly options: readonly string[];
  readonly changes: Changes;
  readonly objectives: Objectives;
  /** Whole steps of EQUAL_RATIO by which each objective is better. */
  readonly gains: readonly number[];
  /** Design checks that fail, and those that only the baseline fails. */
  readonly failing: readonly string[];
  readonly fixed: readonly string[];
}

export interface Finalist extends FoundDesign, Confirmation {
  readonly simulated: SimulatedMetrics;
  /** Ratio by which each simulated metric is better. */
  readonly simulatedGains: readonly number[];
}

export interface SearchResult {
  readonly machine: string;
  readonly catalogue: string;
  /** The scenario on which finalists are simulated, and its rows. */
  readonly scenario: string;
  /** The baseline's run; the parameters of a finalist follow from its machine. */
  readonly ranWith: RunIdentity;
  readonly rows: number;
  readonly seed: number;
  readonly designs: number;
  readonly tries: number;
  readonly feasible: number;
  readonly runs: number;
  readonly baseline: { readonly objectives: Objectives; readonly failing: readonly string[]; readonly simulated: SimulatedMetrics };
  readonly front: readonly FoundDesign[];
  readonly finalists: readonly Finalist[];
}

/** Time to size a design, s: measured on a computer of 2024, rounded up. */
const TRY_S = 1.5e-3;

/** A saved search: hashes of its inputs, and its state. */
interface SavedSearch extends SearchState {
  readonly machine: string;
  readonly catalogue: string;
}

const COUNT = { type: 'integer', minimum: 0 } as const;
const HASH = { type: 'string', pattern: '^[0-9a-f]{16}$' } as const;
const SAVED_SCHEMA = {
  type: 'object',
  required: ['machine', 'catalogue', 'seed', 'tries', 'feasible', 'random', 'front'],
  additionalProperties: false,
  properties: {
    machine: HASH,
    catalogue: HASH,
    seed: COUNT,
    tries: COUNT,
    feasible: COUNT,
    random: { type: 'array', items: { type: 'integer' }, minItems: 4, maxItems: 4 },
    front: { type: 'array', items: { type: 'array', items: COUNT } },
  },
};

const hashOf = (file: string): string => shortHash(readBytes(file, 'yaml'));

/** @throws InputError if the folder contains another search, or something else */
function resume(
  file: string,
  folder: string,
  of: Pick<SavedSearch, 'machine' | 'catalogue' | 'seed'>,
  { choices }: Catalogue,
): SearchState {
  if (!existsSync(file)) {
    if (existsSync(folder) && readdirSync(folder).length > 0)
      throw new InputError({
        file: folder,
        problem: 'the folder is not empty and contains no search',
        hint: 'Choose a new folder, or that of a search to resume',
      });
    mkdirSync(folder, { recursive: true });
    return initialState(of.seed);
  }
  refuseLinksOut(folder, file);
  const saved = readYaml<SavedSearch>(file, SAVED_SCHEMA);
  for (const name of ['machine', 'catalogue', 'seed'] as const) {
    const value = saved.value[name];
    if (value === of[name]) continue;
    const problem = `the saved search is for another ${name} (${value}, not ${of[name]})`;
    throw new InputError({ file, ...saved.where([name]), problem, value, hint: 'Choose another folder' });
  }
  const isDesign = (picks: Picks): boolean =>
    picks.length === choices.length && picks.every((pick, index) => pick < (choices[index]?.options.length ?? 0));
  const bad = saved.value.front.findIndex((picks) => !isDesign(picks));
  if (bad >= 0) {
    const problem = `the design is not the number of an option for each of ${choices.length} choices`;
    throw new InputError({ file, ...saved.where(['front', bad]), problem, value: saved.value.front[bad], hint: 'Choose another folder' });
  }
  return saved.value;
}

function describeDesign({ machine, catalogue }: SearchRequest, { picks, objectives, failing }: Design, baseline: Design): FoundDesign {
  const changes = changesOf(catalogue, picks);
  const options = catalogue.choices.flatMap(({ name, options: all }, index) =>
    (picks[index] ?? 0) === 0 ? [] : [`${name}: ${all[picks[index] ?? 0]?.name}`],
  );
  const name = `${machine.name}-${shortHash(JSON.stringify(changes)).slice(0, 6)}`;
  const fixed = baseline.failing.filter((check) => !failing.includes(check));
  return { name, options, changes, objectives, gains: gains(objectives, baseline.objectives), failing, fixed };
}

const machineText = ({ machine, catalogue }: SearchRequest, { name, options, changes }: FoundDesign): string =>
  editMachineFile(
    machine,
    `${machine.title}: design ${name}`,
    `Derived from machine ${machine.name} by a search of catalogue ${catalogue.name}. Changed: ${options.join('; ')}.`,
    changes,
  );

async function simulateAll(
  binaries: Binaries,
  request: SearchRequest,
  designs: readonly FoundDesign[],
  folder: string,
  report: (text: string) => void,
): Promise<{ baseline: SimulatedMetrics; finalists: Finalist[] }> {
  const { machine, catalogue, runs } = request;
  const simulate = (file: string): Promise<SimulatedMetrics> => simulateDesign(binaries, catalogue.scenario, file, runs);
  report('simulating the baseline');
  const baseline = await simulate(machine.file);
  const finalists: Finalist[] = [];
  for (const [index, design] of designs.entries()) {
    report(`simulating design ${index + 1} of ${designs.length}`);
    const file = join(folder, `${design.name}.yaml`);
    refuseLinksOut(folder, file);
    writeAtomic(file, machineText(request, design));
    const simulated = await simulate(file);
    const gained = simulatedGains(simulated, baseline);
    finalists.push({
      ...design,
      ...(request.folder === undefined ? {} : { file }),
      simulated,
      simulatedGains: gained,
      ...confirm(gained, design.fixed.length > 0),
    });
  }
  return { baseline, finalists };
}

/**
 * Searches a catalogue for designs of a machine that no other design dominates, and simulates the best of those that beat the baseline.
 * Same request, same result. With a folder, the state is saved every 1000 tries, and the next call resumes from it.
 * @param report called with a line of progress
 * @throws InputError if the folder contains something else, or machine and scenario are inconsistent
 */
export async function runSearch(binaries: Binaries, request: SearchRequest, report: (text: string) => void): Promise<SearchResult> {
  const { machine, catalogue, seed, tries, folder, isConfirmed } = request;
  // Fail early if machine and scenario are inconsistent.
  const { contract } = binaries.controller.description;
  const scenario = readNamedBy(catalogue.file, catalogue.scenario, () => readScenarioWith(catalogue.scenario, machine.file, contract));
  checkRuns(scenario, (request.finalists + 1) * request.runs, isConfirmed);
  checkWork({ file: '--tries' }, `${tries} tries`, { seconds: tries * TRY_S }, isConfirmed);
  const evaluator = new Evaluator(machine, catalogue);
  const of = { machine: hashOf(machine.file), catalogue: hashOf(catalogue.file), seed };
  const file = folder === undefined ? undefined : join(folder, 'search.json');
  const from = folder === undefined || file === undefined ? initialState(seed) : resume(file, folder, of, catalogue);
  if (folder !== undefined) begin({ path: folder, remedy: 'The same command continues the search' });
  const state = search(evaluator, from, tries, (now, last) => {
    report(`${now.tries} of ${last} designs tried, ${now.front.length} on the front`);
    if (file !== undefined) writeAtomic(file, `${JSON.stringify({ ...of, ...now })}\n`);
  });
  const front = state.front.flatMap((picks) => evaluator.evaluate(picks) ?? []);
  const { baseline } = evaluator;
  const chosen = pickFinalists(front, baseline, request.finalists).map((one) => describeDesign(request, one, baseline));
  const workFolder = folder ?? makeTemporaryFolder('latchbench-search-');
  try {
    const simulated = await simulateAll(binaries, request, chosen, workFolder, report);
    return {
      machine: machine.name,
      catalogue: catalogue.name,
      scenario: scenario.name,
      ranWith: identifyRun(binaries.controller.description.contract, scenario.parameters),
      rows: scenario.rows,
      seed,
      designs: designCount(evaluator),
      tries: state.tries,
      feasible: state.feasible,
      runs: request.runs,
      baseline: { objectives: baseline.objectives, failing: baseline.failing, simulated: simulated.baseline },
      front: front.map((one) => describeDesign(request, one, baseline)),
      finalists: simulated.finalists,
    };
  } finally {
    if (folder === undefined) removeTemporaryFolder(workFolder);
    else end(folder);
  }
}
