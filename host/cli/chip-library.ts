import { buildCommand } from '@stricli/core';
import { ROWS_MAX } from '../../shared/limits.js';
import { CHIP_NAMES } from '../chip/chips.js';
import { defaulted, jsonFlag, lines, option, requiredOutputFolder, rowCount } from './flags.js';

export const chipLibraryCommand = buildCommand({
  loader: () => import('./run/chip-library.js'),
  docs: {
    brief: 'Write the controller as C sources and a header, for use in existing firmware',
    customUsage: ['[flags] -o FOLDER'],
    fullDescription: lines(
      'Writes a new folder with the translated controller, the header of its records, parameters and faults,',
      'examples (main loop, interrupt, RTOS task, C++, two banks, CMake) and a README. With --chip, also contains',
      'the compiled controller as a static library.',
      '',
      'Exit code 0: written. 2: bad input, or a tool is missing.',
    ),
  },
  parameters: {
    flags: {
      chip: option(`Also compile it for one of these chips: ${CHIP_NAMES.join(', ')}`, 'name'),
      rows: defaulted(rowCount, 'Number of rows to build for', 'count', String(ROWS_MAX)),
      output: requiredOutputFolder('New folder to write to'),
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
