import type { Change } from '../../replay/change.js';
import { viewText } from '../../report/vector/view-text.js';
import { command } from '../context.js';
import { showScenario } from './show-scenario.js';
import { openSource, panesOf, seriesJson } from './source.js';

interface Flags {
  readonly row: number;
  readonly signal?: readonly string[];
  readonly json?: boolean;
}

/** Values of a series in text. */
const TEXT_BINS = 64;

export default command<Flags, [string, string?]>(async (job, flags, name, second) => {
  if (second !== undefined) return showScenario(job, flags, name, second);
  const { row, signal } = flags;
  const source = await openSource(job, name);
  const changes: Change[] = [];
  const panes = panesOf(signal ?? source.defaultSignals);
  const view = source.view({ row, panes, bins: TEXT_BINS }, { onChange: (one) => void changes.push(one) });
  const series = view.panes.flat().map(seriesJson);
  const json = { ...source.json, row, ticks: view.part.ticks, series, changes, trap: view.trap };
  return { text: `${source.text}${viewText(view, row, changes)}`, json, passed: view.trap === undefined };
});
