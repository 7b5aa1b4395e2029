import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { CHIPS, installCommand } from '../../host/chip/chips.js';
import type { ChipRun } from '../../host/chip/run-chip.js';
import { vectorNames } from '../../host/vector/vector.js';
import { latchbench, spawnLatchbench, temporaryFolder } from '../support/command.js';
import { missingTool } from '../support/missing-tool.js';
import { PROJECT } from '../support/project.js';

const folder = temporaryFolder();
const emulated = CHIPS.filter(({ emulator }) => emulator !== undefined);
const tools = [...new Set(CHIPS.flatMap(({ tools: prefix, emulator }) => [`${prefix}gcc`, ...(emulator?.slice(0, 1) ?? [])])), 'wasm2c'];
// Every tool is asked for, so that each that is missing is named.
const isMissing = tools.map((tool) => missingTool(tool, installCommand(CHIPS))).includes(true);

describe.skipIf(isMissing)('every vector on every chip', () => {
  let runs: readonly ChipRun[] = [];
  let status: number | null = null;

  beforeAll(() => {
    const answer = spawnLatchbench(['chip', 'replay', '--json'], { timeout: 900_000 });
    status = answer.status;
    runs = JSON.parse(answer.out).runs;
  }, 900_000);

  it('has the bits of the wasm', () => {
    const different = runs.flatMap(({ chip, cases }) =>
      cases.filter(({ verdict }) => verdict !== 'same').map(({ name }) => `${chip} ${name}`),
    );
    expect(different).toEqual([]);
    expect(status).toBe(0);
  });

  it('is on four targets, with all vectors, and one chain', () => {
    expect(runs.map(({ chip }) => chip)).toEqual(['native', 'cortex-m4f', 'cortex-m0plus', 'rv32imafc']);
    for (const { cases } of runs) expect(cases.map(({ name }) => name)).toEqual(vectorNames(PROJECT));
    expect(new Set(runs.flatMap(({ chain, wasmChain }) => [chain, wasmChain])).size).toBe(1);
  });

  it('is more than a million ticks', () => {
    const ticks = runs.reduce((sum, { cases }) => sum + cases.reduce((inRun, one) => inRun + one.ticks, 0), 0);
    expect(ticks).toBeGreaterThanOrEqual(1_000_000);
  });

  it('uses no more stack than is proven', async () => {
    const { firmware } = JSON.parse((await latchbench('chip', 'build', '--json')).out);
    for (const { chip, cases } of runs.filter((one) => one.chip !== 'native')) {
      const { stackBytes } = firmware.find((one: { chip: string }) => one.chip === chip);
      expect(stackBytes).toBeLessThanOrEqual(1024);
      for (const one of cases) {
        expect(one.stackBytes, `${chip} ${one.name}`).toBeGreaterThan(100);
        expect(one.stackBytes, `${chip} ${one.name}`).toBeLessThanOrEqual(stackBytes);
      }
    }
  });
});

describe.skipIf(isMissing)('latchbench chip replay', () => {
  it('is red for a build that fuses products and sums, and says where and why', async () => {
    const { status, out } = await latchbench('chip', 'replay', '--chip', 'cortex-m4f', '--compiler=-ffp-contract=fast', 'target-step');
    expect(status).toBe(1);
    expect(out).toMatch(/cortex-m4f +target-step +different +tick 0 chain: [0-9a-f]{8} → [0-9a-f]{8}/);
    expect(out).toContain('cortex-m4f: products are added without having been rounded (fused multiply-add)');
  });

  it('goes over the emulated UART with the same chain, and writes down what went over the link', async () => {
    const log = join(folder, 'uart.log');
    const words = ['chip', 'replay', '--chip', 'cortex-m4f', 'shut-down-with-vent', '--json'];
    const overUart = await latchbench(...words, '--over', 'uart', '--log', log);
    const overFiles = await latchbench(...words);
    expect(overUart.status).toBe(0);
    const [uart, files] = [overUart, overFiles].map(({ out }) => JSON.parse(out).runs[0] as ChipRun);
    expect(uart?.over).toBe('emulated UART');
    expect(uart?.chain).toBe(files?.chain);
    const text = readFileSync(log, 'utf8');
    // 6 s of 3 rows: a line each second; 6000 requests of 44 bytes of inputs, and as many answers of 32 of outputs and 8 more.
    expect(text.match(/^ {2}tick \d*999 chain/gm)).toHaveLength(6);
    expect(text).toMatch(/^ {2}same after 6000 ticks; chip ([0-9a-f]{8}) wasm \1; stack \d+ B$/m);
    const [, sent, received] = /sent (\d+) B received (\d+) B repeated 0 damaged 0/.exec(text) ?? [];
    expect(Number(sent)).toBeGreaterThan(6000 * (44 + 7));
    expect(Number(received)).toBeGreaterThan(6000 * (40 + 7));
  }, 120_000);

  it.each([
    ['a chip that there is not', ['chip', 'replay', '--chip', 'cortex-m99'], 'cortex-m0plus'],
    ['a vector that there is not', ['chip', 'replay', 'no-such-vector'], 'no-such-vector'],
    ['a port that there is not', ['chip', 'replay', '--port', '/dev/no-such-port', 'target-step'], '/dev/no-such-port'],
    ['a chip beside a port', ['chip', 'replay', '--port', '/dev/null', '--chip', 'native'], '--chip: cannot be combined with --port'],
    [
      'a library compiled for two chips',
      ['chip', 'library', '-o', '/nowhere', '--chip', 'native,cortex-m4f'],
      '--chip: only one chip can be given',
    ],
    ['rows that there are not', ['chip', 'build', '--rows', '49'], 'between 1 and 48'],
    ['acceptance without a name', ['chip', 'budget', '--accept'], '--by and --reason'],
  ])('refuses %s with 2', async (_, words, said) => {
    const { status, out, err } = await latchbench(...words);
    expect([status, out]).toEqual([2, '']);
    expect(err).toContain(said);
  });
});

describe.skipIf(isMissing)('latchbench chip build', () => {
  it('writes an image for each chip, with what it takes', async () => {
    const target = join(folder, 'images');
    mkdirSync(target);
    const { status, out } = await latchbench('chip', 'build', '--rows', '24', '-o', target);
    expect(status).toBe(0);
    expect(readdirSync(target).sort()).toEqual(CHIPS.map(({ name }) => `latchbench-${name}-24.elf`).sort());
    expect(out).toMatch(/^cortex-m4f +24 +\d\d \d{3} +\d+ +\d\d \d{3} +\d\d \d{3} +\d\d \d{3} +\d{3}$/m);
    expect(out).toMatch(/^rv32imafc: lb_start \d+ → /m);
  });
});

describe.skipIf(isMissing)('latchbench chip library', () => {
  it('is C that any firmware can take in: compiled and run here, it does what the wasm does', async () => {
    const target = join(folder, 'library');
    expect((await latchbench('chip', 'library', '-o', target, '--rows', '4')).status).toBe(0);
    const main = `#include <stdio.h>
#include <stdlib.h>
#include "latchbench-chip.h"
void lb_trap(uint32_t reason) { exit((int)reason); }
int main(void) {
  lb_default_parameters();
  if (lb_check_arithmetic() != 0 || lb_configure(4) != 0) return 99;
  for (int tick = 0; tick < 40; tick++) {
    lb_bank_input()->supplyMv = 13800;
    lb_bank_input()->enabled = 1;
    lb_tick();
    for (int row = 0; row < 4; row++) if (lb_row_output()[row].supplyOrder == LB_ORDER_CLOSE) printf("%d:%d ", tick, row);
  }
  printf("closed %d mode %d\\n", lb_bank_output()->allClosed, lb_bank_output()->mode);
}
`;
    writeFileSync(join(target, 'main.c'), main);
    execFileSync('gcc', ['-std=gnu11', '-O2', '-ffp-contract=off', 'main.c', 'controller.c', 'library.c', '-lm', '-o', 'main'], {
      cwd: target,
    });
    // At start every valve is closed once: 8 strokes of 2 ms, 4 coils at a time, both of a row. Then the bank is lifted, which is mode 3.
    expect(spawnSync(join(target, 'main'), { encoding: 'utf8' }).stdout).toBe('0:0 0:1 1:0 1:1 2:2 2:3 3:2 3:3 closed 1 mode 3\n');
  });

  it('is compiled for a chip on request, and refuses a folder that is not empty', async () => {
    const target = join(folder, 'archive');
    expect((await latchbench('chip', 'library', '-o', target, '--chip', 'cortex-m4f')).status).toBe(0);
    const symbols = execFileSync('arm-none-eabi-nm', [join(target, 'liblatchbench.a')], { encoding: 'utf8' });
    expect(symbols).toMatch(/ T lb_tick$/m);
    expect(readFileSync(join(target, 'HOW-TO.txt'), 'utf8')).toContain('-mfloat-abi=hard');
    const again = await latchbench('chip', 'library', '-o', target);
    expect(again.status).toBe(2);
    expect(again.err).toContain('not empty');
  });
});

describe.skipIf(isMissing)('what the chips may cost', () => {
  interface Metric {
    readonly chip: string;
    readonly rows: number;
    readonly metric: string;
    readonly value: number;
  }
  const { metrics } = parse(readFileSync('vectors/chip-budget.yaml', 'utf8')) as { metrics: readonly Metric[] };
  const accepted = (chip: string, rows: number, metric: string): number =>
    metrics.find((one) => one.chip === chip && one.rows === rows && one.metric === metric)?.value ?? Number.NaN;

  it('is accepted for every chip and row count', () => {
    for (const { name } of emulated)
      for (const rows of [1, 24, 48]) expect(accepted(name, rows, 'predictive.meanInstructions')).toBeGreaterThan(0);
  });

  it('is within what was accepted', () => {
    const { status, out } = spawnLatchbench(['chip', 'budget'], { timeout: 600_000 });
    expect(out).toContain('within 5 % of what was accepted');
    expect(status).toBe(0);
  }, 600_000);

  // What is aimed at: a row's share of a tick, and 24 rows in 32 KiB of code. Cascade, and memory, are not reached: see DEVELOPERS.md.
  it.each([
    ['predictive.meanInstructions', 1500],
    ['textBytes', 32 * 1024],
    ['stackBytes', 1024],
  ])('is on a Cortex-M4F with 24 rows, %s, at most %d', (metric, most) => {
    expect(accepted('cortex-m4f', 24, metric)).toBeLessThanOrEqual(most);
  });
});

describe('without the toolchain', () => {
  it('says what is not installed and the command that installs it, with 2', () => {
    const { status, err } = spawnLatchbench(['chip', 'build', '--chip', 'cortex-m4f'], { env: { ...process.env, PATH: '/nowhere' } });
    expect(status).toBe(2);
    expect(err).toContain(
      'wasm2c and arm-none-eabi-gcc and qemu-system-arm not installed — allowed: apt-get install wabt gcc-arm-none-eabi',
    );
  });

  it('replays what it can, and says plainly what it does not', () => {
    const { status, err } = spawnLatchbench(['chip', 'replay', 'target-step'], { env: { ...process.env, PATH: '/nowhere' } });
    expect(status).toBe(2);
    for (const { name } of CHIPS) expect(err).toContain(`NOT RUN: ${name}: `);
  });
});
