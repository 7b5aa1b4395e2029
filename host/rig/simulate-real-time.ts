import { Assessor } from '../assess/assessor.js';
import { InputError } from '../common/input-error.js';
import { messageBytes } from '../contract/messages.js';
import type { WasmRunner } from '../runner/wasm-runner.js';
import { type Binaries, type EvaluatedRun, evaluateRun } from '../simulate/evaluated-run.js';
import type { Plant } from '../simulate/plant.js';
import { createScenarioPlant, type RunSettings } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import type { Board, StepReport } from './board.js';
import { Distribution } from './distribution.js';
import { type FreeRunObserver, type FreeRunResult, type InputSource, runFreely } from './free-run.js';
import type { Clock } from './link/clock.js';
import type { Spread } from './link-quality.js';
import type { LinkLimits } from './rig-file.js';

/** Orders further apart than this are not part of one stroke: the later one need not keep its distance. */
const BURST_STEPS = 50;

/** New outputs of the board that the plant has not followed yet. */
interface Due {
  readonly step: number;
  readonly output: Uint8Array;
}

/**
 * The outputs of a board as the plant follows them: each as soon as it has arrived, but at the distance from the one before that it had on
 * the board, so that a stroke keeps its length although reports come in bunches.
 */
export class OrderQueue {
  private readonly due: Due[] = [];
  private lastOutput: Uint8Array;
  private lastStep = Number.NEGATIVE_INFINITY;
  private appliedAt = Number.NEGATIVE_INFINITY;

  constructor(bytes: number) {
    this.lastOutput = new Uint8Array(bytes);
  }

  /** Takes the outputs after a step of the board. */
  put(step: number, output: Uint8Array): void {
    if (Buffer.compare(output, this.lastOutput) === 0) return;
    this.lastOutput = output.slice();
    this.due.push({ step, output: this.lastOutput });
  }

  /** The outputs that the plant follows from this step on, and the step of the board that gave them; undefined if they stay. */
  next(plantStep: number): Due | undefined {
    const [first] = this.due;
    if (first === undefined) return undefined;
    const gap = first.step - this.lastStep;
    if (gap <= BURST_STEPS && plantStep < this.appliedAt + gap) return undefined;
    this.due.shift();
    this.lastStep = first.step;
    this.appliedAt = plantStep;
    return first;
  }
}

/** The simulated machine as the source of a board's inputs. */
class PlantSource implements InputSource {
  readonly steps: number;
  /** Steps from a board's output until the plant follows it; 1 in a pure simulation. */
  readonly delays = new Distribution();
  private readonly plant: Plant;
  private readonly probe: Uint8Array;
  private readonly orders: OrderQueue;
  private readonly assessor: Assessor;
  private step = 0;

  /** @param firstStep returns the board's step of the first inputs */
  constructor(
    { controller, plant }: Binaries,
    private readonly scenario: Scenario,
    settings: RunSettings,
    private readonly firstStep: () => number,
  ) {
    const { rows, tickHz, timeline, layout } = scenario;
    const { contract } = controller.description;
    this.steps = timeline.ticks;
    this.plant = createScenarioPlant(plant, scenario, settings);
    this.probe = new Uint8Array(messageBytes(contract, 'probe', rows));
    this.orders = new OrderQueue(this.plant.output.length);
    const { input, output, truth } = this.plant;
    this.assessor = new Assessor({ contract, rows, tickHz, views: { input, output, probe: this.probe, truth }, segments: layout.segments });
  }

  next(): Uint8Array {
    const { plant, step, scenario } = this;
    const due = this.orders.next(step);
    if (due !== undefined) {
      plant.output.set(due.output);
      this.delays.add(this.firstStep() + step - due.step);
    }
    plant.apply(scenario.timeline, step);
    plant.tick();
    this.assessor.take(step);
    this.step += 1;
    return plant.input;
  }

  take({ step, output }: StepReport, wasm: WasmRunner): void {
    this.probe.set(wasm.probe);
    this.orders.put(step, output);
  }

  metrics = () => this.assessor.finish();
}

/** A scenario in closed loop with a board that runs by its own timer. */
export interface RealTimeSimulation extends EvaluatedRun {
  readonly board: FreeRunResult;
  /** Steps from an output of the board until the plant follows it. */
  readonly orderDelaySteps: Spread;
  /** How long before their step inputs were sent, ms. */
  readonly leadMs: number;
}

/** Requests by which the round trip is measured before a run. */
const EXCHANGES = 20;
/** What this computer needs beyond the link: two looks at the board's step, and a step of the plant. */
const HOST_MS = 6;

/** How far ahead of its step an input must be sent, by the measured round trips. */
export async function measuredLeadMs(board: Board): Promise<number> {
  for (let count = 0; count < EXCHANGES; count++) await board.status();
  return Math.ceil(board.statistics().roundTripMs.p99 / 2) + HOST_MS;
}

/** @throws InputError for a scenario that needs a restart of the controller, or a baseline */
function checkRealTime({ file, timeline }: Scenario, { actuation }: RunSettings): void {
  if (actuation !== 'latching')
    throw new InputError({ file: '--strategy', problem: `${actuation} is a baseline, which no board runs`, value: actuation });
  for (let tick = 1; tick < timeline.ticks; tick++)
    if (timeline.restarts(tick))
      throw new InputError({ file, problem: `the controller restarts at tick ${tick}, which a board in real time does not` });
}

/**
 * Closes the loop in real time: the plant on this computer is ahead of the board by the time that the link needs, and follows the board's
 * outputs as they arrive. Its metrics differ from those of a pure simulation by that dead time.
 * @param leadMs how far ahead; measured if not given
 * @throws InputError, ParameterRefused when the board cannot run it
 */
export async function simulateInRealTime(
  board: Board,
  binaries: Binaries,
  scenario: Scenario,
  settings: RunSettings,
  { limits, leadMs: wanted }: { readonly limits: LinkLimits; readonly leadMs: number | undefined },
  clock: Clock,
  observer: FreeRunObserver = {},
): Promise<RealTimeSimulation> {
  checkRealTime(scenario, settings);
  const leadMs = wanted ?? (await measuredLeadMs(board));
  const { rows, tickHz } = scenario;
  let firstStep = 0;
  const source = new PlantSource(binaries, scenario, settings, () => firstStep);
  const setup = { rows, values: settings.parameters, tickHz, period: 1, leadMs, limits };
  const onFirstStep = (step: number): void => {
    firstStep = step;
  };
  const result = await runFreely(board, binaries.controller, setup, source, clock, { ...observer, onFirstStep });
  const run = { metrics: source.metrics(), hash: '', ticks: source.steps, trap: undefined };
  const { delays } = source;
  return {
    ...evaluateRun(binaries, scenario, settings, run),
    board: result,
    orderDelaySteps: { ...delays.percentiles(), bars: delays.bars() },
    leadMs,
  };
}
