import { crc32 } from 'node:zlib';
import { Assessor } from '../assess/assessor.js';
import type { Metrics } from '../assess/metrics.js';
import type { ParameterValues } from '../contract/contract.js';
import { type ControllerMessage, MESSAGES, type MessageName, messageRecords } from '../contract/messages.js';
import { RecordingWriter } from '../recording/writer.js';
import type { Runner } from '../runner/runner.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { type Actuation, createPlant, type Plant } from './plant.js';
import type { Scenario } from './scenario.js';

/** How a scenario is run. */
export interface RunSettings {
  readonly seed: number;
  readonly actuation: Actuation;
  /** All that configure() gets. */
  readonly parameters: ParameterValues;
}

/** Called after each tick by those who look at what is in between; the views stay the same all through a run. */
export type RunListener = (tick: number, views: Readonly<Record<MessageName, Uint8Array>>) => void;

/** What is recorded on the way. */
export interface RunRecording {
  readonly file: string;
  readonly messages: readonly MessageName[];
  /** First tick that is recorded; it is tick 0 of the recording. */
  readonly fromTick: number;
}

/** What a run came to. */
export interface SimulatedRun {
  readonly metrics: Metrics;
  /** CRC-32 over inputs, outputs and truth of every tick, eight hexadecimal digits: the same run, the same hash. */
  readonly hash: string;
  readonly ticks: number;
  /** Where the controller stopped, if an assertion in it failed. */
  readonly trap: { readonly tick: number; readonly message: string } | undefined;
}

/** The way a scenario is meant to be run. */
export const defaultSettings = ({ seed, parameters }: Scenario): RunSettings => ({ seed, parameters, actuation: 'latching' });

/** Where orders stand in the output view. */
function orderPlaces({ description, rows }: Runner): number[] {
  const { bank, row } = messageRecords(description.contract, 'output');
  const orders = row.fields.filter(({ name }) => name.endsWith('Order'));
  return Array.from({ length: rows }, (_, index) => orders.map(({ offset }) => bank.size + index * row.size + offset)).flat();
}

function startRecording(scenario: Scenario, target: Runner, { file, messages }: RunRecording, choice: RunSettings): RecordingWriter {
  const { contract } = target.description;
  const about = { title: scenario.title, source: `simulated: scenario ${scenario.name}, seed ${choice.seed}`, scenario: scenario.name };
  return RecordingWriter.create(file, { contract, rows: scenario.rows, tickHz: scenario.tickHz, messages, about });
}

/** The plant of a scenario, at its start. */
export function beginPlant(module: WebAssembly.Module, scenario: Scenario, { seed, actuation }: RunSettings): Plant {
  const { rows, tickHz, startKpa, field, profile, machine, timeline } = scenario;
  return createPlant(module, { rows, tickHz, seed, actuation, startKpa, machine: machine.values, field, profile }, timeline);
}

/** The loop of plant and controller, tick by tick. */
export class ClosedLoop {
  readonly plant: Plant;
  readonly views: Readonly<Record<MessageName, Uint8Array>>;
  private readonly fresh: Uint8Array;
  private readonly struck: readonly number[];

  /** @param write puts the plant's inputs, as the checkout's contract lays them out, into the target */
  constructor(
    readonly target: Runner,
    module: WebAssembly.Module,
    private readonly scenario: Scenario,
    choice: RunSettings,
    private readonly write: (inputs: Uint8Array) => void = (inputs) => target.input.set(inputs),
  ) {
    this.fresh = target.saveState();
    this.plant = beginPlant(module, scenario, choice);
    const { input, output, probe } = target;
    this.views = { input, output, probe, truth: this.plant.truth };
    // Without latching valves nothing obeys the pair's orders: they are struck out.
    this.struck = choice.actuation === 'latching' ? [] : orderPlaces(target);
  }

  /** Moves the plant on by a tick and puts what its sensors read into the target. */
  feed(tick: number): void {
    const { target, plant, scenario } = this;
    plant.follow(scenario.timeline, tick);
    if (scenario.timeline.restarts(tick)) {
      target.restoreState(this.fresh);
      plant.output.set(target.output);
    }
    plant.tick();
    this.write(plant.input);
  }

  /** Hands the target's orders to the plant. */
  obey(): void {
    const { target, plant } = this;
    for (const place of this.struck) target.output[place] = 0;
    plant.output.set(target.output);
  }

  /** @throws WebAssembly.RuntimeError when an assertion in the controller fails */
  tick(tick: number): void {
    this.feed(tick);
    this.target.tick();
    this.obey();
  }
}

const HASHED: readonly (ControllerMessage | 'truth')[] = ['input', 'output', 'truth'];
/** How often somebody is told how far it is. */
const TOLD_EVERY_TICKS = 500;

/**
 * Runs the controller in a closed loop with the plant over a scenario. Memory stays constant.
 * @param recording what to record, if anything; the file appears whole or not at all
 * @throws ParameterRefused when configure() refuses a value
 */
export function runScenario(
  controller: Controller,
  module: WebAssembly.Module,
  scenario: Scenario,
  choice: RunSettings = defaultSettings(scenario),
  recording?: RunRecording,
  onProgress?: (share: number) => void,
  look?: RunListener,
): SimulatedRun {
  const loop = new ClosedLoop(createWasmRunner(controller, scenario.rows, choice.parameters), module, scenario, choice);
  const { rows, tickHz, timeline } = scenario;
  const assessor = new Assessor({ contract: controller.description.contract, rows, tickHz, views: loop.views });
  const writer = recording === undefined ? undefined : startRecording(scenario, loop.target, recording, choice);
  let hash = 0;
  let trap: SimulatedRun['trap'];
  let tick = 0;
  try {
    for (; tick < timeline.ticks && trap === undefined; tick++) {
      trap = attempt(loop, tick);
      if (trap !== undefined) break;
      assessor.take(tick);
      look?.(tick, loop.views);
      for (const message of HASHED) hash = crc32(loop.views[message], hash);
      if (writer !== undefined && recording !== undefined && tick >= recording.fromTick)
        for (const message of recording.messages) writer.write(message, tick - recording.fromTick, loop.views[message]);
      if (tick % TOLD_EVERY_TICKS === 0) onProgress?.(tick / timeline.ticks);
    }
    writer?.close();
  } catch (error) {
    writer?.abandon();
    throw error;
  }
  return { metrics: assessor.finish(), hash: hash.toString(16).padStart(8, '0'), ticks: tick, trap };
}

function attempt(loop: ClosedLoop, tick: number): SimulatedRun['trap'] {
  try {
    loop.tick(tick);
    return undefined;
  } catch (error) {
    if (error instanceof WebAssembly.RuntimeError) return { tick, message: error.message };
    throw error;
  }
}

/** All kinds of message, in the order of a recording. */
export const ALL_MESSAGES = Object.keys(MESSAGES) as MessageName[];
