import { UNITS } from '../../../shared/units.js';
import type { Contract } from '../../contract/contract.js';
import type { BuildIdentity, RunIdentity } from '../../contract/run-identity.js';
import { type Fit, type Fitted, type Gains, SCATTER_MAX } from '../../fit/fit.js';
import { buildLine, parametersLine, strategyText } from '../form/run-identity.js';
import { counted, grouped, textTable } from '../form/text-table.js';
import { converted, displayIn, type System } from '../form/units.js';

const SOURCE = { truth: 'true gauge-wheel load, as recorded', sensor: 'sensed load, corrected for sensor lag' } as const;

const percentText = (ratio: number): string => `${Number((100 * ratio).toPrecision(2))} %`;

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });

/** Formats forces, or differences of them, in a system of units. */
function forcesIn(units: System): { symbol: string; text: (value: number) => string } {
  const display = displayIn(units, 'newton');
  return { symbol: display.symbol, text: (value) => converted(value, display).toFixed(units === 'si' ? 1 : 2) };
}

/** Fitted parameters, before and after, in the units of their names, as files have them. */
function fittedTable(fitted: readonly Fitted[], contract: Contract): string {
  const rows = fitted.map(({ name, before, after, isAtLimit }) => {
    const { decimals = 0, unit = 'none' } = contract.parameters.find((one) => one.name === name) ?? {};
    return [name, before.toFixed(decimals), after.toFixed(decimals), UNITS[unit].symbol, isAtLimit ? 'at its limit' : ''];
  });
  return textTable([{ title: 'parameter' }, number('before'), number('after'), { title: 'unit' }, { title: '' }], rows);
}

function errorTable({ persistenceRmsN, beforeRmsN, fittedRmsN }: Fit['heldOut'], units: System): string {
  const { symbol, text } = forcesIn(units);
  const rows = Object.entries({ persistence: persistenceRmsN, 'previous weights': beforeRmsN, 'fitted weights': fittedRmsN });
  return textTable(
    [{ title: 'predictor' }, number(`RMS error, ${symbol}`)],
    rows.map(([name, value]) => [name, text(value)]),
  );
}

function foundLines({ flow, deadband }: Fit, units: System): string[] {
  if (flow === undefined || deadband === undefined) return [];
  const span = ({ min, median, max }: Gains): string => `median ${median.toFixed(2)}, from ${min.toFixed(2)} to ${max.toFixed(2)}`;
  const gains = [
    `Learned gains: supply valves ${span(flow.supply)}; return valves ${span(flow.return)}.`,
    flow.valveFlowLpm === undefined
      ? `They scatter by more than ${percentText(SCATTER_MAX)}: the motion of the rows decides them. The flow is not fitted; record a smoother field.`
      : 'The flow is that of the pressure steps which pulses cause. It may be up to 12 % below the oil flow of the valves.',
  ];
  const noise = forcesIn(units);
  const left = `The prediction leaves the new deadband ${deadband.pulsesPerMin.toFixed(1)} times per minute and row; the noise within the deadband is ${noise.text(deadband.noiseN)} ${noise.symbol}.`;
  return [...gains, left];
}

/** The controller that recordings were run through, and its parameters. */
interface MadeBy {
  readonly controller: BuildIdentity;
  readonly ranWith: RunIdentity;
}

/** A fit as text: its recordings, whether its predictions are better, and the fitted parameters. */
export function fitText(fit: Fit, contract: Contract, { controller, ranWith }: MadeBy, units: System = 'si'): string {
  const { recordings, workingS, samples, pulses, conditionNumber, ridgeShare, heldOut, isBetter } = fit;
  const { weights, flow, deadband } = fit;
  const sources = recordings.map(
    ({ file, rows, seconds, source, ordersFrom }) =>
      `${file}: ${counted(rows, 'row')}, ${seconds} s; target: ${SOURCE[source]}${ordersFrom === 'orders' ? '; orders from a log' : ''}`,
  );
  const excitation = `${grouped(workingS.toFixed(0))} row-seconds in mode working, ${grouped(pulses.raise)} raising and ${grouped(pulses.lower)} lowering pulses, ${counted(samples, 'sample')}`;
  const { improvementPercent } = heldOut;
  const percent = `${Math.abs(improvementPercent).toFixed(1)} %`;
  const verdict = isBetter
    ? `The fitted weights are better by ${percent}.`
    : `The previous weights are as good: the fitted ones are ${improvementPercent > 0 ? 'better by only' : 'worse by'} ${percent}.`;
  const others = [...(flow?.valveFlowLpm === undefined ? [] : [flow.valveFlowLpm]), ...(deadband?.fitted ?? [])];
  return [
    ...sources,
    `under ${strategyText(ranWith)}; ${parametersLine(ranWith)}`,
    buildLine(controller),
    excitation,
    `condition number of the features: ${conditionNumber.toPrecision(2)}`,
    `penalty of the weights: ${percentText(ridgeShare)} of each feature's mean square`,
    '',
    `On held-out blocks, ${grouped(heldOut.samples)} samples:`,
    '',
    errorTable(heldOut, units),
    verdict,
    '',
    fittedTable([...weights, ...others], contract),
    ...foundLines(fit, units),
    '',
  ].join('\n');
}
