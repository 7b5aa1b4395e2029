import { type Display, UNITS, type Unit, type UnitName } from '../../../shared/units.js';
import type { Curve, MetricChange, Review, RunReview, Track } from '../../review/review.js';
import { converted, displayIn, type System } from '../form/units.js';

/** What people choose about the text of a review. */
export interface ReviewChoice {
  readonly units: System;
  /** Metrics to show; all if not given. */
  readonly metrics?: readonly string[] | undefined;
}

/** How values with a symbol are displayed in US customary units: tracks are in the metric display unit, such as bar. */
function customaryOf(shown: string): Display {
  for (const [name, { symbol, metric }] of Object.entries(UNITS) as [UnitName, Unit][]) {
    const display = displayIn('us', name);
    if (metric?.symbol === shown) return { ...display, factor: display.factor / metric.factor };
    if (symbol === shown) return display;
  }
  return { symbol: shown, factor: 1 };
}

const convertedOrNull = (value: number | null, display: Display): number | null => (value === null ? null : converted(value, display));

function metricIn(metric: MetricChange): MetricChange {
  const display = displayIn('us', metric.unit, metric.name);
  const [base, head] = [convertedOrNull(metric.base, display), convertedOrNull(metric.head, display)];
  return { ...metric, base, head, symbol: display.symbol };
}

function trackIn(track: Track): Track {
  const display = customaryOf(track.unit);
  const ends = (values: readonly (number | null)[]): (number | null)[] => values.map((value) => convertedOrNull(value, display));
  const curve = (one: Curve | null): Curve | null => (one === null ? null : { min: ends(one.min), max: ends(one.max) });
  return { ...track, unit: display.symbol, base: curve(track.base), head: curve(track.head) };
}

/**
 * Returns a run as text shows it: with the chosen metrics, in a system of units. The values at a first difference stay as the
 * controller has them, since they may differ in their last bit.
 */
export function runIn(run: RunReview, { units, metrics: names }: ReviewChoice): RunReview {
  const metrics = run.metrics.filter(({ name }) => names === undefined || names.includes(name));
  if (units === 'si') return { ...run, metrics };
  const views = run.views && { ...run.views, around: { ...run.views.around, tracks: run.views.around.tracks.map(trackIn) } };
  return { ...run, metrics: metrics.map(metricIn), views };
}

/** The same of all runs of a review. */
export const reviewIn = (review: Review, choice: ReviewChoice): Review => ({
  ...review,
  runs: review.runs.map((run) => runIn(run, choice)),
});
