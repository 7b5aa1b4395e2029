import { mkdirSync, readFileSync } from 'node:fs';
import { compileWorkingTree } from '../../build/controller.js';
import { describeFirmware } from '../../chip/budget.js';
import { buildFirmware } from '../../chip/build.js';
import { distinctTargets, writeAllAtomic } from '../../common/write-atomic.js';
import { firmwareTable } from '../../report/chip/chip-text.js';
import { identifyBuild, readBuild } from '../../review/builds.js';
import { command } from '../context.js';
import { currentController } from './binaries.js';
import { availableChips, splitFlags } from './chips.js';

interface Flags {
  readonly chip?: string;
  readonly rows: number;
  readonly compiler?: string;
  readonly output?: string;
  readonly json?: boolean;
}

export default command<Flags>(async (job, { chip, rows, compiler, output }) => {
  const chips = availableChips(job, chip);
  await currentController(job, 'refuse');
  const { file: wasmFile } = await compileWorkingTree(job.project.root, { rows });
  const firmware = chips.map((one) => buildFirmware(one, wasmFile, { channel: 'uart', flags: splitFlags(compiler) }));
  const sheets = firmware.map((one) => describeFirmware(one, rows));
  if (output !== undefined) {
    mkdirSync(output, { recursive: true });
    const names = firmware.map((one) => `latchbench-${one.chip.name}-${rows}.elf`);
    const targets = distinctTargets(output, names);
    writeAllAtomic(targets.map((target, index) => [target, readFileSync(firmware[index]?.image ?? '')] as const));
  }
  const controller = identifyBuild(readBuild('.', wasmFile));
  const json = { controller, firmware: sheets.map((sheet, index) => ({ ...sheet, image: firmware[index]?.image })) };
  return { text: firmwareTable(sheets, controller), json, passed: true };
});
