import { execFileSync } from 'node:child_process';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildFirmware } from '../../../host/chip/build.js';
import { createChipRunner } from '../../../host/chip/chip-runner.js';
import { type Chip, chipOf } from '../../../host/chip/chips.js';
import { startFirmware } from '../../../host/chip/line.js';
import { Link, statusOf } from '../../../host/chip/link.js';
import { boundStack, bytesOf, deepestPath, reservedStack, StackUnbounded, stackFunctions } from '../../../host/chip/stack.js';
import { openRecording } from '../../../host/recording/reader.js';
import { loadController } from '../../../host/runner/wasm-runner.js';
import { readVector } from '../../../host/vector/vector.js';
import { isChipMissing } from '../../support/chip-tools.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();

let images = 0;

/** An image of a small program whose entry is start(). */
function imageOf(chip: Chip, source: string, flags: readonly string[] = []): string {
  const image = join(folder, `${++images}.elf`);
  writeFileSync(`${image}.c`, source);
  const freestanding = ['-O2', '-ffreestanding', '-nostdlib', '-fno-jump-tables', '-fno-inline', '-Wl,-e,start', '-Wl,-Ttext=0x1000'];
  const processor = chip.processor.filter((word) => !word.startsWith('--specs'));
  execFileSync(`${chip.tools}gcc`, [...processor, ...freestanding, ...flags, `${image}.c`, '-o', image], { cwd: folder, stdio: 'pipe' });
  return image;
}

/** Stack frames by the compiler's own account (-fstack-usage), from such files in a folder. */
function framesByCompiler(from: string, prefix = ''): Map<string, number> {
  const files = readdirSync(from).filter((name) => name.endsWith('.su') && name.startsWith(prefix));
  const lines = files.flatMap((name) => readFileSync(join(from, name), 'utf8').trim().split('\n'));
  return new Map(
    lines.map((line) => {
      const [place = '', bytes] = line.split('\t');
      return [place.slice(place.lastIndexOf(':') + 1), Number(bytes)];
    }),
  );
}

const CHIPS = (['cortex-m4f', 'cortex-m0plus', 'rv32imafc'] as const).map((name) => ({
  name,
  chip: chipOf(name),
  isMissing: isChipMissing(name),
}));

describe.each(CHIPS)('the stack on $name', ({ chip, isMissing }) => {
  it.skipIf(isMissing)("agrees with the compiler's own account for every function of the firmware", () => {
    const firmware = buildFirmware(chip, PROJECT.controllerWasm, { channel: 'uart' });
    const expected = framesByCompiler(firmware.folder);
    const functions = stackFunctions(chip, firmware.image);
    const both = [...functions.values()].filter(({ name }) => expected.has(name));
    // The compiler has no account of the functions from the C library.
    expect(both.length).toBeGreaterThan(60);
    expect(both.filter(({ name, frame }) => frame < (expected.get(name) ?? 0))).toEqual([]);
    const equal = both.filter(({ name, frame }) => frame === expected.get(name));
    expect(equal.length / both.length).toBeGreaterThan(0.9);
  });

  it.skipIf(isMissing)('of nested calls is the sum of their frames, along the deepest path', () => {
    const source = `
      int leaf(volatile int* at) { volatile int words[10]; words[0] = *at; return words[0] + words[9]; }
      int shallow(volatile int* at) { return *at; }
      int deep(volatile int* at) { volatile int words[50]; words[0] = *at; return leaf(words) + words[0]; }
      void start(void) { volatile int x = 1; x = deep(&x); x = shallow(&x); for (;;) {} }`;
    const image = imageOf(chip, source, ['-fstack-usage']);
    const expected = framesByCompiler(folder, basename(image));
    const path = deepestPath(stackFunctions(chip, image), 'start');
    expect(path.map(({ name }) => name)).toEqual(['start', 'deep', 'leaf']);
    expect(path.map(({ name, frame }) => [name, frame])).toEqual(['start', 'deep', 'leaf'].map((name) => [name, expected.get(name)]));
    // At least the words in their arrays: 1, 50 and 10.
    expect(bytesOf(path)).toBeGreaterThanOrEqual(4 * 61);
  });

  it.skipIf(isMissing)('counts a jump at the end of a function as a call', () => {
    const source = `
      int big(int x) { volatile int words[64]; words[x] = x; return words[0]; }
      int last(int x) { return big(x + 1); }
      void start(void) { volatile int x = 1; x = last(x); for (;;) {} }`;
    const path = deepestPath(stackFunctions(chip, imageOf(chip, source)), 'start');
    expect(path.map(({ name }) => name)).toEqual(['start', 'last', 'big']);
    expect(path.at(-1)?.frame).toBeGreaterThanOrEqual(256);
  });

  it.skipIf(isMissing)('is refused for functions that call each other recursively', () => {
    const source = `
      int odd(int x);
      int even(int x) { volatile int y = x; return y == 0 ? 1 : odd(y - 1) + y; }
      int odd(int x) { volatile int y = x; return y == 0 ? 0 : even(y - 1) + y; }
      void start(void) { volatile int x = even(9); for (;;) {} }`;
    const bound = () => deepestPath(stackFunctions(chip, imageOf(chip, source)), 'start');
    expect(bound).toThrow(StackUnbounded);
    expect(bound).toThrow(/even → odd → even is recursive/);
  });

  it.skipIf(isMissing)('is refused for a call through a pointer, and the function is named', () => {
    const source = `
      int (*volatile one)(int);
      int chosen(int x) { return one(x) + 1; }
      void start(void) { volatile int x = chosen(1); for (;;) {} }`;
    const bound = () => stackFunctions(chip, imageOf(chip, source));
    expect(bound).toThrow(StackUnbounded);
    expect(bound).toThrow(/^chosen jumps through a register/);
  });

  it.skipIf(isMissing)('counts a call over any distance', () => {
    // RISC-V needs a pair of instructions for a distant call; Arm has one that reaches everything.
    const far = chip.name === 'rv32imafc' ? '.option push; .option norelax; call big; .option pop' : 'bl big';
    const source = `
      int big(int x) { volatile int words[64]; words[x] = x; return words[0]; }
      void start(void) { __asm__ volatile("${far}" ::: "memory"); for (;;) {} }`;
    const path = deepestPath(stackFunctions(chip, imageOf(chip, source)), 'start');
    expect(path.map(({ name }) => name)).toEqual(['start', 'big']);
  });

  it.skipIf(isMissing)('is refused for a frame of variable size, and the function is named', () => {
    const source = `
      int sum(volatile char* at);
      int variable(int count) { volatile char* at = __builtin_alloca(count); at[0] = 1; return sum(at); }
      int sum(volatile char* at) { return at[0]; }
      void start(void) { volatile int x = 7; x = variable(x); for (;;) {} }`;
    const bound = () => stackFunctions(chip, imageOf(chip, source));
    expect(bound).toThrow(StackUnbounded);
    expect(bound).toThrow(/^variable moves the stack pointer/);
  });

  it.skipIf(isMissing)('in use while a vector runs over the UART is within the proven bound', () => {
    const firmware = buildFirmware(chip, PROJECT.controllerWasm, { channel: 'uart' });
    const { total, interrupts } = boundStack(chip, firmware.image);
    const one = readVector(PROJECT, 'target-step');
    const line = startFirmware(firmware);
    try {
      const link = new Link(line);
      const runner = createChipRunner(link, loadController(PROJECT.controllerWasm).description, one.rows, one.values);
      const inputs: Uint8Array[] = [];
      for (const { payload } of openRecording(one.inputFile, loadController(PROJECT.controllerWasm).description.contract).messages({
        messages: ['input'],
      })) {
        inputs.push(payload.slice());
        if (inputs.length === 400) break;
      }
      for (let tick = 0; tick < 400; tick += runner.ticksMax) runner.runTicks(Buffer.concat(inputs.slice(tick, tick + runner.ticksMax)));
      const { stackBytes } = statusOf(link);
      expect(stackBytes).toBeLessThanOrEqual(total);
      // The bound is not too loose: more than half of what it allows without interrupts is in use.
      expect(stackBytes).toBeGreaterThan((total - interrupts) / 2);
      // Region STACK of memory.ld.
      expect(reservedStack(chip, firmware.image)).toBe(2048);
      expect(total).toBeLessThan(2048);
    } finally {
      line.close();
    }
  });
});

it.skipIf(isChipMissing('cortex-m4f'))('the stack is refused for a conditional call', () => {
  const source = `
    int big(int x) { volatile int words[64]; words[x] = x; return words[0]; }
    void start(void) { __asm__ volatile("cmp r0, #0\\n it eq\\n bleq big" ::: "memory"); for (;;) {} }`;
  const bound = () => stackFunctions(chipOf('cortex-m4f'), imageOf(chipOf('cortex-m4f'), source));
  expect(bound).toThrow(/^start has a conditional call: bleq/);
});

it.skipIf(isChipMissing('native'))('the stack of a program of this computer is not bounded', () => {
  expect(() => boundStack(chipOf('native'), '')).toThrow(RangeError);
});
