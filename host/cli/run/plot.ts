import { InputError } from '../../common/input-error.js';
import { tickTime } from '../../common/moment.js';
import { refuseOverwritingInput, writeAtomic } from '../../common/write-atomic.js';
import type { System } from '../../report/form/units.js';
import { viewIn } from '../../report/form/view-units.js';
import { PLOT_COLUMNS, plotSvg } from '../../report/vector/plot-svg.js';
import { command } from '../context.js';
import { openSource, panesOf, seriesJson, ticksOf, type WrittenPart } from './source.js';

interface Flags extends WrittenPart {
  readonly output: string;
  readonly row: number;
  readonly signal?: readonly string[];
  readonly units?: System;
  readonly json?: boolean;
}

export default command<Flags, [string]>(async (job, flags, name) => {
  const { output, row, signal, units = 'si' } = flags;
  const source = await openSource(job, name, units);
  refuseOverwritingInput(output, ...source.files);
  const options = { row, panes: panesOf(signal), bins: PLOT_COLUMNS, ...ticksOf(flags, source.tickHz) };
  const view = source.view(options, { onProgress: job.progress.percentOf('reading') });
  if (view.part.ticks === 0) throw new InputError({ file: name, problem: 'the recording is empty' });
  writeAtomic(output, plotSvg(viewIn(view, units)));
  const { rows, tickHz, part, trap } = view;
  const panes = view.panes.map((series) => series.map(seriesJson));
  const ends = { fromTick: part.first, toTick: part.first + part.ticks - 1 };
  const stop = trap === undefined ? '' : `the controller stopped at ${tickTime(trap.tick, tickHz)}: ${trap.message}\n`;
  return {
    text: `${source.made.text}${stop}${output} written\n`,
    json: { file: name, ...source.made.json, picture: output, rows, tickHz, ...ends, panes, marks: view.marks, trap },
    passed: trap === undefined,
  };
});
