import { buildCommand } from '@stricli/core';
import { BAUD, chipsFlag, compilerFlag, integerIn, jsonFlag, lines, option, optional, outputFile, vectorArguments } from './flags.js';

export const chipReplayCommand = buildCommand({
  loader: () => import('./run/chip-replay.js'),
  docs: {
    brief: 'Replay vectors on emulated chips or a board, bit for bit against the WebAssembly build',
    customUsage: ['[flags] [<vector>...]'],
    fullDescription: lines(
      'The inputs go over the link that a real board uses, many ticks per request. A hash chain over the outputs and',
      'the state of every tick must equal that of the WebAssembly build. If it does not, the ticks are repeated one',
      'by one to find the first difference. Without --chip, runs on all chips whose tools are installed.',
      '',
      'Exit code 0: all the same. 1: something differs. 2: bad input.',
    ),
  },
  parameters: {
    positional: vectorArguments,
    flags: {
      chip: chipsFlag,
      over: {
        kind: 'enum',
        values: ['files', 'uart'],
        brief: 'Link to the emulator: files (default), or its UART, which is slow',
        optional: true,
      },
      port: option('Replay on the board at this serial port instead of emulators', 'device'),
      baud: optional(integerIn(1200, 4_000_000), `Baud rate of the serial port (default: ${BAUD})`, 'rate'),
      compiler: compilerFlag,
      log: outputFile('Log the traffic on the link, once per simulated second'),
      json: jsonFlag,
    },
  },
});
