import { type ChipRun, chipRun } from '../../chip/run-chip.js';
import { InputError } from '../../common/input-error.js';
import type { Project } from '../../common/project.js';
import { refuseOverwritingInput } from '../../common/write-atomic.js';
import { chipTable } from '../../report/chip/chip-text.js';
import { colours } from '../../report/form/colours.js';
import { type BoardFreeReplay, freeRunsText } from '../../report/rig/free-run-text.js';
import { linkTable } from '../../report/rig/link-text.js';
import { type Build, identifyBuild } from '../../review/builds.js';
import type { LinkStatistics } from '../../rig/board.js';
import { SYSTEM_CLOCK } from '../../rig/link/clock.js';
import { replayInLockstep } from '../../rig/lockstep.js';
import type { OpenBoard } from '../../rig/open-rig.js';
import { replayFreely } from '../../rig/replay-freely.js';
import { placeText, type Rig, type RigBoard } from '../../rig/rig-file.js';
import { checkAccepted, readVector, type VectorCase, vectorNames } from '../../vector/vector.js';
import { type Answer, command, type Job } from '../context.js';
import { checkFlags, type FlagRule } from '../flag-rules.js';
import type { RigFlags } from '../rig-flags.js';
import { currentController } from './binaries.js';
import { type ChosenRig, chooseRig, onBoards, rigUse } from './rig.js';

interface Flags extends RigFlags {
  readonly freeRun?: boolean;
  readonly times?: number;
  readonly lead?: number;
  readonly inputPeriod?: number;
  readonly output?: string;
}

const LEAD_MS = 20;
const NS_PER_MS = 1_000_000n;

const RULES: readonly FlagRule<Flags>[] = [
  { flag: 'lead', needs: 'freeRun', why: 'in lockstep a board waits for its inputs' },
  { flag: 'inputPeriod', needs: 'freeRun', why: 'in lockstep each tick has its inputs' },
  { flag: 'output', needs: 'freeRun', why: 'in lockstep a recording is that of `latchbench replay`' },
  { flag: 'output', excludes: 'times' },
];

/** The vectors to run: those that are named, those of the rig, or all. */
function chosenVectors(project: Project, names: readonly string[], { vectors }: Rig): VectorCase[] {
  const chosen = names.length > 0 ? names : vectors.length > 0 ? vectors : vectorNames(project);
  const read = chosen.map((name) => readVector(project, name));
  for (const one of read) checkAccepted(one);
  return read;
}

/** The vectors that a board has rows for; the others are noted. @throws InputError if it has none */
function vectorsFor({ name, rows }: RigBoard, vectors: readonly VectorCase[], { note }: Job, file: string): readonly VectorCase[] {
  const fit = vectors.filter((one) => one.rows <= rows);
  for (const one of vectors) if (one.rows > rows) note(`NOT RUN: ${one.name} on ${name}: it needs ${one.rows} rows, the board has ${rows}`);
  if (fit.length > 0) return fit;
  throw new InputError({ file, problem: `board ${name} has ${rows} rows, fewer than each of these vectors needs`, value: rows });
}

const repeated = (times = 1): number[] => Array.from({ length: times }, (_, index) => index + 1);
const nameOf = (board: string, run: number, times = 1): string => (times === 1 ? board : `${board}, run ${run}`);

/** A board's runs in lockstep, and what its link did. */
interface LockstepRuns {
  readonly name: string;
  readonly runs: readonly ChipRun[];
  readonly link: LinkStatistics;
}

async function inLockstep(
  { config, board }: OpenBoard,
  build: Build,
  vectors: readonly VectorCase[],
  { times }: Flags,
  job: Job,
): Promise<LockstepRuns> {
  const runs: ChipRun[] = [];
  for (const run of repeated(times)) {
    const results = [];
    for (const [index, vector] of vectors.entries()) {
      job.progress.show(`${nameOf(config.name, run, times)}: ${index + 1} of ${vectors.length}: ${vector.name}`);
      const result = await replayInLockstep(board, build.controller, vector);
      results.push(result);
      if (result.verdict === 'stopped') break;
    }
    runs.push(chipRun(nameOf(config.name, run, times), placeText(config.place), results));
  }
  return { name: config.name, runs, link: board.statistics() };
}

const isSame = ({ vectors }: ChipRun): boolean => vectors.every(({ verdict }) => verdict === 'same');

/** Boards whose repeated runs did not all end the same way. */
function flakyText(all: readonly LockstepRuns[]): string {
  const lines = all.flatMap(({ name, runs }) => {
    const good = runs.filter(isSame).length;
    return good === 0 || good === runs.length ? [] : [colours.yellow(`${name}: flaky, ${good} of ${runs.length} runs the same\n`)];
  });
  return lines.join('');
}

function lockstepAnswer(rig: Rig, all: readonly LockstepRuns[], build: Build, seconds: number): Answer {
  const controller = identifyBuild(build);
  const runs = all.flatMap((one) => one.runs);
  const ticks = runs.flatMap(({ vectors }) => vectors).reduce((sum, one) => sum + one.ticks, 0);
  const speed = `${Math.round(ticks / seconds)} ticks a second, the start of the boards not counted\n`;
  const text = `${chipTable(runs, controller)}${speed}${flakyText(all)}\n${linkTable(all)}`;
  return { text, json: { controller, rig: rig.title, boards: all }, passed: runs.every(isSame) };
}

async function freely(
  { config, board }: OpenBoard,
  { controller }: Build,
  vectors: readonly VectorCase[],
  rig: Rig,
  flags: Flags,
  job: Job,
): Promise<BoardFreeReplay[]> {
  const { times, lead = LEAD_MS, inputPeriod = 1, output } = flags;
  const results: BoardFreeReplay[] = [];
  for (const run of repeated(times)) {
    for (const vector of vectors) {
      const onProgress = job.progress.percentOf(`${nameOf(config.name, run, times)}: ${vector.name}`);
      const setup = { period: inputPeriod, leadMs: lead, limits: rig.limits };
      const recordTo = output === undefined ? undefined : { file: output, startNs: BigInt(Date.now()) * NS_PER_MS };
      const result = await replayFreely(board, controller, vector, setup, SYSTEM_CLOCK, recordTo, onProgress);
      results.push({ ...result, board: config.name, run });
      if (result.verdict === 'stopped') return results;
    }
  }
  return results;
}

/** @throws InputError if a recording would be of several runs, or replace an input */
function checkOutput({ output }: Flags, { rig, boards }: ChosenRig, vectors: readonly VectorCase[]): void {
  if (output === undefined) return;
  if (boards.length !== 1 || vectors.length !== 1)
    throw new InputError({
      file: '--output',
      problem: `${boards.length} boards and ${vectors.length} vectors are to be run, but a recording is of one vector on one board`,
    });
  refuseOverwritingInput(output, rig.file, ...vectors.map(({ inputFile }) => inputFile));
}

export default command<Flags, string[]>(async (job, flags, ...names) => {
  checkFlags(flags, RULES);
  const chosen = chooseRig(job, flags);
  const { rig, boards } = chosen;
  const vectors = chosenVectors(job.project, names, rig);
  checkOutput(flags, chosen, vectors);
  const fitting = new Map(boards.map((board) => [board.name, vectorsFor(board, vectors, job, rig.file)]));
  const vectorsOf = ({ config }: OpenBoard): readonly VectorCase[] => fitting.get(config.name) ?? [];
  const build = await currentController(job);
  if (flags.freeRun === true) {
    const results = (
      await onBoards(job, flags, chosen, rigUse(job, build, 'uart'), (open) => freely(open, build, vectorsOf(open), rig, flags, job))
    ).flat();
    const controller = identifyBuild(build);
    return {
      text: freeRunsText(results, controller),
      json: { controller, rig: rig.title, runs: results },
      passed: results.every(({ verdict }) => verdict === 'same'),
    };
  }
  let startMs = Number.NaN;
  const all = await onBoards(job, flags, chosen, rigUse(job, build, 'files'), (open) => {
    startMs = Number.isNaN(startMs) ? performance.now() : startMs;
    return inLockstep(open, build, vectorsOf(open), flags, job);
  });
  return lockstepAnswer(rig, all, build, (performance.now() - startMs) / 1000);
});
