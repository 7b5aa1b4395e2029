import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, progressOf, text, wholeNumber } from './answer.js';
import { openShown, panesOf, seriesJson } from './show.js';

interface Flags {
  readonly output: string;
  readonly row: number;
  readonly signal?: readonly string[];
  readonly from?: number;
  readonly to?: number;
  readonly json?: boolean;
}

async function plot(this: Context, flags: Flags, what: string): Promise<void> {
  await answer(this, flags, async () => {
    const [opened, { PLOT_COLUMNS, plotSvg }, { refuseOverwritingInput, writeAtomic }, { InputError }] = await Promise.all([
      openShown(what),
      import('../report/vector/plot-svg.js'),
      import('../common/write-atomic.js'),
      import('../common/input-error.js'),
    ]);
    const { output, row, signal, from, to } = flags;
    refuseOverwritingInput(output, ...opened.files);
    const look = { row, panes: panesOf(signal), stretches: PLOT_COLUMNS, fromTick: from, toTick: to };
    const progress = progressOf(this, flags.json);
    try {
      const view = opened.view(look, { progress: progress.share('reading') });
      if (view.part.ticks === 0) throw new InputError({ file: what, what: 'no message', allowed: 'a recording that holds something' });
      writeAtomic(output, plotSvg(view));
      const { rows, tickHz, part, trap } = view;
      const panes = view.panes.map((series) => series.map(seriesJson));
      const ends = { fromTick: part.first, toTick: part.first + part.ticks - 1 };
      const stopped = trap === undefined ? '' : `the controller stopped at tick ${trap.tick}: ${trap.message}\n`;
      return {
        text: `${stopped}${output} written\n`,
        json: { file: what, picture: output, rows, tickHz, ...ends, panes, trap },
        holds: trap === undefined,
      };
    } finally {
      progress.done();
    }
  });
}

export const plotCommand = buildCommand({
  docs: {
    brief: 'Draw signals of a vector or a recording as a picture',
    fullDescription:
      'An SVG picture of signals over time, with modes, open valves and faults beneath; it keeps every spike, however long the time. A ' +
      'vector is run through the controller; a recording (a file) is drawn as it is. Signals are named as export names its columns: ' +
      'loadN, loadN[3], input.targetLoadN. Without --signal the usual ones are drawn.',
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: 'Vector by name or folder, or a recording', parse: text, placeholder: 'case|recording' }],
    },
    flags: {
      output: { kind: 'parsed', parse: text, brief: 'Picture to write', placeholder: 'file' },
      signal: {
        kind: 'parsed',
        parse: text,
        brief: 'A pane: signals of one unit with commas between; may be given several times',
        variadic: true,
        optional: true,
        placeholder: 'names',
      },
      row: { kind: 'parsed', parse: wholeNumber, brief: 'Row of the signals that name none', default: '1', placeholder: 'number' },
      from: { kind: 'parsed', parse: wholeNumber, brief: 'First tick, as in export', optional: true, placeholder: 'tick' },
      to: { kind: 'parsed', parse: wholeNumber, brief: 'Last tick', optional: true, placeholder: 'tick' },
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: plot,
});
