import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readBudgets } from '../../host/chip/budget-table.js';
import { CHIPS, EMULATED_CHIPS } from '../../host/chip/chips.js';
import type { ChipRun } from '../../host/chip/run-chip.js';
import { isChipMissing } from '../support/chip-tools.js';
import { copyVector, latchbench, spawnLatchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

/* All vectors on all chips, and all chip budgets: tests/slow/chip-vectors.test.ts and chip-budget.test.ts. */

const folder = temporaryFolder();
// Every chip is checked, so that each missing tool is reported.
const isMissing = CHIPS.map(({ name }) => isChipMissing(name)).includes(true);

describe.skipIf(isMissing)('latchbench chip replay', () => {
  it('runs a vector on every chip with the bits of the wasm', async () => {
    const { status, out } = await latchbench('chip', 'replay', 'shut-down-with-vent', '--json');
    const runs: readonly ChipRun[] = JSON.parse(out).runs;
    expect(runs.map(({ chip }) => chip)).toEqual(['native', 'cortex-m4f', 'cortex-m0plus', 'rv32imafc']);
    expect(runs.flatMap(({ vectors }) => vectors.map(({ verdict, ticks }) => [verdict, ticks]))).toEqual(runs.map(() => ['same', 6000]));
    expect(new Set(runs.flatMap(({ chain, wasmChain }) => [chain, wasmChain])).size).toBe(1);
    expect(status).toBe(0);
  });

  it('fails for a build with fused multiply-add, and reports where and why', async () => {
    const { status, out } = await latchbench('chip', 'replay', '--chip', 'cortex-m4f', '--compiler=-ffp-contract=fast', 'target-step');
    expect(status).toBe(1);
    expect(out).toMatch(/cortex-m4f +target-step +state differs +tick 0 chain: [0-9a-f]{8} → [0-9a-f]{8}/);
    expect(out).toContain('cortex-m4f: products are added without rounding (fused multiply-add)');
  });

  it.each([
    ['an unknown chip', ['chip', 'replay', '--chip', 'cortex-m99'], '"cortex-m99" is not a chip'],
    ['an unknown vector', ['chip', 'replay', 'no-such-vector'], 'no-such-vector'],
    ['a port that does not exist', ['chip', 'replay', '--port', '/dev/no-such-port', 'target-step'], '/dev/no-such-port'],
    [
      'a chip together with a port',
      ['chip', 'replay', '--port', '/dev/null', '--chip', 'native'],
      '--chip: cannot be combined with --port',
    ],
    [
      'a library compiled for two chips',
      ['chip', 'library', '-o', '/nowhere', '--chip', 'native,cortex-m4f'],
      'only one chip can be given',
    ],
    ['too many rows', ['chip', 'build', '--rows', '49'], 'between 1 and 48'],
    ['acceptance without a name', ['chip', 'budget', '--accept'], '--accept: needs --by.'],
    [
      'a chip budget for a chip without emulator',
      ['chip', 'budget', '--chip', 'native'],
      'native has no emulator; it must be one of cortex-m4f, cortex-m0plus, rv32imafc',
    ],
  ])('rejects %s with exit code 2', async (_, argv, message) => {
    const { status, out, err } = await latchbench(...argv);
    expect([status, out]).toEqual([2, '']);
    expect(err).toContain(message);
  });
});

describe.skipIf(isMissing)('a damaged vector', () => {
  it('is rejected with exit code 2 and the place of the damage, also from another thread', async () => {
    const vector = copyVector('target-step', folder);
    truncateSync(join(vector, 'input.mcap'), 30_000);
    const { status, out } = await latchbench('chip', 'replay', '--chip', 'native', vector, '--json');
    expect(JSON.parse(out).error).toMatchObject({ file: join(vector, 'input.mcap'), byte: 30_000 });
    expect(status).toBe(2);
  });
});

describe.skipIf(isMissing)('latchbench chip build', () => {
  it('writes an image for each chip, with its sizes', async () => {
    const target = join(folder, 'images');
    mkdirSync(target);
    const { status, out } = await latchbench('chip', 'build', '-o', target);
    expect(status).toBe(0);
    expect(readdirSync(target).sort()).toEqual(CHIPS.map(({ name }) => `latchbench-${name}-48.elf`).sort());
    expect(out).toMatch(/^cortex-m4f +48 +\d\d \d{3} +\d+ +\d\d \d{3} +\d\d \d{3} +\d\d \d{3} +\d{3}$/m);
    expect(out).toMatch(/^rv32imafc: lb_start \d+ → /m);
  });
});

describe.skipIf(isMissing)('latchbench chip library', () => {
  it('writes C for any firmware: compiled and run here, it does what the wasm does', async () => {
    const target = join(folder, 'library');
    expect((await latchbench('chip', 'library', '-o', target, '--rows', '24')).status).toBe(0);
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
  lb_parameters()->deadbandMinN = 60;
  const int changed = lb_reconfigure();
  lb_parameters()->tickHz = 500;
  const int kept = lb_reconfigure();
  printf("reconfigured %d %d tickHz %d\\n", changed, kept, (int)lb_parameters()->tickHz);
}
`;
    writeFileSync(join(target, 'main.c'), main);
    execFileSync('gcc', ['-std=gnu11', '-O1', '-ffp-contract=off', 'main.c', 'controller.c', 'library.c', '-lm', '-o', 'main'], {
      cwd: target,
    });
    // At start every valve is closed once: 8 strokes of 2 ms, 4 coils at a time, both of a row. Then the bank is lifted, which is mode 3.
    // The tick rate is parameter 1, and needs a restart.
    expect(spawnSync(join(target, 'main'), { encoding: 'utf8' }).stdout).toBe(
      '0:0 0:1 1:0 1:1 2:2 2:3 3:2 3:3 closed 1 mode 3\nreconfigured 0 -1 tickHz 1000\n',
    );
  });

  it('has examples that compile without warnings and run: C and C++, one bank and two, parameters moved by name', async () => {
    const target = join(folder, 'examples');
    expect((await latchbench('chip', 'library', '-o', target, '--rows', '4')).status).toBe(0);
    const compile = (words: string[], source: string, object: string): string => {
      const program = source.endsWith('.cpp') ? 'g++' : 'gcc';
      execFileSync(program, [...words, '-O1', '-ffp-contract=off', '-I.', '-c', source, '-o', object], { cwd: target });
      return object;
    };
    const strict = ['-Wall', '-Wextra', '-Wconversion', '-Wpedantic', '-Werror'];
    const bank = (name: string): string[] => {
      const words = name === '' ? [] : [`-DLB_BANK=${name}`];
      const objects = [
        compile(words, 'controller.c', `controller${name}.o`),
        compile([...strict, ...words], 'library.c', `library${name}.o`),
      ];
      return name === '' ? objects : [...objects, compile([...strict, ...words], `examples/${name}-bank.c`, `${name}.o`)];
    };
    const run = (source: string, objects: readonly string[]): string => {
      const main = compile(strict, `examples/${source}`, 'main.o');
      execFileSync('g++', [main, ...objects, '-o', 'main'], { cwd: target });
      return execFileSync(join(target, 'main'), { encoding: 'utf8' });
    };
    const one = bank('');
    // At start each of the 8 valves gets a closing stroke of 2 ms; the bank with one row has 2 valves.
    expect(run('main-loop.c', one)).toBe('driven 16 all closed 1\n');
    expect(run('rtos.c', one)).toBe('driven 16 all closed 1\n');
    expect(run('interrupt.c', one)).toBe('driven 16 all closed 1 answer 0 deadbandMinN 60\n');
    expect(run('stored-parameters.cpp', one)).toBe('lost 2 deadbandMinN 44 tickHz 1000\n');
    expect(run('two-banks.c', [...bank('left'), ...bank('right')])).toBe('left 16 right 4\n');
  });

  it('compiles it for a chip on request, and rejects a folder that is not empty', async () => {
    const target = join(folder, 'archive');
    expect((await latchbench('chip', 'library', '-o', target, '--chip', 'cortex-m4f')).status).toBe(0);
    const symbols = execFileSync('arm-none-eabi-nm', [join(target, 'liblatchbench.a')], { encoding: 'utf8' });
    expect(symbols).toMatch(/ T lb_tick$/m);
    expect(readFileSync(join(target, 'README.txt'), 'utf8')).toContain('-mfloat-abi=hard');
    const again = await latchbench('chip', 'library', '-o', target);
    expect(again.status).toBe(2);
    expect(again.err).toContain('not empty');
  });
});

describe.skipIf(isMissing)('the chip budget', () => {
  const accepted = (chip: string, rows: number, metric: string): number =>
    readBudgets(PROJECT.chipBudget).find((one) => one.chip === chip && one.rows === rows && one.metric === metric)?.value ?? Number.NaN;

  it('is accepted for every emulated chip and row count', () => {
    for (const { name } of EMULATED_CHIPS)
      for (const rows of [1, 24, 48]) expect(accepted(name, rows, 'predictive.meanInstructions')).toBeGreaterThan(0);
  });

  it('is met on a Cortex-M4F with 24 rows', async () => {
    const { status, out } = await latchbench('chip', 'budget', '--chip', 'cortex-m4f', '--rows', '24');
    expect(out).toContain('within 5 % of the accepted values');
    expect(status).toBe(0);
  });

  it('has a stack of at most 1024 bytes on a Cortex-M4F with 24 rows', () => {
    expect(accepted('cortex-m4f', 24, 'stackBytes')).toBeLessThanOrEqual(1024);
  });

  // Fails when a target is met after all, so that README.md cannot go on calling it missed, and when it is missed by more than today.
  it.each([
    ['predictive.meanInstructions', 'predictive, default machine', 1250, 1350],
    ['cascade.meanInstructions', 'cascade', 1200, 1400],
    ['textBytes', 'code, the whole example firmware', 32 * 1024, 46_000],
    ['bssBytes', 'RAM, the whole example firmware', 12 * 1024, 35_900],
  ])('misses its target of %s on a Cortex-M4F with 24 rows by no more than today, and README.md says so', (metric, line, target, max) => {
    const value = accepted('cortex-m4f', 24, metric);
    expect(value).toBeGreaterThan(target);
    expect(value).toBeLessThanOrEqual(max);
    const [measured, goal] = [Math.round(value), target].map((one) => one.toLocaleString('en-US'));
    const readme = readFileSync(join(PROJECT.root, 'README.md'), 'utf8');
    expect(readme).toMatch(new RegExp(`^\\| .*${line}.* \\| ${measured}( bytes)? \\| ${goal}, missed`, 'm'));
  });
});

describe('without the toolchain', () => {
  const env = { ...process.env, PATH: '/nowhere' };

  it('names what is not installed and the command that installs it, with exit code 2', () => {
    const { status, err } = spawnLatchbench(['chip', 'build', '--chip', 'cortex-m4f'], { env });
    expect(status).toBe(2);
    expect(err).toContain(
      'wasm2c and arm-none-eabi-gcc and qemu-system-arm are not installed. Run `apt-get install wabt gcc-arm-none-eabi',
    );
  });

  it('reports which chips are left out', () => {
    const { status, err } = spawnLatchbench(['chip', 'replay', 'target-step'], { env });
    expect(status).toBe(2);
    for (const { name } of CHIPS) expect(err).toContain(`NOT RUN: ${name}: `);
  });
});
