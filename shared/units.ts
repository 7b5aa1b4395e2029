/**
 * The units of records and parameters, and the units in which people may want to read them.
 * Factors: NIST SP 811 (2008), appendix B.8, exact where the definition is exact.
 */

/** A unit for display. */
export interface Display {
  readonly symbol: string;
  /** From our unit to this one. */
  readonly factor: number;
  /** Added after the factor; only for temperatures. */
  readonly offset?: number;
}

export interface Unit {
  readonly symbol: string;
  readonly quantity: string;
  /** SI unit, and the factor to it. */
  readonly si: string;
  readonly siFactor: number;
  /** Added after the factor; only for temperatures. */
  readonly siOffset?: number;
  readonly metric?: Display;
  readonly customary?: Display;
}

const unit = (symbol: string, quantity: string, si: string, siFactor: number, more: Partial<Unit> = {}): Unit => ({
  symbol,
  quantity,
  si,
  siFactor,
  ...more,
});

export const UNITS = {
  none: unit('', 'number', '1', 1),
  count: unit('counts', 'ADC counts', '1', 1),
  bits: unit('bits', 'bit set', '1', 1),
  ratio: unit('', 'ratio', '1', 1),
  tick: unit('ticks', 'time in ticks', '1', 1),
  hertz: unit('Hz', 'frequency', 'Hz', 1),
  millisecond: unit('ms', 'time', 's', 1e-3),
  second: unit('s', 'time', 's', 1),
  newton: unit('N', 'force', 'N', 1, { customary: { symbol: 'lbf', factor: 1 / 4.4482216152605 } }),
  newtonPerMetre: unit('N/m', 'spring rate', 'N/m', 1, {
    metric: { symbol: 'kN/m', factor: 1e-3 },
    customary: { symbol: 'lbf/in', factor: 0.0254 / 4.4482216152605 },
  }),
  newtonSecondPerMetre: unit('N·s/m', 'damping', 'N·s/m', 1),
  newtonPerDegree: unit('N/°C', 'force drift', 'N/K', 1),
  newtonPerMinute: unit('N/min', 'force drift over time', 'N/s', 1 / 60),
  newtonPerMillisecond: unit('N/ms', 'force rate', 'N/s', 1e3),
  newtonPerKilopascal: unit('N/kPa', 'force per pressure', 'm²', 1e-3),
  kilopascal: unit('kPa', 'pressure', 'Pa', 1e3, {
    metric: { symbol: 'bar', factor: 0.01 },
    customary: { symbol: 'psi', factor: 1 / 6.894757293168 },
  }),
  kilopascalPerMillisecond: unit('kPa/ms', 'pressure rate', 'Pa/s', 1e6),
  kilopascalPerSecond: unit('kPa/s', 'pressure rate', 'Pa/s', 1e3),
  kilopascalPerNewton: unit('kPa/N', 'pressure per force', '1/m²', 1e3),
  kilopascalPerNewtonSecond: unit('kPa/(N·s)', 'pressure rate per force', '1/(m²·s)', 1e3),
  kilopascalPerLitrePerMinute: unit('kPa/(L/min)', 'flow resistance', 'Pa·s/m³', 1e3 * 60 * 1e3),
  kilopascalPerHour: unit('kPa/h', 'pressure rate', 'Pa/s', 1e3 / 3600),
  megapascal: unit('MPa', 'modulus', 'Pa', 1e6),
  squareCentimetre: unit('cm²', 'area', 'm²', 1e-4, { customary: { symbol: 'in²', factor: 1 / 6.4516 } }),
  squareMillimetre: unit('mm²', 'area', 'm²', 1e-6, { customary: { symbol: 'in²', factor: 1 / 645.16 } }),
  hectare: unit('ha', 'land area', 'm²', 1e4, { customary: { symbol: 'acre', factor: 1e4 / 4046.8564224 } }),
  kilogram: unit('kg', 'mass', 'kg', 1, { customary: { symbol: 'lb', factor: 1 / 0.45359237 } }),
  kilogramPerKilometre: unit('kg/km', 'mass per distance', 'kg/m', 1e-3),
  kilogramPerCubicMetre: unit('kg/m³', 'density', 'kg/m³', 1),
  squareMillimetrePerSecond: unit('mm²/s', 'kinematic viscosity', 'm²/s', 1e-6, { metric: { symbol: 'cSt', factor: 1 } }),
  cubicCentimetre: unit('cm³', 'road roughness', 'm³', 1e-6),
  millilitre: unit('mL', 'volume', 'm³', 1e-6, { customary: { symbol: 'in³', factor: 1 / 16.387064 } }),
  millilitrePerKilopascal: unit('mL/kPa', 'compliance', 'm³/Pa', 1e-9),
  litre: unit('L', 'volume', 'm³', 1e-3),
  litrePerMinute: unit('L/min', 'flow', 'm³/s', 1e-3 / 60, {
    customary: { symbol: 'US gal/min', factor: 1 / 3.785411784 },
  }),
  millilitrePerMinute: unit('mL/min', 'flow', 'm³/s', 1e-6 / 60),
  millilitrePerSecond: unit('mL/s', 'flow', 'm³/s', 1e-6),
  metre: unit('m', 'length', 'm', 1, { customary: { symbol: 'ft', factor: 1 / 0.3048 } }),
  millimetre: unit('mm', 'length', 'm', 1e-3, { customary: { symbol: 'in', factor: 1 / 25.4 } }),
  perMetre: unit('1/m', 'spatial frequency', '1/m', 1),
  metrePerSecond: unit('m/s', 'speed', 'm/s', 1, {
    metric: { symbol: 'km/h', factor: 3.6 },
    customary: { symbol: 'mile/h', factor: 1 / 0.44704 },
  }),
  millimetrePerSecond: unit('mm/s', 'speed', 'm/s', 1e-3, {
    metric: { symbol: 'km/h', factor: 0.0036 },
    customary: { symbol: 'mile/h', factor: 1 / 447.04 },
  }),
  metrePerSecondSquared: unit('m/s²', 'acceleration', 'm/s²', 1),
  metrePerSecondSquaredPerRootHertz: unit('m/s²/√Hz', 'acceleration noise density', 'm/s²/√Hz', 1),
  metrePerSecondSquaredPerMillisecond: unit('m/s²/ms', 'jerk', 'm/s³', 1e3),
  degreeCelsius: unit('°C', 'temperature', 'K', 1, { siOffset: 273.15, customary: { symbol: '°F', factor: 1.8, offset: 32 } }),
  perDegree: unit('1/°C', 'relative change with temperature', '1/K', 1),
  degree: unit('°', 'angle', 'rad', Math.PI / 180),
  percent: unit('%', 'percentage', '1', 0.01),
  volt: unit('V', 'voltage', 'V', 1),
  ohm: unit('Ω', 'resistance', 'Ω', 1),
  millihenry: unit('mH', 'inductance', 'H', 1e-3),
  ampere: unit('A', 'current', 'A', 1),
  watt: unit('W', 'power', 'W', 1),
  kelvinPerWatt: unit('K/W', 'thermal resistance', 'K/W', 1),
  joule: unit('J', 'energy', 'J', 1),
  perMinute: unit('1/min', 'rate', '1/s', 1 / 60),
  perHour: unit('1/h', 'rate', '1/s', 1 / 3600),
  millivolt: unit('mV', 'voltage', 'V', 1e-3),
  microfarad: unit('µF', 'capacitance', 'F', 1e-6),
  millijoule: unit('mJ', 'energy', 'J', 1e-3),
} as const satisfies Record<string, Unit>;

export type UnitName = keyof typeof UNITS;
