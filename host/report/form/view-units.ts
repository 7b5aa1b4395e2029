import type { Mark } from '../../replay/marks.js';
import type { Series } from '../../replay/series.js';
import type { View } from '../../replay/view.js';
import { brief } from './text-plot.js';
import { converted, displayIn, type System } from './units.js';

function seriesIn({ signal, min, max, mean }: Series, units: System): Series {
  const display = displayIn(units, signal.unit);
  const convert = (value: number): number => converted(value, display);
  return { signal: { ...signal, symbol: display.symbol }, min: min.map(convert), max: max.map(convert), mean: mean.map(convert) };
}

/** `lowered`, `target 450 → 700 N`. */
function wordsOf({ text, change }: Mark, units: System): string {
  if (change === undefined) return text;
  const display = displayIn(units, change.unit);
  const value = (of: number): string => (Number.isFinite(of) ? brief(converted(of, display)) : 'invalid');
  return `${text} ${value(change.from)} → ${value(change.to)} ${display.symbol}`;
}

/** Returns a view whose series, and the words of whose marks, are in a system of units. */
export const viewIn = (view: View, units: System): View => ({
  ...view,
  panes: units === 'si' ? view.panes : view.panes.map((pane) => pane.map((series) => seriesIn(series, units))),
  marks: view.marks.map((mark) => ({ ...mark, text: wordsOf(mark, units) })),
});
