import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { CHIPS } from '../../host/chip/chips.js';
import type { ChipRun } from '../../host/chip/run-chip.js';
import { describeContract } from '../../host/contract/contract.js';
import { openRecording } from '../../host/recording/reader.js';
import { RecordingWriter } from '../../host/recording/writer.js';
import { readVector, vectorNames } from '../../host/vector/vector.js';
import { isChipMissing } from '../support/chip-tools.js';
import { copyVector, latchbench, spawnLatchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const isMissing = CHIPS.map(({ name }) => isChipMissing(name)).includes(true);
const NAMES = vectorNames(PROJECT);

/** Computes in single precision by software: its emulation takes eight times as long as that of the others. */
const SLOW_CHIP = 'cortex-m0plus';
const SLOW_CHIP_S = 6;

/** A copy of a vector with its first seconds only; its accepted outputs do not matter here. @returns its folder */
function shortened(name: string): string {
  const copy = copyVector(name, folder);
  const { inputFile, rows, tickHz } = readVector(PROJECT, name);
  const writer = RecordingWriter.create(join(copy, 'input.mcap'), { contract: describeContract(), rows, tickHz, messages: ['input'] });
  for (const { tick, payload } of openRecording(inputFile).messages({ messages: ['input'] })) {
    if (tick >= SLOW_CHIP_S * tickHz) break;
    writer.write('input', tick, payload);
  }
  writer.close();
  return copy;
}

describe.skipIf(isMissing)(`every vector on every chip, on ${SLOW_CHIP} the first ${SLOW_CHIP_S} s of it`, () => {
  let runs: readonly ChipRun[] = [];
  let statuses: readonly (number | null)[] = [];

  beforeAll(() => {
    const others = CHIPS.map(({ name }) => name).filter((name) => name !== SLOW_CHIP);
    const answers = [
      ['--chip', others.join()],
      ['--chip', SLOW_CHIP, ...NAMES.map(shortened)],
    ].map((words) => spawnLatchbench(['chip', 'replay', '--json', ...words], { timeout: 900_000 }));
    statuses = answers.map(({ status }) => status);
    runs = answers.flatMap(({ out }) => JSON.parse(out).runs as ChipRun[]);
  }, 1_800_000);

  it('has the bits of the wasm', () => {
    const different = runs.flatMap(({ chip, vectors }) =>
      vectors.filter(({ verdict }) => verdict !== 'same').map(({ name }) => `${chip} ${name}`),
    );
    expect(different).toEqual([]);
    expect(statuses).toEqual([0, 0]);
  });

  it('covers four chips and all vectors, with one chain for each length', () => {
    expect(runs.map(({ chip }) => chip)).toEqual(['native', 'cortex-m4f', 'rv32imafc', SLOW_CHIP]);
    for (const { vectors } of runs) expect(vectors.map(({ name }) => name)).toEqual(NAMES);
    const chainsOf = (some: readonly ChipRun[]): number => new Set(some.flatMap(({ chain, wasmChain }) => [chain, wasmChain])).size;
    expect([chainsOf(runs.slice(0, 3)), chainsOf(runs.slice(3)), chainsOf(runs)]).toEqual([1, 1, 2]);
  });

  it('adds up to more than a million ticks', () => {
    const ticksOf = (vectors: ChipRun['vectors']): number => vectors.reduce((sum, one) => sum + one.ticks, 0);
    expect(ticksOf(runs.flatMap(({ vectors }) => vectors))).toBeGreaterThanOrEqual(1_000_000);
    // The shortest vectors last 3 s.
    expect(ticksOf(runs[3]?.vectors ?? [])).toBeGreaterThanOrEqual(NAMES.length * 3000);
  });

  it('uses no more stack than is proven', async () => {
    const { firmware } = JSON.parse((await latchbench('chip', 'build', '--json')).out);
    for (const { chip, vectors } of runs.filter((one) => one.chip !== 'native')) {
      const { stackBytes } = firmware.find((one: { chip: string }) => one.chip === chip);
      expect(stackBytes).toBeLessThanOrEqual(1024);
      for (const one of vectors) {
        expect(one.stackBytes, `${chip} ${one.name}`).toBeGreaterThan(100);
        expect(one.stackBytes, `${chip} ${one.name}`).toBeLessThanOrEqual(stackBytes);
      }
    }
  });
});

describe.skipIf(isMissing)('a vector over the emulated UART', () => {
  it('has the same chain as over files, and its log has a line per second', async () => {
    const log = join(folder, 'uart.log');
    const argv = ['chip', 'replay', '--chip', 'cortex-m4f', 'shut-down-with-vent', '--json'];
    const overUart = await latchbench(...argv, '--over', 'uart', '--log', log);
    const overFiles = await latchbench(...argv);
    expect(overUart.status).toBe(0);
    const [uart, files] = [overUart, overFiles].map(({ out }) => JSON.parse(out).runs[0] as ChipRun);
    expect(uart?.over).toBe('emulated UART');
    expect(uart?.chain).toBe(files?.chain);
    const text = readFileSync(log, 'utf8');
    expect(text.match(/^ {2}tick \d*999 chain/gm)).toHaveLength(6);
    expect(text).toMatch(/^ {2}same after 6000 ticks; chip ([0-9a-f]{8}) wasm \1; stack \d+ B$/m);
    const [, sent, received] = /sent (\d+) B received (\d+) B repeated 0 damaged 0/.exec(text) ?? [];
    // 6000 ticks of 3 rows: 44 bytes of inputs each. 23 of them fit into 1024 bytes, so each second takes 44 requests, whose answers
    // have 32 bytes of outputs and 12 more. Every frame has 8 bytes more.
    expect(Number(sent)).toBeGreaterThan(6000 * 44 + 6 * 44 * 8);
    expect(Number(received)).toBeGreaterThan(6 * 44 * (32 + 12 + 8));
    expect(Number(received)).toBeLessThan(6000 * 32);
  }, 120_000);
});
