import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, text } from './answer.js';
import { availableChips, chipsFlag, compilerFlag, rowCount, wordsOf } from './chip-flags.js';

interface Flags {
  readonly chip?: string;
  readonly rows: number;
  readonly compiler?: string;
  readonly output?: string;
  readonly json?: boolean;
}

async function chipBuild(this: Context, flags: Flags): Promise<void> {
  await answer(this, flags, async () => {
    const [{ describeFirmware }, { binaryFor }, { firmwareTable }, { buildFirmware }, { writeAllAtomic, distinctTargets }] =
      await Promise.all([
        import('../chip/budget.js'),
        import('../chip/binaries.js'),
        import('../report/chip/chip-text.js'),
        import('../chip/build.js'),
        import('../common/write-atomic.js'),
      ]);
    const { readFileSync } = await import('node:fs');
    const chips = await availableChips(this, flags.chip);
    const wasmFile = await binaryFor(flags.rows);
    const options = { channel: 'uart', flags: wordsOf(flags.compiler) } as const;
    const made = chips.map((chip) => buildFirmware(chip, wasmFile, options));
    const sheets = made.map((firmware) => describeFirmware(firmware, flags.rows));
    if (flags.output !== undefined) {
      const names = made.map(({ chip }) => `latchbench-${chip.name}-${flags.rows}.elf`);
      const targets = distinctTargets(flags.output, names);
      writeAllAtomic(targets.map((target, index) => [target, readFileSync(made[index]?.image ?? '')] as const));
    }
    return {
      text: firmwareTable(sheets),
      json: { firmware: sheets.map((sheet, index) => ({ ...sheet, image: made[index]?.image })) },
      holds: true,
    };
  });
}

export const chipBuildCommand = buildCommand({
  docs: {
    brief: 'Firmware for microcontrollers from the binary that ships: images, sizes, proven stack',
    fullDescription:
      'Translates the controller from WebAssembly to C, and compiles it with a small firmware and an example board for each chip. ' +
      'Needs wasm2c and the chip’s compiler; what is missing is named with the command that installs it. Exit code 2: bad input.',
  },
  parameters: {
    flags: {
      chip: chipsFlag,
      rows: { kind: 'parsed', parse: rowCount, brief: 'Rows that it has room for', default: '48', placeholder: 'count' },
      compiler: compilerFlag,
      output: { kind: 'parsed', parse: text, brief: 'Write the images (ELF) into this folder', optional: true, placeholder: 'folder' },
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: chipBuild,
});
