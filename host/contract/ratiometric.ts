import { CHANNELS } from '../../shared/channels.js';
import type { UnitName } from '../../shared/units.js';
import type { Conversion } from '../common/unit-conversion.js';
import type { Contract, ParameterValues } from './contract.js';
import { parameterValue } from './parameter-values.js';

/** The sensor behind an input: the unit of what it measures, and the conversion from there to ADC counts. */
export interface RatiometricSensor {
  readonly unit: UnitName;
  readonly toCounts: Conversion;
}

/** Returns the sensor behind an input, scaled by the parameters; undefined if the input is not ratiometric. */
export function ratiometricSensor(input: string, contract: Contract, values: ParameterValues): RatiometricSensor | undefined {
  const channel = CHANNELS.find((one) => one.input === input);
  if (channel === undefined) return undefined;
  const { atTenPercent, atNinetyPercent } = channel;
  const unit = contract.parameters.find((one) => one.name === atTenPercent)?.unit ?? 'none';
  const full = parameterValue('adcFullScaleCounts', contract, values);
  const low = parameterValue(atTenPercent, contract, values);
  const gain = (0.8 * full) / (parameterValue(atNinetyPercent, contract, values) - low);
  return { unit, toCounts: { gain, bias: 0.1 * full - low * gain } };
}
