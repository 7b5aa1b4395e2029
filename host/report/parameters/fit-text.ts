import { UNITS } from '../../../shared/units.js';
import type { Contract } from '../../contract/contract.js';
import type { Fit, Fitted } from '../../fit/fit.js';
import { counted, grouped, textTable } from '../form/text-table.js';

const SOURCE = { truth: 'the wheels’ true load, as recorded', sensor: 'the sensed load, taken earlier by its lag' } as const;

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });
const newton = (value: number): string => value.toFixed(1);

/** Parameters that are written, before and after. */
function fittedTable(fitted: readonly Fitted[], contract: Contract): string {
  const rows = fitted.map(({ name, before, after, isAtLimit }) => {
    const { decimals = 0, unit = 'none' } = contract.parameters.find((one) => one.name === name) ?? {};
    return [name, before.toFixed(decimals), after.toFixed(decimals), UNITS[unit].symbol, isAtLimit ? 'held at its limit' : ''];
  });
  return textTable([{ title: 'parameter' }, number('before'), number('after'), { title: 'unit' }, { title: '' }], rows);
}

function errorTable({ presentN, beforeN, fittedN }: Fit['heldOut']): string {
  const rows = Object.entries({ 'the present load alone': presentN, 'the weights before': beforeN, 'fitted weights': fittedN });
  return textTable(
    [{ title: 'prediction by' }, number('RMS error, N')],
    rows.map(([name, value]) => [name, newton(value)]),
  );
}

function foundLines({ flow, deadband }: Fit): string[] {
  if (flow === undefined || deadband === undefined) return [];
  const { least, median, most } = flow.gains;
  const gains = `learned gains of the valves: median ${median.toFixed(2)}, from ${least.toFixed(2)} to ${most.toFixed(2)}`;
  const noise = `the prediction leaves the new deadband ${newton(deadband.pulsesPerMin)} times a minute and row; its noise inside: ${newton(deadband.noiseN)} N`;
  return [gains, noise];
}

/** A fit for a terminal: what it is made of, whether it foretells better, and what it says. */
export function fitText(fit: Fit, contract: Contract): string {
  const { recordings, workingS, samples, pulses, condition, heldOut, isBetter, weights, flow, deadband } = fit;
  const sources = recordings.map(
    ({ file, rows, seconds, source }) => `${file}: ${counted(rows, 'row')}, ${seconds} s; fitted to ${SOURCE[source]}`,
  );
  const told = `${workingS.toFixed(0)} s in mode working over all rows, ${pulses.raise} raising and ${pulses.lower} lowering pulses, ${counted(samples, 'sample')}`;
  const { betterPercent } = heldOut;
  const percent = `${Math.abs(betterPercent).toFixed(1)} %`;
  const verdict = isBetter
    ? `Fitted weights are better by ${percent}.`
    : `The weights before are as good: fitted ones are ${betterPercent > 0 ? 'better by only' : 'worse by'} ${percent}.`;
  const others = [...(flow === undefined ? [] : [flow.valveFlowLpm]), ...(deadband?.fitted ?? [])];
  return [
    ...sources,
    told,
    `condition of the features’ correlation: ${condition.toPrecision(2)}`,
    '',
    `On blocks that they were not fitted to, ${grouped(heldOut.samples)} samples:`,
    '',
    errorTable(heldOut),
    verdict,
    '',
    fittedTable([...weights, ...others], contract),
    ...foundLines(fit),
    '',
  ].join('\n');
}
