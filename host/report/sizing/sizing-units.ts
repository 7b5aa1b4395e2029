import { type Display, UNITS, type Unit, type UnitName } from '../../../shared/units.js';
import { awgMm2, gaugeFor, THICKEST_AWG } from '../../sizing/wire.js';
import { grouped } from '../form/text-table.js';

/** Systems of units: metric and US customary. */
export const SYSTEMS = ['si', 'us'] as const;
export type System = (typeof SYSTEMS)[number];

/** How a number in the unit of its name is displayed in each system. */
export type Kind = Readonly<Record<System, Display>>;

export const AWG = 'AWG';

/** Areas of wires: in the US a wire has a gauge. */
const WIRE_AREA: Kind = { si: { symbol: 'mm²', factor: 1 }, us: { symbol: AWG, factor: 1 } };

/** Returns the kind for a unit of `shared/units.ts`; units without a display unit are printed as they are. */
export function kindOf(unit: UnitName): Kind {
  if (unit === 'squareMillimetre') return WIRE_AREA;
  // Checks judge the speed of oil, not that of the machine.
  if (unit === 'metrePerSecond') return SLOW_SPEED;
  const { symbol, metric, customary }: Unit = UNITS[unit];
  const own = { symbol, factor: 1 };
  return { si: metric ?? own, us: customary ?? metric ?? own };
}

/** Returns the kind of a value beside its name in the files: in the unit that the name ends in, in both systems. */
export function ownKind(unit: UnitName): Kind {
  const own = { symbol: UNITS[unit].symbol, factor: 1 };
  return { si: own, us: own };
}

const customary = (unit: UnitName): Display => kindOf(unit).us;
const LBF = customary('newton').factor;
const PSI = customary('kilopascal').factor;
const IN3 = customary('millilitre').factor;
const FOOT = customary('metre').factor;
/** psi in a bar. */
const PSI_PER_BAR = 100 * PSI;
/** Mechanical horsepower: 550 foot-pounds-force per second, exact by definition (NIST SP 811, 2008, appendix B.8). */
const HORSEPOWER_W = 550 / (FOOT * LBF);

const kind = (symbol: string, customarySymbol = symbol, factor = 1): Kind => ({
  si: { symbol, factor: 1 },
  us: { symbol: customarySymbol, factor },
});

export const HYDRAULIC_POWER: Kind = kind('W', 'hp', 1 / HORSEPOWER_W);
export const SLOW_SPEED: Kind = kind('m/s', 'ft/s', FOOT);
const PER_BAR = kind('N/bar', 'lbf/psi', LBF / PSI_PER_BAR);

/** Kinds by the end of the name, longer ones first. */
const BY_END: readonly (readonly [string, Kind])[] = [
  ['Ns2PerM2', kind('N·s²/m²', 'lbf·s²/ft²', LBF / FOOT ** 2)],
  ['hectaresPerHour', kind('ha/h', 'acre/h', customary('hectare').factor)],
  ['newtonPerBar', PER_BAR],
  ['newtonPerBarRaised', PER_BAR],
  ['newtonPerBarLowered', PER_BAR],
  ['newtonPerMl', kind('N/mL', 'lbf/in³', LBF / IN3)],
  ['KpaPerCount', kind('kPa/count', 'psi/count', PSI)],
  ['NPerCount', kind('N/count', 'lbf/count', LBF)],
  ['HoursPerYear', kind('h/year')],
  ['Mm2PerS', kindOf('squareMillimetrePerSecond')],
  ['PulsesPerMin', kindOf('perMinute')],
  ['PerMinPerRow', kindOf('perMinute')],
  ['strokesPerYear', kind('1/year')],
  ['MlPerBar', kind('mL/bar', 'in³/psi', IN3 / PSI_PER_BAR)],
  ['barPerMm', kind('bar/mm', 'psi/in', PSI_PER_BAR * 25.4)],
  ['BarPerS', kind('bar/s', 'psi/s', PSI_PER_BAR)],
  ['NPerM', kindOf('newtonPerMetre')],
  ['NPerK', kind('N/K', 'lbf/°F', LBF / 1.8)],
  ['NPerS', kind('N/s', 'lbf/s', LBF)],
  ['OhmPerM', kind('Ω/m', 'Ω/ft', 1 / FOOT)],
  ['Percent', kindOf('percent')],
  ['celsius', kindOf('degreeCelsius')],
  ['Counts', kindOf('count')],
  ['Years', kind('years')],
  ['Mm2', kindOf('squareMillimetre')],
  ['Awg', kind(AWG)],
  ['Kpa', kindOf('kilopascal')],
  ['Mpa', kind('MPa', 'psi', 1000 * PSI)],
  ['Bar', kind('bar', 'psi', PSI_PER_BAR)],
  ['Lpm', kindOf('litrePerMinute')],
  ['Mps', SLOW_SPEED],
  ['Ohm', kindOf('ohm')],
  ['Mm', kindOf('millimetre')],
  ['Ml', kindOf('millilitre')],
  ['Mj', kindOf('millijoule')],
  ['Ms', kindOf('millisecond')],
  ['Uf', kindOf('microfarad')],
  ['Hz', kindOf('hertz')],
  ['M', kindOf('metre')],
  ['N', kindOf('newton')],
  ['V', kindOf('volt')],
  ['A', kindOf('ampere')],
  ['W', kindOf('watt')],
  ['S', kindOf('second')],
  ['J', kindOf('joule')],
  ['C', kindOf('degreeCelsius')],
  ['K', kind('K', '°F', 1.8)],
];

/** Hydraulic power: oil drawn from the rail at its pressure. */
const HYDRAULIC = /^oil\.\w+W$|\.(downForceH|h)ydraulicW$/;

/** Returns the kind of a value from its path in the sizing, whose last name ends in the unit. */
export function kindAt(path: string): Kind {
  if (HYDRAULIC.test(path)) return HYDRAULIC_POWER;
  const name = path.slice(path.lastIndexOf('.') + 1);
  return BY_END.find(([end]) => name.endsWith(end))?.[1] ?? kindOf('none');
}

/** Returns a value in the unit of a system. */
export const converted = (value: number, { factor, offset = 0 }: Display): number => value * factor + offset;

const DIGITS = 4;

/** Formats a number with four digits or more, grouped from 10 000 on. */
export function written(value: number, digits = DIGITS): string {
  const size = Math.abs(value);
  const isWhole = Number.isInteger(value) || size >= 10 ** (digits - 1);
  const text = grouped(isWhole ? Math.round(size) : decimals(size, digits));
  return value < 0 && /[1-9]/.test(text) ? `−${text}` : text;
}

/** Formats a small number with as many digits as fit without an exponent. */
function decimals(size: number, digits: number): string {
  // Rounded first, so that 9.9999 becomes 10.00, not 10.000.
  const whole = Math.floor(Math.log10(Number(size.toPrecision(digits)))) + 1;
  return size.toFixed(Math.min(digits + 2, Math.max(0, digits - whole)));
}

/** Most digits that a value and its limit get so that they differ. */
const DIGITS_MAX = 12;

/** Formats a gauge: 12, 2, 1/0 for 0, 4/0 for −3. */
export const gauge = (awg: number): string => (awg > 0 ? String(awg) : `${1 - awg}/0`);

/** Formats the gauge of the thinnest wire that has an area (mm²). */
const gaugeOfArea = (mm2: number): string =>
  mm2 > awgMm2(THICKEST_AWG) * (1 + 1e-9) ? `over ${gauge(THICKEST_AWG)}` : gauge(gaugeFor(mm2));

/** Formats a value in a system of units, without its unit. */
export function inSystem(value: number, one: Kind, system: System, digits = DIGITS): string {
  if (one.si.symbol === AWG) return gauge(value);
  if (one[system].symbol === AWG) return gaugeOfArea(value);
  return written(converted(value, one[system]), digits);
}

/** Returns how many digits it takes to tell two values apart, at least four; four if they are equal or no number of digits does. */
export function digitsApart(one: number, other: number, kind: Kind, system: System): number {
  if (one === other) return DIGITS;
  const choices = Array.from({ length: DIGITS_MAX - DIGITS + 1 }, (_, more) => DIGITS + more);
  return choices.find((digits) => inSystem(one, kind, system, digits) !== inSystem(other, kind, system, digits)) ?? DIGITS;
}

/** Formats a value in a system of units, with its unit. */
export const withUnit = (value: number, one: Kind, system: System): string =>
  `${inSystem(value, one, system)} ${one[system].symbol}`.trimEnd();

/** Removes trailing zeros from an input value: `1.5 m` for `1.500 m`. */
export const plain = (text: string): string => text.replace(/(\.\d*?)0+(?= |$)/, '$1').replace(/\.(?= |$)/, '');
