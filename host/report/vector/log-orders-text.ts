import type { LogComparison } from '../../replay/log-orders.js';
import { pulsesTexts, strokesText } from '../../replay/strokes.js';
import { counted } from '../form/text-table.js';

/** Formats the strokes of a log's controller beside those of ours. */
export function logOrdersText({ logStrokes, ourStrokes, strokes }: LogComparison, tickHz: number): string {
  const differences = strokesText(strokes, tickHz);
  return [
    `  the log's controller gave ${counted(logStrokes, 'stroke')}, this one ${ourStrokes} over the same inputs`,
    `  from the log to this one: ${differences === '' ? 'all at the same ticks' : `${differences}, ${strokes.same} in the same tick`}`,
    ...pulsesTexts(strokes, tickHz).map((line) => `    ${line}`),
    "  (an open loop: the inputs follow the log's strokes, so the two need not agree)",
    '',
  ].join('\n');
}
