import { join } from 'node:path';
import { compileWorkingTree } from '../build/controller.js';
import { compilePlant } from '../build/plant.js';
import { type Project, TOOL_ROOT } from '../common/project.js';
import { type Controller, createWasmRunner, readController } from '../runner/wasm-runner.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { loadPlant } from '../simulate/plant.js';
import { ClosedLoop, defaultSettings } from '../simulate/run.js';
import { readScenario } from '../simulate/scenario.js';
import { buildFirmware, type Firmware, sizesOf } from './build.js';
import { StateChain } from './chain.js';
import { createChipRunner } from './chip-runner.js';
import type { Chip } from './chips.js';
import { INSTRUCTION_SHIFT, startFirmware } from './line.js';
import { Link, statusOf } from './link.js';
import { boundStack, reservedStack, type StackPath, StackUnbounded } from './stack.js';

/** Sizes of an image. */
export interface FirmwareSizes {
  readonly chip: string;
  readonly rows: number;
  readonly textBytes: number;
  readonly dataBytes: number;
  readonly bssBytes: number;
  /** The controller's part: code without the libraries that it calls, and the records. */
  readonly controllerTextBytes: number;
  readonly controllerRamBytes: number;
  /** Proven bound; undefined for a program of this computer. */
  readonly stackBytes: number | undefined;
  readonly stackPath: StackPath;
}

/** @throws StackUnbounded when no bound of the stack can be proven, or it exceeds what the board reserves */
export function describeFirmware({ chip, folder, image }: Firmware, rows: number): FirmwareSizes {
  const { text, data, bss } = sizesOf(chip, image);
  const controller = sizesOf(chip, join(folder, 'controller.o'));
  const stack = chip.stack === undefined ? undefined : boundStack(chip, image);
  if (stack !== undefined && stack.total > reservedStack(chip, image)) {
    throw new StackUnbounded(`${chip.name}: the stack may need ${stack.total} bytes, but memory.ld reserves ${reservedStack(chip, image)}`);
  }
  return {
    chip: chip.name,
    rows,
    textBytes: text,
    dataBytes: data,
    bssBytes: bss,
    controllerTextBytes: controller.text,
    controllerRamBytes: controller.data + controller.bss,
    stackBytes: stack?.total,
    stackPath: stack?.path ?? [],
  };
}

const TICKS = 700;
/** Rows start to work 301 ticks after start; means are taken over the ticks from here on. */
const WARM_UP_TICKS = 400;

/** What is measured: all rows work on a rough field. The last one has every sensor that exists, and the most expensive ticks. */
const SETTINGS = {
  threshold: { scenario: 'class-e-at-speed', strategy: 0 },
  cascade: { scenario: 'class-e-at-speed', strategy: 1 },
  predictive: { scenario: 'class-e-at-speed', strategy: 2 },
  accelerometer: { scenario: 'class-d-with-accelerometer', strategy: 2 },
} as const;
export type SettingName = keyof typeof SETTINGS;
export const SETTING_NAMES = Object.keys(SETTINGS) as SettingName[];

/** Executed instructions of a row's share of a tick, and the stack, in one setting. */
export interface SettingCost {
  readonly meanInstructions: number;
  readonly maxInstructions: number;
  /** Bytes of the stack that were in use, at most. */
  readonly stackUsedBytes: number;
}

/** Cost of the controller on one chip, built for and running with this number of rows. */
export interface ChipBudget extends FirmwareSizes {
  readonly settings: Readonly<Record<SettingName, SettingCost>>;
}

/** Converts the chip's counts: the emulator's clock advances by 2^INSTRUCTION_SHIFT ns with each instruction. */
const instructionsOf = (counts: number, countHz: number): number => (counts * 1e9) / countHz / 2 ** INSTRUCTION_SHIFT;

/** A run of the closed loop on the wasm: inputs of all ticks, and the state chain after each. */
interface ClosedLoopRun {
  readonly parameters: Readonly<Record<string, number>>;
  readonly inputs: Uint8Array;
  readonly chains: Uint32Array;
}

const runs = new Map<string, ClosedLoopRun>();

/** The closed loop of a setting. It is the same for every chip, so it runs once. */
function closedLoopRun(project: Project, binaries: Binaries, rows: number, name: SettingName): ClosedLoopRun {
  const key = `${project.root} ${binaries.controller.description.sourceHash} ${rows} ${name}`;
  const run = runs.get(key) ?? runClosedLoop(project, binaries, rows, name);
  runs.set(key, run);
  return run;
}

function runClosedLoop(project: Project, { controller, plant }: Binaries, rows: number, name: SettingName): ClosedLoopRun {
  const { strategy, scenario: scenarioName } = SETTINGS[name];
  const scenario = { ...readScenario(project, scenarioName), rows };
  const parameters = { ...scenario.parameters, strategy };
  const wasm = createWasmRunner(controller, rows, parameters);
  const chain = new StateChain(wasm.input.buffer as ArrayBuffer, controller.description.contract, rows);
  const loop = new ClosedLoop(wasm, plant, scenario, { ...defaultSettings(scenario), parameters });
  const inputs = new Uint8Array(TICKS * wasm.input.length);
  const chains = new Uint32Array(TICKS);
  for (let tick = 0; tick < TICKS; tick++) {
    loop.stepPlant(tick);
    inputs.set(wasm.input, tick * wasm.input.length);
    wasm.tick();
    chain.update();
    chains[tick] = chain.value;
    loop.passOrders();
  }
  return { parameters, inputs, chains };
}

/** Runs the chip on the inputs of a closed loop. @throws Error when it diverges from the wasm */
function measureSetting({ description }: Controller, link: Link, rows: number, run: ClosedLoopRun): SettingCost {
  const { parameters, inputs, chains } = run;
  const chip = createChipRunner(link, description, rows, parameters);
  const bytes = inputs.length / TICKS;
  let total = 0;
  let max = 0;
  for (let tick = 0; tick < TICKS; ) {
    const end = Math.min(tick + chip.ticksMax, tick < WARM_UP_TICKS ? WARM_UP_TICKS : TICKS);
    chip.runTicks(inputs.subarray(tick * bytes, end * bytes));
    if (chains[end - 1] !== chip.chain) throw new Error(`${link.line.name} diverges from the wasm between ticks ${tick} and ${end - 1}`);
    max = Math.max(max, chip.counts.max);
    if (tick >= WARM_UP_TICKS) total += chip.counts.total;
    tick = end;
  }
  const perRow = (counts: number): number => Math.round((10 * instructionsOf(counts, chip.greeting.countHz)) / rows) / 10;
  const mean = total / (TICKS - WARM_UP_TICKS);
  return { meanInstructions: perRow(mean), maxInstructions: perRow(max), stackUsedBytes: statusOf(link).stackBytes };
}

/**
 * Builds the firmware for this number of rows and measures the cost of its ticks by the emulator's count of instructions.
 * @throws InputError when tools are not installed
 * @throws StackUnbounded when more of the stack is in use than is proven
 * @throws Error when the chip diverges from the wasm
 */
export async function measureBudget(project: Project, chip: Chip, rows: number): Promise<ChipBudget> {
  const { file: wasmFile } = await compileWorkingTree(project.root, { rows });
  const binaries = { controller: readController(wasmFile), plant: loadPlant((await compilePlant(TOOL_ROOT)).file) };
  const firmware = buildFirmware(chip, wasmFile, { channel: 'files' });
  const sizes = describeFirmware(buildFirmware(chip, wasmFile, { channel: 'uart' }), rows);
  const costs = SETTING_NAMES.map((name) => {
    const line = startFirmware(firmware, { isCounting: true });
    try {
      return [name, measureSetting(binaries.controller, new Link(line), rows, closedLoopRun(project, binaries, rows, name))] as const;
    } finally {
      line.close();
    }
  });
  for (const [name, { stackUsedBytes }] of costs) {
    if (stackUsedBytes > (sizes.stackBytes ?? Number.POSITIVE_INFINITY)) {
      throw new StackUnbounded(`${chip.name}, ${name}: ${stackUsedBytes} bytes of the stack are in use, ${sizes.stackBytes} are proven`);
    }
  }
  return { ...sizes, settings: Object.fromEntries(costs) as Record<SettingName, SettingCost> };
}
