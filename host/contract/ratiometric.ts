import type { UnitName } from '../../shared/units.js';
import type { Line } from '../common/unit-conversion.js';
import type { Contract, ParameterValues } from './contract.js';

/** Ratiometric inputs: parameters with the physical value at 10 % and at 90 % of the sensor supply. */
const SENSORS: Readonly<Record<string, readonly [string, string]>> = {
  loadCounts: ['loadAtTenPercentN', 'loadAtNinetyPercentN'],
  pressureCounts: ['pressureAtTenPercentKpa', 'pressureAtNinetyPercentKpa'],
  accelerationCounts: ['accelerationAtTenPercentMps2', 'accelerationAtNinetyPercentMps2'],
  railCounts: ['railAtTenPercentKpa', 'railAtNinetyPercentKpa'],
};

/** The value given for a parameter, or its default. */
export function inForce(name: string, contract: Contract, values: ParameterValues): number {
  const byDefault = contract.parameters.find((one) => one.name === name)?.default;
  if (byDefault === undefined) throw new Error(`the contract has no parameter ${name}`);
  return values[name] ?? byDefault;
}

/** A sensor behind an input: its unit, and the straight line from there to codes. */
export interface Sensor {
  readonly unit: UnitName;
  readonly toCounts: Line;
}

/** The sensor behind a field of codes, as the parameters describe it; undefined for other fields. */
export function sensorOf(field: string, contract: Contract, values: ParameterValues): Sensor | undefined {
  const [atTen, atNinety] = SENSORS[field] ?? [];
  if (atTen === undefined || atNinety === undefined) return undefined;
  const unit = contract.parameters.find((one) => one.name === atTen)?.unit ?? 'none';
  const full = inForce('adcFullScaleCounts', contract, values);
  const low = inForce(atTen, contract, values);
  const gain = (0.8 * full) / (inForce(atNinety, contract, values) - low);
  return { unit, toCounts: { gain, bias: 0.1 * full - low * gain } };
}
