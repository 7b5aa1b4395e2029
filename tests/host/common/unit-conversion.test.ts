import { describe, expect, it } from 'vitest';
import { convertibleSymbols, findConversion, isUnit } from '../../../host/common/unit-conversion.js';
import type { UnitName } from '../../../shared/units.js';

describe('units of logs', () => {
  // NIST SP 811 (2008), appendix B.8, from memory; digits as printed there.
  it.each<[spelling: string, unit: UnitName, value: number]>([
    ['kgf', 'newton', 9.80665],
    ['KGF', 'newton', 9.80665],
    ['daN', 'newton', 10],
    ['kN', 'newton', 1000],
    ['kn', 'newton', 1000],
    ['lbf', 'newton', 4.448222],
    ['bar', 'kilopascal', 100],
    ['Mpa', 'kilopascal', 1000],
    ['PSI', 'kilopascal', 6.894757],
    ['kgf/cm^2', 'kilopascal', 98.0665],
    ['mbar', 'kilopascal', 0.1],
    ['mph', 'millimetrePerSecond', 447.04],
    ['MPH', 'metrePerSecond', 0.44704],
    ['Km/h', 'metrePerSecond', 0.2777778],
    ['kph', 'metrePerSecond', 0.2777778],
    ['kn', 'metrePerSecond', 0.5144444],
    ['gpm', 'litrePerMinute', 3.785412],
    ['l/min', 'litrePerMinute', 1],
    ['LPM', 'litrePerMinute', 1],
    ['v', 'millivolt', 1000],
    ['mV', 'volt', 0.001],
    ['mA', 'ampere', 0.001],
    ['g', 'metrePerSecondSquared', 9.80665],
    ['m/s2', 'metrePerSecondSquared', 1],
    ['us', 'millisecond', 0.001],
    ['μs', 'millisecond', 0.001],
    ['ns', 'second', 1e-9],
  ])('1 %s in %s is %f', (spelling, unit, value) => {
    const { gain = Number.NaN, bias = Number.NaN } = findConversion(spelling, unit) ?? {};
    expect(gain / value).toBeCloseTo(1, 6);
    expect(bias).toBe(0);
  });

  it.each([
    ['degF', 212, 100],
    ['°f', 32, 0],
    ['F', 50, 10],
    ['deg C', 21, 21],
    ['K', 273.15, 0],
  ])('%s of %f is %f °C', (spelling, value, celsius) => {
    const { gain = Number.NaN, bias = Number.NaN } = findConversion(spelling, 'degreeCelsius') ?? {};
    expect(value * gain + bias).toBeCloseTo(celsius, 9);
  });

  it.each<[string, UnitName]>([
    ['mPa', 'kilopascal'], // millipascal
    ['mpa', 'kilopascal'],
    ['MV', 'volt'], // megavolt
    ['MA', 'ampere'],
    ['kg', 'newton'],
    ['psia', 'kilopascal'],
    ['bar', 'newton'],
    ['', 'newton'],
  ])('%j is no unit of a %s', (spelling, unit) => {
    expect(findConversion(spelling, unit)).toBeUndefined();
  });

  it('are listed once each, the own symbol first', () => {
    expect(convertibleSymbols('newton')).toEqual(['N', 'lbf', 'kN', 'daN', 'kgf']);
    expect(convertibleSymbols('degreeCelsius')).toEqual(['°C', '°F', 'K']);
  });

  it('are told apart from other words', () => {
    expect(['kgf', 'km/h', 'counts', 'row 1', 'load'].map(isUnit)).toEqual([true, true, true, false, false]);
  });
});
