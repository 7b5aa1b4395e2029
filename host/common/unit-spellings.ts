/** A unit that records and parameters do not have, but files may: value in the SI base unit = value · factor + offset. */
export interface SpelledUnit {
  readonly si: string;
  readonly factor: number;
  readonly offset?: number;
  /** What it is called; errors list the first. */
  readonly words: readonly [string, ...string[]];
}

const spelled = (si: string, factor: number, ...words: [string, ...string[]]): SpelledUnit => ({ si, factor, words });

/**
 * Units of logs and data sheets, and more spellings of units in shared/units.ts. The case of letters and spaces do not matter, see
 * `findConversion`. Factors: NIST SP 811 (2008), appendix B.8, from memory; all of them are exact by definition.
 */
export const SPELLED_UNITS: readonly SpelledUnit[] = [
  spelled('N', 1e3, 'kN'),
  spelled('N', 10, 'daN'),
  spelled('N', 9.80665, 'kgf', 'kp', 'kg-f', 'kg_f'),
  spelled('N', 4.4482216152605, 'lbf', 'lb-f', 'lb_f'),
  spelled('Pa', 1, 'Pa'),
  spelled('Pa', 100, 'mbar', 'hPa'),
  spelled('Pa', 1e5, 'bar', 'barg'),
  spelled('Pa', 6894.757293168, 'psi', 'psig', 'lbf/in²'),
  spelled('Pa', 98066.5, 'kgf/cm²', 'kp/cm²'),
  spelled('m/s', 1, 'm/s', 'mps', 'm/sec'),
  spelled('m/s', 0.01, 'cm/s'),
  spelled('m/s', 1 / 3.6, 'km/h', 'kph', 'kmh', 'kmph', 'km/hr'),
  spelled('m/s', 0.44704, 'mile/h', 'mph', 'mi/h', 'miles/h'),
  spelled('m/s', 1852 / 3600, 'kn', 'kt', 'kts', 'knot', 'knots'),
  spelled('m/s', 0.3048, 'ft/s', 'fps'),
  spelled('m³/s', 1e-3 / 60, 'L/min', 'lpm'),
  spelled('m³/s', 3.785411784e-3 / 60, 'US gal/min', 'gpm', 'gal/min', 'US gpm'),
  spelled('m/s²', 1, 'm/s²', 'm/s^2', 'm/s/s'),
  spelled('m/s²', 9.80665, 'g', 'g0', 'gn'),
  { si: 'K', factor: 1, offset: 273.15, words: ['°C', 'C', 'celsius'] },
  { si: 'K', factor: 5 / 9, offset: 273.15 - 32 / 1.8, words: ['°F', 'F', 'fahrenheit'] },
  spelled('K', 1, 'K', 'kelvin'),
  spelled('V', 1, 'V', 'volts'),
  spelled('A', 1, 'A', 'amp', 'amps'),
  spelled('A', 1e-3, 'mA', 'milliampere'),
  spelled('s', 1, 's', 'sec', 'seconds'),
  spelled('s', 1e-3, 'ms', 'msec', 'milliseconds'),
  spelled('s', 1e-6, 'µs', 'us', 'usec', 'microsecond', 'microseconds'),
  spelled('s', 1e-9, 'ns', 'nanosecond', 'nanoseconds'),
  spelled('s', 60, 'min', 'minutes'),
  spelled('s', 3600, 'h', 'hours'),
  spelled('m', 0.01, 'cm'),
  spelled('m', 1e3, 'km'),
];
