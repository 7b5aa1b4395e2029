import { buildCommand } from '@stricli/core';
import { ROWS_MAX } from '../../shared/limits.js';
import { chipsFlag, compilerFlag, defaulted, jsonFlag, lines, outputFolder, rowCount } from './flags.js';

export const chipBuildCommand = buildCommand({
  loader: () => import('./run/chip-build.js'),
  docs: {
    brief: 'Build firmware from the shipped binary: images, sizes, worst-case stack',
    customUsage: ['[flags]'],
    fullDescription: lines(
      'Translates the controller from WebAssembly to C and compiles it for each chip, with a small firmware and',
      "an example board. Needs wasm2c and the chip's compiler; if one is missing, the error names the command",
      'that installs it.',
      '',
      'Exit code 0: built. 2: bad input, or a tool is missing.',
    ),
  },
  parameters: {
    flags: {
      chip: chipsFlag,
      rows: defaulted(rowCount, 'Number of rows to build for', 'count', String(ROWS_MAX)),
      compiler: compilerFlag,
      output: outputFolder('Write the images (ELF) to this folder'),
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
