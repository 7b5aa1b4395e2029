import { hoseDropKpa } from './hose.js';
import type { SizingInput } from './sizing-input.js';
import { valveCurve } from './valve-flow.js';
import { viscosityAt } from './viscosity.js';

/** Returns the drop of a hose over its flow (L/min) with oil at a temperature (°C), kPa. Source: `hoseDropKpa`. */
export function hoseCurve(hose: 'supplyHose' | 'returnHose' | 'rowHose', celsius: number, input: SizingInput): (lpm: number) => number {
  const viscosity = viscosityAt(celsius, input);
  return (lpm) => hoseDropKpa(lpm, input[`${hose}Mm`], input[`${hose}M`], viscosity, input.oilKgPerM3);
}

/**
 * Returns the rail pressure at the machine's end of the supply hose over its flow (L/min), kPa gauge, not below zero: nominal less the
 * pump's droop with all that it delivers and the drop of the hose. Fans have a separate hose but the same pump. Source: sum of drops.
 */
export function railCurve(celsius: number, input: SizingInput): (lpm: number) => number {
  const [hoseKpa, fansLpm] = [hoseCurve('supplyHose', celsius, input), input.rowCount * input.fanLpm];
  return (lpm) => Math.max(0, input.railNominalKpa - input.railDroopKpaPerLpm * (lpm + fansLpm) - hoseKpa(lpm));
}

/**
 * Returns the pressure at the machine's end of the return hose over its flow (L/min), kPa gauge. Fans are left out: their motors need a
 * separate return without back pressure. Source: sum of drops.
 */
export function returnCurve(celsius: number, input: SizingInput): (lpm: number) => number {
  const hoseKpa = hoseCurve('returnHose', celsius, input);
  return (lpm) => input.returnKpa + input.returnRiseKpaPerLpm * lpm + hoseKpa(lpm);
}

/** Halvings of the pressure at the valve: to a billionth of what there is. */
const HALVINGS = 30;

/**
 * Returns the flow through an open valve of a row between rail and chamber (up) or chamber and return line (down), L/min, at a chamber
 * pressure (kPa gauge) and an oil temperature (°C), with the hose of the row and the shared hose in series; the latter carries `sharedLpm`
 * besides. 0 if the pressures allow no flow. Source: the drops add up to the difference of the pressures; bisection.
 */
export function pathLpm(chamberKpa: number, celsius: number, direction: 'up' | 'down', sharedLpm: number, input: SizingInput): number {
  const isUp = direction === 'up';
  const [valve, rowKpa] = [valveCurve(celsius, input), hoseCurve('rowHose', celsius, input)];
  const endKpa = isUp ? railCurve(celsius, input) : returnCurve(celsius, input);
  const leftKpa = (lpm: number): number => (isUp ? 1 : -1) * (endKpa(sharedLpm + lpm) - chamberKpa);
  const flowAt = (valveKpa: number): number => (isUp ? 1 : input.returnFlowRatio) * valve(valveKpa);
  let [low, high] = [0, Math.max(0, leftKpa(0))];
  for (let halving = 0; halving < HALVINGS; halving++) {
    const middle = (low + high) / 2;
    const lpm = flowAt(middle);
    if (middle + rowKpa(lpm) <= leftKpa(lpm)) low = middle;
    else high = middle;
  }
  return flowAt(low);
}
