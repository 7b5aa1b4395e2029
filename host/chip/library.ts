import { execFileSync } from 'node:child_process';
import { cpSync, mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { InputError } from '../common/input-error.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../common/unfinished.js';
import { ARITHMETIC, buildLibrary, CONTROLLER_FLAGS, LIBRARY_HEADERS, LIBRARY_SOURCES, requireTools, writeLibrary } from './build.js';
import { type Chip, FIRMWARE } from './chips.js';

/** Sources that show how to use the library, with the list of files for CMake. */
const EXAMPLES = join(FIRMWARE, 'examples');

const README = (
  flags: string,
): string => `The controller as a C library. latchbench-chip.h declares the functions, latchbench.h the records; both are for C11 and C++11.

You implement lb_trap(): bring the valves into the safe state of your machine; it must not return.
Call lb_check_arithmetic() once at start, and continue only if it returns 0.

These flags make the results identical to those on the laptop:
  ${flags}
On a processor with floating-point hardware, set its control register to round to nearest and to keep subnormal numbers and
NaN payloads (Cortex-M4F: FPSCR bits 22 to 25 clear). Never use -ffast-math, -Ofast or -funsafe-math-optimizations.

These flags, for controller.c only, make it as fast as the budget of the project says (GCC 12):
  ${CONTROLLER_FLAGS.join(' ')}

examples/ has a main loop, a tick in an interrupt, a task of an RTOS, two banks in one firmware, and C++ with parameters that an
older build has stored. examples/CMakeLists.txt builds them; take its target latchbench into your own project.

One bank is one set of records: nothing locks them, so only one thread or interrupt level may use them. If lb_tick() runs in an
interrupt, the main program hands over parameters by a flag and reads copies, as examples/interrupt.c does. A tick that comes late by
a part of its period only makes a stroke longer by that part; a tick that is left out makes all times of the controller longer by one
period. Never make up for ticks in quick succession: that ends strokes that have only just begun.

Macros for your build: LB_BANK, LB_MEMORY_SECTION and LB_CODE_SECTION, see latchbench-chip.h. LB_CONTRACT_HASH tells whether stored
parameters fit; if not, lb_move_parameters() moves them by name.
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
    cpSync(EXAMPLES, join(unfinished, 'examples'), { recursive: true });
    names.push('examples');
    for (const name of names) cpSync(join(unfinished, name), join(folder, name), { recursive: true });
    return names;
  } finally {
    removeTemporaryFolder(unfinished);
  }
}
