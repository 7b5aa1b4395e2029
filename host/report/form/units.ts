import { type Display, UNITS, type Unit, type UnitName } from '../../../shared/units.js';

/** Systems of units: that of the names, or US customary. */
export const SYSTEMS = ['si', 'us'] as const;
export type System = (typeof SYSTEMS)[number];

const LBF = 1 / 4.4482216152605;
const PSI = 1 / 6.894757293168;
const IN3 = 1 / 16.387064;
const FOOT = 1 / 0.3048;
/** Mechanical horsepower: 550 foot-pounds-force per second, exact by definition. */
const HORSEPOWER_W = 550 / (FOOT * LBF);

/** Factors of NIST SP 811 (2008), appendix B.8, for units that the contract displays as they are. */
const DERIVED: Partial<Record<UnitName, Display>> = {
  newtonPerMinute: { symbol: 'lbf/min', factor: LBF },
  newtonPerMillisecond: { symbol: 'lbf/ms', factor: LBF },
  newtonPerKilopascal: { symbol: 'lbf/psi', factor: LBF / PSI },
  newtonPerDegree: { symbol: 'lbf/°F', factor: LBF / 1.8 },
  newtonSecondPerMetre: { symbol: 'lbf·s/ft', factor: LBF / FOOT },
  kilopascalPerMillisecond: { symbol: 'psi/ms', factor: PSI },
  kilopascalPerSecond: { symbol: 'psi/s', factor: PSI },
  kilopascalPerHour: { symbol: 'psi/h', factor: PSI },
  kilopascalPerNewton: { symbol: 'psi/lbf', factor: PSI / LBF },
  kilopascalPerNewtonSecond: { symbol: 'psi/(lbf·s)', factor: PSI / LBF },
  kilopascalPerLitrePerMinute: { symbol: 'psi/(US gal/min)', factor: PSI * 3.785411784 },
  megapascal: { symbol: 'psi', factor: 1000 * PSI },
  litre: { symbol: 'US gal', factor: 1 / 3.785411784 },
  millilitrePerMinute: { symbol: 'in³/min', factor: IN3 },
  millilitrePerSecond: { symbol: 'in³/s', factor: IN3 },
  millilitrePerKilopascal: { symbol: 'in³/psi', factor: IN3 / PSI },
  metrePerSecondSquared: { symbol: 'ft/s²', factor: FOOT },
  metrePerSecondSquaredPerMillisecond: { symbol: 'ft/s²/ms', factor: FOOT },
  perMetre: { symbol: '1/ft', factor: 1 / FOOT },
  perDegree: { symbol: '1/°F', factor: 1 / 1.8 },
};

/** Powers of oil, by name: those of coils are in watts everywhere. */
const OIL_POWERS: readonly string[] = ['hydraulicW', 'reboundW'];

/**
 * How a quantity is displayed in a system of units.
 * @param name of the quantity, if it has one: power of oil is in horsepower
 */
export function displayIn(system: System, unit: UnitName, name = ''): Display {
  const { symbol, customary }: Unit = UNITS[unit];
  const own = { symbol, factor: 1 };
  if (system === 'si') return own;
  return OIL_POWERS.includes(name) ? { symbol: 'hp', factor: 1 / HORSEPOWER_W } : (customary ?? DERIVED[unit] ?? own);
}

/** Returns a value in a displayed unit. */
export const converted = (value: number, { factor, offset = 0 }: Display): number => value * factor + offset;

/** Returns a difference of two values in a displayed unit: an offset cancels. */
export const convertedDifference = (value: number, { factor }: Display): number => value * factor;
