import type { UnitName } from '../../shared/units.js';
import type { Conversion } from '../common/unit-conversion.js';
import type { Contract, ParameterValues } from './contract.js';
import { parameterValue } from './parameter-values.js';

/** Ratiometric inputs: the parameters with the physical value at 10 % and at 90 % of the sensor supply. */
const SENSORS: Readonly<Record<string, readonly [atTenPercent: string, atNinetyPercent: string]>> = {
  loadCounts: ['loadAtTenPercentN', 'loadAtNinetyPercentN'],
  pressureCounts: ['pressureAtTenPercentKpa', 'pressureAtNinetyPercentKpa'],
  accelerationCounts: ['accelerationAtTenPercentMps2', 'accelerationAtNinetyPercentMps2'],
  railCounts: ['railAtTenPercentKpa', 'railAtNinetyPercentKpa'],
};

/** The sensor behind an input: the unit of what it measures, and the conversion from there to ADC counts. */
export interface RatiometricSensor {
  readonly unit: UnitName;
  readonly toCounts: Conversion;
}

/** Returns the sensor behind an input, scaled by the parameters; undefined if the input is not ratiometric. */
export function ratiometricSensor(input: string, contract: Contract, values: ParameterValues): RatiometricSensor | undefined {
  const [atTen, atNinety] = SENSORS[input] ?? [];
  if (atTen === undefined || atNinety === undefined) return undefined;
  const unit = contract.parameters.find((one) => one.name === atTen)?.unit ?? 'none';
  const full = parameterValue('adcFullScaleCounts', contract, values);
  const low = parameterValue(atTen, contract, values);
  const gain = (0.8 * full) / (parameterValue(atNinety, contract, values) - low);
  return { unit, toCounts: { gain, bias: 0.1 * full - low * gain } };
}
