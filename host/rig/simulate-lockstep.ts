import type { ChipDivergence } from '../chip/replay-chip.js';
import type { WasmRunner } from '../runner/wasm-runner.js';
import { type Binaries, type EvaluatedRun, evaluateRun } from '../simulate/evaluated-run.js';
import { type RunSettings, ScenarioRun } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import type { Board } from './board.js';
import { LockstepCheck } from './lockstep.js';

/** A scenario in closed loop, with a board in lockstep. */
export interface LockstepSimulation extends EvaluatedRun {
  /** Ticks in which the board had every output and the whole state of the wasm. */
  readonly sameTicks: number;
  readonly divergence: ChipDivergence | undefined;
  /** Why the board no longer answered. */
  readonly stop: string | undefined;
}

interface Pass {
  readonly run: EvaluatedRun['run'];
  readonly sameTicks: number;
  readonly check: LockstepCheck;
}

/** A restart of the controller is one of the board's controller too: a new run, whose chain starts again. */
async function pass(
  board: Board,
  { controller, plant }: Binaries,
  scenario: Scenario,
  settings: RunSettings,
  onProgress: (share: number) => void,
  singleFrom: number,
): Promise<Pass> {
  const run = new ScenarioRun(controller, plant, scenario, settings);
  const wasm = run.loop.runner as WasmRunner;
  const { timeline, rows, tickHz } = scenario;
  const start = async (from: number): Promise<LockstepCheck> =>
    new LockstepCheck(await board.lockstep(rows, settings.parameters), wasm, singleFrom - from);
  let check = await start(0);
  let from = 0;
  while (!run.isOver) {
    const { tick } = run;
    if (tick > from && timeline.restarts(tick)) {
      await check.finish(tick - from - 1);
      if (!check.isSame) break;
      from = tick;
      check = await start(from);
    }
    const isRunning = run.step();
    if (!(await check.take(tick - from)) || !isRunning) break;
    if (tick % tickHz !== 0) continue;
    onProgress(tick / timeline.ticks);
    await new Promise(setImmediate);
  }
  await check.finish(run.tick - from - 1);
  return { run: run.finish(), sameTicks: from + check.ticks, check };
}

/**
 * Runs a scenario in closed loop while a board follows in lockstep. The plant follows the wasm; as long as the board has the same
 * outputs and state in every tick, that is the loop that the board itself would close. Ends at the first difference.
 * @throws InputError, ParameterRefused when the board cannot run it
 */
export async function simulateInLockstep(
  board: Board,
  binaries: Binaries,
  scenario: Scenario,
  settings: RunSettings,
  onProgress: (share: number) => void = () => {},
): Promise<LockstepSimulation> {
  const first = await pass(board, binaries, scenario, settings, onProgress, Number.POSITIVE_INFINITY);
  const again =
    first.check.divergence === undefined ? undefined : await pass(board, binaries, scenario, settings, onProgress, first.sameTicks);
  // A difference that does not occur again is still one; only its tick is then known to within one request.
  const { run, sameTicks, check } = again === undefined || again.check.isSame ? first : again;
  const { divergence, lost } = check;
  const offset = sameTicks - check.ticks;
  return {
    ...evaluateRun(binaries, scenario, settings, run),
    sameTicks,
    divergence: divergence === undefined ? undefined : { ...divergence, tick: divergence.tick + offset },
    stop: lost === undefined ? undefined : `after ${sameTicks} ticks: ${lost.message}`,
  };
}
