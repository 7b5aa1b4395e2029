import type { Change } from '../../replay/change.js';
import type { System } from '../../report/form/units.js';
import { viewIn } from '../../report/form/view-units.js';
import { logOrdersText } from '../../report/vector/log-orders-text.js';
import { viewText } from '../../report/vector/view-text.js';
import { command } from '../context.js';
import { checkFlags, UNITS_RULE } from '../flag-rules.js';
import { showScenario } from './show-scenario.js';
import { openSource, panesOf, seriesJson, ticksOf, type WrittenPart } from './source.js';

interface Flags extends WrittenPart {
  readonly row: number;
  readonly signal?: readonly string[];
  readonly units?: System;
  readonly json?: boolean;
}

/** Values of a series in text. */
const TEXT_BINS = 64;

export default command<Flags, [string, string?]>(async (job, flags, name, second) => {
  if (second !== undefined) return showScenario(job, flags, name, second);
  checkFlags(flags, [UNITS_RULE]);
  const { row, signal, units = 'si' } = flags;
  const source = await openSource(job, name, units);
  const changes: Change[] = [];
  const panes = panesOf(signal ?? source.defaultSignals);
  const view = source.view(
    { row, panes, bins: TEXT_BINS, ...ticksOf(flags, source.tickHz) },
    { onChange: (one) => void changes.push(one) },
  );
  const series = view.panes.flat().map(seriesJson);
  const ofLog = source.compareWithLog?.(changes, view.part);
  const compared = ofLog === undefined ? '' : logOrdersText(ofLog, view.tickHz);
  const json = {
    ...source.json,
    ...(ofLog === undefined ? {} : { ordersOfLog: ofLog }),
    row,
    marks: view.marks,
    fromTick: view.part.first,
    ticks: view.part.ticks,
    series,
    changes,
    trap: view.trap,
  };
  return { text: `${source.text}${viewText(viewIn(view, units), row, changes)}${compared}`, json, passed: view.trap === undefined };
});
