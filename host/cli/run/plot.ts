import { InputError } from '../../common/input-error.js';
import { refuseOverwritingInput, writeAtomic } from '../../common/write-atomic.js';
import { PLOT_COLUMNS, plotSvg } from '../../report/vector/plot-svg.js';
import { command } from '../context.js';
import { openSource, panesOf, seriesJson } from './source.js';

interface Flags {
  readonly output: string;
  readonly row: number;
  readonly signal?: readonly string[];
  readonly from?: number;
  readonly to?: number;
  readonly json?: boolean;
}

export default command<Flags, [string]>(async (job, { output, row, signal, from, to }, name) => {
  const source = await openSource(job, name);
  refuseOverwritingInput(output, ...source.files);
  const options = { row, panes: panesOf(signal), bins: PLOT_COLUMNS, fromTick: from, toTick: to };
  const view = source.view(options, { onProgress: job.progress.percentOf('reading') });
  if (view.part.ticks === 0) throw new InputError({ file: name, problem: 'the recording is empty' });
  writeAtomic(output, plotSvg(view));
  const { rows, tickHz, part, trap } = view;
  const panes = view.panes.map((series) => series.map(seriesJson));
  const ends = { fromTick: part.first, toTick: part.first + part.ticks - 1 };
  const stop = trap === undefined ? '' : `the controller stopped at tick ${trap.tick}: ${trap.message}\n`;
  return {
    text: `${source.made.text}${stop}${output} written\n`,
    json: { file: name, ...source.made.json, picture: output, rows, tickHz, ...ends, panes, trap },
    passed: trap === undefined,
  };
});
