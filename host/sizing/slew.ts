import { complianceMlPerBar } from './compliance.js';
import { WARM_OIL_C } from './constants.js';
import type { ForceRange } from './geometry.js';
import { pathLpm } from './oil-path.js';
import { sharedLpm } from './oil-use.js';
import type { SizingInput } from './sizing-input.js';

/** L/min to mL/s: 1000/60 exactly. */
const ML_PER_S = 1000 / 60;

/**
 * Returns the rate of the chamber pressure with one valve open, bar/s: flow over compliance. `gaugeKpa` is the chamber pressure, oil in °C;
 * `up` is through the supply valve from the rail, `down` through the return valve, both through the hoses, whose shared ones carry
 * `sharedLpm` besides. 0 if the pressures allow no flow. Source: dp/dt = Q/C; `pathLpm`.
 */
export function slewBarPerS(gaugeKpa: number, celsius: number, direction: 'up' | 'down', sharedLpm: number, input: SizingInput): number {
  return (pathLpm(gaugeKpa, celsius, direction, sharedLpm, input) * ML_PER_S) / complianceMlPerBar(gaugeKpa, input);
}

/** Returns the deadband that pulses must fit into, N, half width: the smallest that the controller uses. */
export const deadbandN = (input: SizingInput): number => (input.deadbandMode === 0 ? input.deadbandN : input.deadbandMinN);

/** Slew at one chamber pressure and oil temperature. */
export interface SlewSize {
  readonly chamberKpa: number;
  readonly oilC: number;
  readonly upBarPerS: number;
  readonly downBarPerS: number;
  readonly upNPerS: number;
  readonly downNPerS: number;
  /** Change made by the minimum pulse. */
  readonly minPulseUpBar: number;
  readonly minPulseDownBar: number;
  readonly minPulseUpN: number;
  readonly minPulseDownN: number;
  /** Minimum pulses that fit into half of the deadband; below 1 the row hunts. */
  readonly pulsesInDeadband: number;
}

/** Returns slew and minimum pulse at a chamber pressure (kPa gauge) and an oil temperature (°C). Source: `slewBarPerS`. */
export function slewAt(chamberKpa: number, oilC: number, input: SizingInput, force: ForceRange): SlewSize {
  const shared = sharedLpm(input, force);
  const [up, down] = [slewBarPerS(chamberKpa, oilC, 'up', shared, input), slewBarPerS(chamberKpa, oilC, 'down', shared, input)];
  const pulseS = input.minPulseMs / 1000;
  const largerN = Math.max(up, down) * pulseS * force.newtonPerBar;
  return {
    chamberKpa,
    oilC,
    upBarPerS: up,
    downBarPerS: down,
    upNPerS: up * force.newtonPerBar,
    downNPerS: down * force.newtonPerBar,
    minPulseUpBar: up * pulseS,
    minPulseDownBar: down * pulseS,
    minPulseUpN: up * pulseS * force.newtonPerBar,
    minPulseDownN: down * pulseS * force.newtonPerBar,
    pulsesInDeadband: largerN > 0 ? Math.min(PULSES_MAX, deadbandN(input) / largerN) : PULSES_MAX,
  };
}

/** Upper limit of pulses in the deadband, so that the number stays finite. */
const PULSES_MAX = 1e6;

export interface SlewSizes {
  readonly lowPressure: SlewSize;
  readonly typical: SlewSize;
  readonly highPressure: SlewSize;
  readonly coldOil: SlewSize;
  readonly hotOil: SlewSize;
}

/** Returns slew at the three working pressures with oil at 40 °C, and at the typical one with cold and hot oil. Source: `slewAt`. */
export function slewSizes(input: SizingInput, force: ForceRange): SlewSizes {
  const at = (kpa: number, celsius: number): SlewSize => slewAt(kpa, celsius, input, force);
  return {
    lowPressure: at(force.workMinKpa, WARM_OIL_C),
    typical: at(force.workTypicalKpa, WARM_OIL_C),
    highPressure: at(force.workMaxKpa, WARM_OIL_C),
    coldOil: at(force.workTypicalKpa, input.oilColdC),
    hotOil: at(force.workTypicalKpa, input.oilHotC),
  };
}
