import { execFileSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { InputError } from '../common/input-error.js';
import { ARITHMETIC, compilerFlags, compileSources, LIBRARY_HEADERS, LIBRARY_SOURCES, requireTools, writeLibrary } from './build.js';
import type { Chip } from './chips.js';

const HOW_TO = (
  flags: string,
): string => `The controller as a C library. What to call stands in latchbench-chip.h, the records in latchbench.h.

You write lb_trap(): bring the valves into the state that is safe on your machine; it must not return.
Call lb_check_arithmetic() once at start and go no further unless it gives 0.

These flags decide whether the bits are the same as on the laptop:
  ${flags}
On a processor with floating-point hardware its control register must say: round to nearest, subnormal numbers and
not-a-numbers kept (Cortex-M4F: FPSCR bits 22 to 25 clear). -ffast-math, -Ofast and -funsafe-math-optimizations are wrong here.
`;

/**
 * Writes the controller as C into a folder, to be taken into an existing firmware; with a chip also compiled, as an archive.
 * @returns names of the files
 * @throws InputError when the folder is there already and not empty, or tools are missing
 */
export function writeLibraryFolder(folder: string, wasmFile: string, chip: Chip | undefined): string[] {
  mkdirSync(folder, { recursive: true });
  if (readdirSync(folder).length > 0) throw new InputError({ file: folder, what: 'folder that is not empty', allowed: 'a new folder' });
  const aside = mkdtempSync(join(tmpdir(), 'latchbench-library-'));
  try {
    writeLibrary(wasmFile, aside);
    const names = [...LIBRARY_SOURCES, ...LIBRARY_HEADERS, 'HOW-TO.txt'];
    const processor = chip?.processor ?? [];
    writeFileSync(join(aside, 'HOW-TO.txt'), HOW_TO(['-std=gnu11', ...ARITHMETIC, ...processor].join(' ')));
    if (chip !== undefined) {
      requireTools(chip);
      const objects = compileSources(chip, [...LIBRARY_SOURCES], aside, compilerFlags(chip, {}));
      execFileSync(`${chip.tools}ar`, ['rcs', 'liblatchbench.a', ...objects], { cwd: aside });
      names.push('liblatchbench.a');
    }
    for (const name of names) cpSync(join(aside, name), join(folder, name));
    return names;
  } finally {
    rmSync(aside, { recursive: true });
  }
}
