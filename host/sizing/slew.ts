import { complianceMlPerBar } from './compliance.js';
import { WARM_OIL_C } from './constants.js';
import type { ForceRange } from './geometry.js';
import type { Given } from './given.js';
import { valveLpm } from './valve-flow.js';

/** L/min to mL/s: 1000/60 exactly. */
const ML_PER_S = 1000 / 60;

/**
 * Rate of the chamber's pressure with one valve open, bar/s: flow over compliance. `gaugeKpa` is the chamber's pressure, oil in °C;
 * `up` through the supply valve from the rail, down through the return valve. 0 where the pressures do not let oil flow.
 * Source: dp/dt = Q/C.
 */
export function slewBarPerS(gaugeKpa: number, celsius: number, way: 'up' | 'down', given: Given): number {
  const dropKpa = way === 'up' ? given.railNominalKpa - gaugeKpa : gaugeKpa - given.returnKpa;
  return (valveLpm(dropKpa, celsius, given) * ML_PER_S) / complianceMlPerBar(gaugeKpa, given);
}

/** Deadband that pulses have to fit into, N, half width: the smallest that the controller uses. */
export const deadbandN = (given: Given): number => (given.deadbandMode === 0 ? given.deadbandN : given.deadbandMinN);

/** One pressure at one oil temperature. */
export interface SlewSize {
  readonly chamberKpa: number;
  readonly oilC: number;
  readonly upBarPerS: number;
  readonly downBarPerS: number;
  readonly upNPerS: number;
  readonly downNPerS: number;
  /** What the shortest pulse makes. */
  readonly leastPulseUpBar: number;
  readonly leastPulseDownBar: number;
  readonly leastPulseUpN: number;
  readonly leastPulseDownN: number;
  /** Shortest pulses that fit into the deadband's half width; below 1 the row hunts. */
  readonly pulsesInDeadband: number;
}

/** Slew and shortest pulse at a chamber pressure (kPa gauge) and an oil temperature (°C); units as named. Source: `slewBarPerS`. */
export function slewAt(chamberKpa: number, oilC: number, given: Given, force: ForceRange): SlewSize {
  const [up, down] = [slewBarPerS(chamberKpa, oilC, 'up', given), slewBarPerS(chamberKpa, oilC, 'down', given)];
  const pulseS = given.minPulseMs / 1000;
  const largestN = Math.max(up, down) * pulseS * force.newtonPerBar;
  return {
    chamberKpa,
    oilC,
    upBarPerS: up,
    downBarPerS: down,
    upNPerS: up * force.newtonPerBar,
    downNPerS: down * force.newtonPerBar,
    leastPulseUpBar: up * pulseS,
    leastPulseDownBar: down * pulseS,
    leastPulseUpN: up * pulseS * force.newtonPerBar,
    leastPulseDownN: down * pulseS * force.newtonPerBar,
    pulsesInDeadband: largestN > 0 ? Math.min(PULSES_MOST, deadbandN(given) / largestN) : PULSES_MOST,
  };
}

/** More pulses than this in a deadband are told as this many: no matter any more. */
const PULSES_MOST = 1e6;

export interface SlewSizes {
  readonly least: SlewSize;
  readonly usual: SlewSize;
  readonly most: SlewSize;
  readonly cold: SlewSize;
  readonly hot: SlewSize;
}

/** Slew at the three working pressures with oil at 40 °C, and at the usual one with cold and hot oil. Source: `slewAt`. */
export function slewSizes(given: Given, force: ForceRange): SlewSizes {
  const at = (kpa: number, celsius: number): SlewSize => slewAt(kpa, celsius, given, force);
  return {
    least: at(force.workLeastKpa, WARM_OIL_C),
    usual: at(force.workUsualKpa, WARM_OIL_C),
    most: at(force.workMostKpa, WARM_OIL_C),
    cold: at(force.workUsualKpa, given.oilColdC),
    hot: at(force.workUsualKpa, given.oilHotC),
  };
}
