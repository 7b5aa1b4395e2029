import { InputError } from '../../common/input-error.js';
import { toolVersion } from '../../common/version.js';
import { refuseOverwritingInput, refuseSameTarget, writeAllAtomic } from '../../common/write-atomic.js';
import { type Machine, readMachine } from '../../machine/machine.js';
import { searchText } from '../../report/sizing/search-text.js';
import { sizingPage, sizingPicture } from '../../report/sizing/sizing-page.js';
import { sizingText } from '../../report/sizing/sizing-text.js';
import { identifyBuild } from '../../review/builds.js';
import { readCatalogue } from '../../sizing/search/catalogue.js';
import { runSearch } from '../../sizing/search/run-search.js';
import { sizeMachine } from '../../sizing/size-machine.js';
import { sizingInputOf } from '../../sizing/sizing-input.js';
import { type Answer, command, type Job } from '../context.js';
import { checkFlags, type FlagRule } from '../flag-rules.js';
import { SEARCH_DEFAULTS } from '../search-defaults.js';
import { currentController, currentPlant } from './binaries.js';

interface Flags {
  readonly units?: 'si' | 'us';
  readonly html?: string;
  readonly drawings?: string;
  readonly spm?: number;
  readonly search?: string;
  readonly seed?: number;
  readonly tries?: number;
  readonly finalists?: number;
  readonly runs?: number;
  readonly output?: string;
  readonly yes?: boolean;
  readonly json?: boolean;
}

/** Returns the machine at another duty: a pulse is two strokes. */
const atDuty = (machine: Machine, spm: number | undefined): Machine =>
  spm === undefined ? machine : { ...machine, sizing: { ...machine.sizing, dutyPulsesPerMin: spm / 2 } };

const OF_SEARCH = Object.keys(SEARCH_DEFAULTS) as (keyof typeof SEARCH_DEFAULTS)[];

const RULES: readonly FlagRule<Flags>[] = [
  ...OF_SEARCH.map((flag) => ({ flag, needs: 'search' }) as const),
  { flag: 'output', needs: 'search', hint: 'Use --html or --drawings to write the sheet' },
  ...(['html', 'drawings', 'spm'] as const).map((flag) => ({ flag, excludes: 'search' }) as const),
];

/** Sizes a machine. */
function sheetOf(machine: Machine, flags: Flags): Answer {
  const { units = 'si', html, drawings } = flags;
  const targets = [html, drawings].filter((one) => one !== undefined);
  for (const target of targets) refuseOverwritingInput(target, machine.file);
  refuseSameTarget(...targets);
  const [input, sizing] = [sizingInputOf(machine), sizeMachine(machine)];
  const { name, title, note } = machine;
  const written: [target: string, data: string][] = [];
  if (html !== undefined) written.push([html, sizingPage({ name, title, note, tool: toolVersion() }, input, sizing, units)]);
  if (drawings !== undefined) written.push([drawings, sizingPicture(title, input, sizing, units)]);
  writeAllAtomic(written);
  return {
    text: sizingText(machine, sizing, units) + targets.map((target) => `${target} written\n`).join(''),
    json: { machine: name, title, input, ...sizing },
    passed: sizing.checks.every(({ result }) => result !== 'fail'),
  };
}

/** Searches a catalogue for designs that are better than the machine. */
async function searchDesigns(job: Job, machine: Machine, catalogueName: string, flags: Flags): Promise<Answer> {
  // A flag that is not given is there as undefined, so a spread would override its default.
  const [seed, tries] = [flags.seed ?? SEARCH_DEFAULTS.seed, flags.tries ?? SEARCH_DEFAULTS.tries];
  const [finalists, runs] = [flags.finalists ?? SEARCH_DEFAULTS.finalists, flags.runs ?? SEARCH_DEFAULTS.runs];
  const { project, progress } = job;
  const { output: folder, units = 'si' } = flags;
  const catalogue = readCatalogue(project, catalogueName, machine.sizing.rowCount ?? 1);
  const request = { machine, catalogue, seed, tries, finalists, runs, folder, isConfirmed: flags.yes };
  const build = await currentController(job);
  const binaries = { controller: build.controller, plant: await currentPlant(job) };
  const result = await runSearch(binaries, request, progress.show);
  const made = identifyBuild(build);
  return {
    text: searchText(result, units, made),
    json: { controller: made, ...result },
    passed: result.finalists.some(({ isConfirmed }) => isConfirmed),
  };
}

export default command<Flags, [string]>((job, flags, nameOrFile) => {
  checkFlags(flags, RULES);
  if (flags.json === true && flags.units !== undefined && flags.html === undefined && flags.drawings === undefined)
    throw new InputError({ file: '--units', problem: 'has no effect on the JSON document, whose names end in their units' });
  const machine = atDuty(readMachine(job.project, nameOrFile), flags.spm);
  return flags.search === undefined ? sheetOf(machine, flags) : searchDesigns(job, machine, flags.search, flags);
});
