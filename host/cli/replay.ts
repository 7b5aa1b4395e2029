import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, option, outputFile, outputFolder, vectorArguments } from './flags.js';

export const replayCommand = buildCommand({
  loader: () => import('./run/replay.js'),
  docs: {
    brief: 'Replay vectors through the controller and report every difference',
    customUsage: ['[flags] [<vector>...]'],
    fullDescription: lines(
      'Feeds the recorded inputs of each vector to the controller and compares every output with the',
      'accepted ones, tick by tick and bit for bit. If the strokes are the same, some earlier or later, and so are',
      'modes and faults, the verdict is that only timing differs. That is still a difference.',
      '',
      'Exit code 0: all the same. 1: something differs, or the controller stopped. 2: bad input.',
    ),
  },
  parameters: {
    positional: vectorArguments,
    flags: {
      controller: option('Controller binary (default: dist/controller.wasm)', 'file'),
      junit: outputFile('Also write the verdicts as JUnit XML'),
      record: outputFolder('Record inputs, outputs and all intermediate values in this folder, one file per vector'),
      json: jsonFlag,
    },
  },
});
