import { buildCommand } from '@stricli/core';
import { integerIn, jsonFlag, lines, metricFlag, numberIn, option, optional, outputFile, setFlag, text, toggle } from './flags.js';
import { CAUTION_LINES, rigFlags } from './rig-flags.js';

const LEAD_MS_MAX = 2000;
const TIMES_MAX = 1000;

export const rigSimulateCommand = buildCommand({
  loader: () => import('./run/rig-simulate.js'),
  docs: {
    brief: 'Run scenarios in closed loop with the boards of a rig, beside the pure simulation',
    customUsage: ['[flags] [<scenario>...]'],
    fullDescription: lines(
      'The machine and the field are simulated on this computer, with the events of the scenario: faults of sensors',
      'and valves reach the board as inputs. Without --lockstep and --real-time, runs the pure simulation only.',
      '',
      '--lockstep: the board runs each tick when it is given its inputs, and must have every output and the whole',
      'state of the WebAssembly. --real-time: the board runs by its own timer; the machine is simulated ahead of it',
      'by the time that the link needs, measured before the run, and follows its outputs as they arrive. The metrics',
      'then differ from those of the pure simulation by that dead time; --times gives their spread, and the 95 %',
      'interval of the difference. The WebAssembly explains each run as `rig replay --free-run` does.',
      '',
      'Ctrl-C stops the boards: valves close or vent as the parameters say.',
      CAUTION_LINES,
      '',
      'Exit code 0: the board does what the WebAssembly does, and all requirements are met. 1: not so, or not',
      'judged. 2: bad input.',
    ),
  },
  parameters: {
    positional: {
      kind: 'array',
      parameter: { brief: 'Scenarios, by name or file (default: those of rig.yaml)', parse: text, placeholder: 'scenario' },
    },
    flags: {
      ...rigFlags,
      lockstep: toggle('With the boards in lockstep'),
      realTime: toggle('With the boards running by their own timers'),
      times: optional(integerIn(1, TIMES_MAX), 'Repeat each run in real time (default: 1)', 'count'),
      lead: optional(numberIn(0, LEAD_MS_MAX), 'How far the machine is ahead, ms (default: measured); needs --real-time', 'ms'),
      parameters: option("Parameter file, applied over the scenario's parameters", 'file'),
      set: setFlag("Parameter as name=value, applied over the file's; repeatable"),
      output: outputFile('Record inputs as used, outputs and intermediate values of one run in real time'),
      metric: metricFlag,
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
