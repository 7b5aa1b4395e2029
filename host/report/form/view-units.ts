import type { Series } from '../../replay/series.js';
import type { View } from '../../replay/view.js';
import { converted, displayIn, type System } from './units.js';

function seriesIn({ signal, min, max, mean }: Series, units: System): Series {
  const display = displayIn(units, signal.unit);
  const convert = (value: number): number => converted(value, display);
  return { signal: { ...signal, symbol: display.symbol }, min: min.map(convert), max: max.map(convert), mean: mean.map(convert) };
}

/** Returns a view whose series are in a system of units. */
export const viewIn = (view: View, units: System): View =>
  units === 'si' ? view : { ...view, panes: view.panes.map((pane) => pane.map((series) => seriesIn(series, units))) };
