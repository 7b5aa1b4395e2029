import { crc32 } from 'node:zlib';
import { Assessor } from '../assess/assessor.js';
import type { Metrics } from '../assess/metrics.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import { type ControllerMessage, MESSAGES, type MessageName, messageRecords } from '../contract/messages.js';
import { identifyRun, type RunIdentity, recordedIdentity } from '../contract/run-identity.js';
import { RecordingWriter } from '../recording/writer.js';
import { type Runner, StartFailed } from '../runner/runner.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { type Actuation, createPlant, type Plant } from './plant.js';
import { planText } from './recorded-plan.js';
import type { Scenario } from './scenario.js';

/** Settings of a run. */
export interface RunSettings {
  readonly seed: number;
  readonly actuation: Actuation;
  /** All parameters for configure(). */
  readonly parameters: ParameterValues;
}

/** Called after each tick. The views stay the same throughout a run; their contents change. */
export type RunListener = (tick: number, views: Readonly<Record<MessageName, Uint8Array>>) => void;

/** What to record. */
export interface RunRecording {
  readonly file: string;
  readonly messages: readonly MessageName[];
  /** First recorded tick; it is tick 0 of the recording. */
  readonly fromTick: number;
}

/** The result of a run. */
export interface SimulatedRun {
  readonly metrics: Metrics;
  /** CRC-32 over inputs, outputs and truth of every tick, as eight hexadecimal digits. Equal runs have equal hashes. */
  readonly hash: string;
  readonly ticks: number;
  /** Where the controller stopped, if one of its assertions failed. */
  readonly trap: { readonly tick: number; readonly message: string } | undefined;
}

/** What a run with these settings is made by. */
export const identifySettings = ({ actuation, parameters, seed }: RunSettings, contract: Contract): RunIdentity =>
  identifyRun(contract, parameters, { baseline: actuation === 'latching' ? undefined : actuation, seed });

/** Returns the settings that the scenario itself gives. */
export const defaultSettings = ({ seed, parameters }: Scenario): RunSettings => ({ seed, parameters, actuation: 'latching' });

/** Offsets of the orders in the output view. */
function orderOffsets({ description, rows }: Runner): number[] {
  const { bank, row } = messageRecords(description.contract, 'output');
  const orders = row.fields.filter(({ name }) => name.endsWith('Order'));
  return Array.from({ length: rows }, (_, index) => orders.map(({ offset }) => bank.size + index * row.size + offset)).flat();
}

function startRecording(
  scenario: Scenario,
  runner: Runner,
  { file, messages, fromTick }: RunRecording,
  settings: RunSettings,
): RecordingWriter {
  const { contract } = runner.description;
  const source = `simulated: scenario ${scenario.name}, seed ${settings.seed}`;
  const identity = recordedIdentity(runner.description, identifySettings(settings, contract));
  const about = { title: scenario.title, source, scenario: scenario.name, ...identity };
  const plan = planText(
    scenario,
    fromTick,
    ALL_MESSAGES.every((message) => messages.includes(message)),
  );
  return RecordingWriter.create(file, { contract, rows: scenario.rows, tickHz: scenario.tickHz, messages, about, plan });
}

/** Creates the plant of a scenario in its initial state. */
export function createScenarioPlant(module: WebAssembly.Module, scenario: Scenario, { seed, actuation }: RunSettings): Plant {
  const { rows, tickHz, startKpa, field, layout, profile, machine, timeline } = scenario;
  return createPlant(module, { rows, tickHz, seed, actuation, startKpa, machine: machine.values, field, layout, profile }, timeline);
}

/** The closed loop of plant and controller. */
export class ClosedLoop {
  readonly plant: Plant;
  readonly views: Readonly<Record<MessageName, Uint8Array>>;
  private readonly initialState: Uint8Array;
  private readonly cleared: readonly number[];

  /** @param write copies the plant's inputs, in the layout of this checkout's contract, into the runner */
  constructor(
    readonly runner: Runner,
    module: WebAssembly.Module,
    private readonly scenario: Scenario,
    settings: RunSettings,
    private readonly write: (inputs: Uint8Array) => void = (inputs) => runner.input.set(inputs),
  ) {
    this.initialState = runner.saveState();
    this.plant = createScenarioPlant(module, scenario, settings);
    const { input, output, probe } = runner;
    this.views = { input, output, probe, truth: this.plant.truth };
    // Without latching valves nothing follows the orders of the pair, so they are cleared.
    this.cleared = settings.actuation === 'latching' ? [] : orderOffsets(runner);
  }

  /** Runs the plant for a tick and hands its sensor readings to the controller. */
  stepPlant(tick: number): void {
    const { runner, plant, scenario } = this;
    plant.apply(scenario.timeline, tick);
    if (scenario.timeline.restarts(tick)) {
      runner.restoreState(this.initialState);
      plant.output.set(runner.output);
    }
    plant.tick();
    this.write(plant.input);
  }

  /** Hands the controller's orders to the plant. */
  passOrders(): void {
    const { runner, plant } = this;
    for (const offset of this.cleared) runner.output[offset] = 0;
    plant.output.set(runner.output);
  }

  /** @throws WebAssembly.RuntimeError when an assertion in the controller fails */
  tick(tick: number): void {
    this.stepPlant(tick);
    this.runner.tick();
    this.passOrders();
  }
}

const HASHED: readonly (ControllerMessage | 'truth')[] = ['input', 'output', 'truth'];
/** Ticks between two reports of progress. */
const PROGRESS_TICKS = 500;

/** A scenario in closed loop, tick by tick. Memory does not grow with its length. */
export class ScenarioRun {
  readonly loop: ClosedLoop;
  tick = 0;
  private readonly assessor: Assessor;
  private readonly writer: RecordingWriter | undefined;
  private hash = 0;
  private trap: SimulatedRun['trap'];

  /** @throws as `runScenario` */
  constructor(
    controller: Controller,
    module: WebAssembly.Module,
    private readonly scenario: Scenario,
    settings: RunSettings,
    private readonly recording?: RunRecording,
  ) {
    const { rows, tickHz, layout, parameters } = { ...scenario, parameters: settings.parameters };
    this.loop = new ClosedLoop(createWasmRunner(controller, rows, parameters), module, scenario, settings);
    const { contract } = controller.description;
    this.assessor = new Assessor({ contract, rows, tickHz, views: this.loop.views, segments: layout.segments });
    this.writer = recording === undefined ? undefined : startRecording(scenario, this.loop.runner, recording, settings);
  }

  /** Whether the scenario has ended, or the controller has stopped. */
  get isOver(): boolean {
    return this.tick >= this.scenario.timeline.ticks || this.trap !== undefined;
  }

  /** Runs the next tick. Returns false if the controller stopped in it. @throws StartFailed if that is the first one */
  step(): boolean {
    const { loop, tick, recording, writer } = this;
    this.trap = tickOrTrap(loop, tick);
    // Without a tick there is nothing to assess.
    if (this.trap !== undefined && tick === 0) throw new StartFailed(`it stops in the first tick: ${this.trap.message}`);
    if (this.trap !== undefined) return false;
    this.assessor.take(tick);
    for (const message of HASHED) this.hash = crc32(loop.views[message], this.hash);
    if (writer !== undefined && recording !== undefined && tick >= recording.fromTick)
      for (const message of recording.messages) writer.write(message, tick - recording.fromTick, loop.views[message]);
    this.tick += 1;
    return true;
  }

  /** Writes the recording, if there is one. Returns the result up to here. */
  finish(): SimulatedRun {
    this.writer?.close();
    return { metrics: this.assessor.finish(), hash: this.hash.toString(16).padStart(8, '0'), ticks: this.tick, trap: this.trap };
  }

  /** Removes the unfinished recording. */
  abandon(): void {
    this.writer?.abandon();
  }
}

/**
 * Runs a scenario in closed loop.
 * @param recording what to record, if anything; the file appears complete or not at all
 * @throws ParameterRefused when configure() refuses a value, StartFailed if the controller cannot be started or stops in the first tick
 */
export function runScenario(
  controller: Controller,
  module: WebAssembly.Module,
  scenario: Scenario,
  settings: RunSettings = defaultSettings(scenario),
  recording?: RunRecording,
  onProgress?: (share: number) => void,
  listener?: RunListener,
): SimulatedRun {
  const run = new ScenarioRun(controller, module, scenario, settings, recording);
  try {
    while (!run.isOver) {
      const { tick } = run;
      if (run.step()) listener?.(tick, run.loop.views);
      if (tick % PROGRESS_TICKS === 0) onProgress?.(tick / scenario.timeline.ticks);
    }
    return run.finish();
  } catch (error) {
    run.abandon();
    throw error;
  }
}

/** Runs a tick. Returns where and why the controller stopped, if it did. */
export function tickOrTrap(loop: ClosedLoop, tick: number): SimulatedRun['trap'] {
  try {
    loop.tick(tick);
    return undefined;
  } catch (error) {
    if (error instanceof WebAssembly.RuntimeError) return { tick, message: error.message };
    throw error;
  }
}

/** All kinds of messages, in the order of a recording. */
export const ALL_MESSAGES = Object.keys(MESSAGES) as MessageName[];
