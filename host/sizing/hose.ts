/** Reynolds number above which flow is treated as turbulent (Merritt, 1967: about 2000 to 2300). */
export const LAMINAR_RE = 2300;

/** Returns the mean velocity in a bore, m/s; flow in L/min, bore in mm. Source: continuity. */
export const boreMps = (lpm: number, boreMm: number): number => lpm / 60000 / ((Math.PI / 4) * (boreMm / 1000) ** 2);

/** Returns the Reynolds number in a bore: v·d/ν, ν in mm²/s. Source: definition. */
export const reynolds = (lpm: number, boreMm: number, mm2PerS: number): number => (boreMps(lpm, boreMm) * boreMm * 1000) / mm2PerS;

/**
 * Returns the Darcy friction factor of a smooth bore: 64/Re in laminar flow, 0.3164/Re^0.25 above LAMINAR_RE. `re` must be above 0.
 * Source: Hagen–Poiseuille; Blasius 1913 (good to Re 100 000), from memory.
 */
export const frictionFactor = (re: number): number => (re <= LAMINAR_RE ? 64 / re : 0.3164 / re ** 0.25);

/**
 * Returns the pressure drop of a straight hose without fittings, kPa: f·(l/d)·ρ/2·v². L/min, bore mm, length m, ν mm²/s, ρ kg/m³.
 * 0 without flow. Source: Darcy–Weisbach.
 */
export function hoseDropKpa(lpm: number, boreMm: number, lengthM: number, mm2PerS: number, kgPerM3: number): number {
  if (!(lpm > 0)) return 0;
  const factor = frictionFactor(reynolds(lpm, boreMm, mm2PerS));
  return (factor * (lengthM / (boreMm / 1000)) * (kgPerM3 / 2) * boreMps(lpm, boreMm) ** 2) / 1000;
}
