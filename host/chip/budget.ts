import { join } from 'node:path';
import type { Project } from '../common/project.js';
import { type Controller, createWasmRunner, readController } from '../runner/wasm-runner.js';
import { loadPlant } from '../simulate/plant.js';
import { ClosedLoop, defaultSettings } from '../simulate/run.js';
import { readScenario, type Scenario } from '../simulate/scenario.js';
import { binaryFor } from './binaries.js';
import { buildFirmware, type Firmware, sizesOf } from './build.js';
import { StateChain } from './chain.js';
import { type ChipRunner, createChipRunner } from './chip-runner.js';
import type { Chip } from './chips.js';
import { INSTRUCTION_SHIFT, startFirmware } from './line.js';
import { Link, statusOf } from './link.js';
import { boundStack, type StackPath, StackUnbounded } from './stack.js';

/** What an image takes. */
export interface FirmwareSheet {
  readonly chip: string;
  readonly rows: number;
  readonly textBytes: number;
  readonly dataBytes: number;
  readonly bssBytes: number;
  /** Of it the controller itself: code without the libraries that it calls, and the records. */
  readonly controllerTextBytes: number;
  readonly controllerRamBytes: number;
  /** Proven; undefined for a program of this computer. */
  readonly stackBytes: number | undefined;
  readonly stackPath: StackPath;
}

/** STACK of the example boards, bytes. */
const STACK_REGION = 2048;

/** @throws StackUnbounded when the image’s stack can’t be bounded, or is larger than the board has room for */
export function describeFirmware({ chip, folder, image }: Firmware, rows: number): FirmwareSheet {
  const { text, data, bss } = sizesOf(chip, image);
  const controller = sizesOf(chip, join(folder, 'controller.o'));
  const stack = chip.emulator === undefined ? undefined : boundStack(chip, image);
  if (stack !== undefined && stack.total > STACK_REGION) {
    throw new StackUnbounded(`${chip.name}: ${stack.total} bytes are proven, the board’s memory.ld has ${STACK_REGION}`);
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

export const BUDGET_TICKS = 700;
/** Rows begin to work 301 ticks after the start; the mean is over what comes after. */
const WORKING_FROM = 400;

/** What is measured: every row works on a rough field. The last one has every sensor that there is; no tick costs more. */
const SETTINGS = {
  threshold: { scenario: 'class-e-at-speed', strategy: 0 },
  cascade: { scenario: 'class-e-at-speed', strategy: 1 },
  predictive: { scenario: 'class-e-at-speed', strategy: 2 },
  accelerometer: { scenario: 'class-d-with-accelerometer', strategy: 2 },
} as const;
export type SettingName = keyof typeof SETTINGS;
export const SETTING_NAMES = Object.keys(SETTINGS) as SettingName[];

/** Executed instructions of a row’s share of a tick, and the stack, in one setting. */
export interface SettingCost {
  readonly meanInstructions: number;
  readonly worstInstructions: number;
  /** Most of the stack that was in use, bytes. */
  readonly stackUsedBytes: number;
}

/** What the controller costs on one chip with room for so many rows, all of them in use. */
export interface Budget extends FirmwareSheet {
  readonly settings: Readonly<Record<SettingName, SettingCost>>;
}

/** From the chip’s counter to instructions: the emulator’s clock moves on by 2^INSTRUCTION_SHIFT ns with each. */
const instructionsOf = (counts: number, countHz: number): number => Math.round((counts * 1e9) / countHz / 2 ** INSTRUCTION_SHIFT);

/** The closed loop on the wasm, with the chip beside it on the same inputs. @throws Error when they part */
function measureSetting(controller: Controller, link: Link, unloaded: Scenario, rows: number, strategy: number): SettingCost {
  const scenario = { ...unloaded, rows };
  const parameters = { ...scenario.parameters, strategy };
  const wasm = createWasmRunner(controller, rows, parameters);
  const chip: ChipRunner = createChipRunner(link, controller.description, rows, parameters);
  const chain = new StateChain(wasm.input.buffer as ArrayBuffer, controller.description.contract, rows);
  const loop = new ClosedLoop(wasm, loadPlant(), scenario, { ...defaultSettings(scenario), parameters });
  let sum = 0;
  let worst = 0;
  for (let tick = 0; tick < BUDGET_TICKS; tick++) {
    loop.feed(tick);
    chip.input.set(wasm.input);
    wasm.tick();
    chip.tick();
    chain.update();
    if (chain.value !== chip.chain) throw new Error(`${link.line.name} parts from the wasm at tick ${tick}`);
    const instructions = instructionsOf(chip.counts, chip.greeting.countHz);
    worst = Math.max(worst, instructions);
    if (tick >= WORKING_FROM) sum += instructions;
    loop.obey();
  }
  const perRow = (count: number): number => Math.round((10 * count) / rows) / 10;
  const mean = sum / (BUDGET_TICKS - WORKING_FROM);
  return { meanInstructions: perRow(mean), worstInstructions: perRow(worst), stackUsedBytes: statusOf(link).stackBytes };
}

/**
 * Builds the firmware with room for so many rows and counts what its ticks cost, by the emulator’s own count of instructions.
 * @throws InputError when tools are not installed
 * @throws StackUnbounded when more of the stack is in use than is proven
 * @throws Error when the chip parts from the wasm
 */
export async function measureBudget(project: Project, chip: Chip, rows: number): Promise<Budget> {
  const wasmFile = await binaryFor(project, rows);
  const controller = readController(wasmFile);
  const firmware = buildFirmware(chip, wasmFile, { channel: 'files' });
  const sheet = describeFirmware(buildFirmware(chip, wasmFile, { channel: 'uart' }), rows);
  const costs = SETTING_NAMES.map((name) => {
    const line = startFirmware(firmware, { isCounting: true });
    try {
      const { scenario, strategy } = SETTINGS[name];
      return [name, measureSetting(controller, new Link(line), readScenario(project, scenario), rows, strategy)] as const;
    } finally {
      line.close();
    }
  });
  for (const [name, { stackUsedBytes }] of costs) {
    if (stackUsedBytes > (sheet.stackBytes ?? Number.POSITIVE_INFINITY)) {
      throw new StackUnbounded(`${chip.name}, ${name}: ${stackUsedBytes} bytes in use, ${sheet.stackBytes} are proven`);
    }
  }
  return { ...sheet, settings: Object.fromEntries(costs) as Record<SettingName, SettingCost> };
}

/** Row counts of the table. */
export const BUDGET_ROWS = [1, 24, 48] as const;
