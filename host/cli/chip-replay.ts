import { buildCommand } from '@stricli/core';
import { chipsFlag, compilerFlag, defaulted, integer, jsonFlag, lines, option, vectorArguments } from './flags.js';

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
        brief: 'Link to the emulator: files, or its UART, which is slow',
        default: 'files',
      },
      port: option('Replay on the board at this serial port instead of emulators', 'device'),
      baud: defaulted(integer, 'Baud rate of the serial port', 'rate', '115200'),
      compiler: compilerFlag,
      log: option('Log the traffic on the link, once per simulated second', 'file'),
      json: jsonFlag,
    },
  },
});
