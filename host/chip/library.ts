import { execFileSync } from 'node:child_process';
import { cpSync, mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { InputError } from '../common/input-error.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../common/unfinished.js';
import { ARITHMETIC, buildLibrary, LIBRARY_HEADERS, LIBRARY_SOURCES, requireTools, writeLibrary } from './build.js';
import type { Chip } from './chips.js';

const README = (
  flags: string,
): string => `The controller as a C library. latchbench-chip.h declares the functions, latchbench.h the records.

You implement lb_trap(): bring the valves into the safe state of your machine; it must not return.
Call lb_check_arithmetic() once at start, and continue only if it returns 0.

These flags make the results identical to those on the laptop:
  ${flags}
On a processor with floating-point hardware, set its control register to round to nearest and to keep subnormal numbers and
NaN payloads (Cortex-M4F: FPSCR bits 22 to 25 clear). Never use -ffast-math, -Ofast or -funsafe-math-optimizations.
`;

/**
 * Writes the controller as C into a new folder, for an existing firmware; with a chip also compiled, as an archive.
 * @returns names of the files
 * @throws InputError when the folder exists and is not empty, or tools are missing
 */
export function writeLibraryFolder(folder: string, wasmFile: string, chip: Chip | undefined): string[] {
  mkdirSync(folder, { recursive: true });
  if (readdirSync(folder).length > 0) throw new InputError({ file: folder, problem: 'the folder is not empty', hint: 'Name a new folder' });
  const unfinished = makeTemporaryFolder('latchbench-library-');
  try {
    writeLibrary(wasmFile, unfinished);
    const names = [...LIBRARY_SOURCES, ...LIBRARY_HEADERS, 'README.txt'];
    const processor = chip?.processor ?? [];
    writeFileSync(join(unfinished, 'README.txt'), README(['-std=gnu11', ...ARITHMETIC, ...processor].join(' ')));
    if (chip !== undefined) {
      requireTools(chip);
      const compiled = buildLibrary(chip, wasmFile, {});
      const objects = LIBRARY_SOURCES.map((source) => join(compiled, source.replace(/\.c$/, '.o')));
      execFileSync(`${chip.tools}ar`, ['rcs', join(unfinished, 'liblatchbench.a'), ...objects]);
      names.push('liblatchbench.a');
    }
    for (const name of names) cpSync(join(unfinished, name), join(folder, name));
    return names;
  } finally {
    removeTemporaryFolder(unfinished);
  }
}
