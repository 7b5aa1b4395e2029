import { LowPass, Path, Section } from './generated/records';

/** Prewarped corner for a bilinear transform, which keeps it at its spatial frequency. @param perM cycles per metre */
export function prewarp(perM: f64, stepM: f64): f64 {
  return Math.tan(Math.PI * Math.min(perM * stepM, 0.49));
}

/** Second-order Butterworth low-pass by the bilinear transform (Oppenheim and Schafer, Discrete-Time Signal Processing, ch. 7). */
export function fitLowPass(filter: LowPass, cornerPerM: f64, stepM: f64): void {
  const k = prewarp(cornerPerM, stepM);
  const norm = 1 / (1 + k * Math.SQRT2 + k * k);
  filter.b0 = k * k * norm;
  filter.a1 = 2 * (k * k - 1) * norm;
  filter.a2 = (1 - k * Math.SQRT2 + k * k) * norm;
}

/** Filters one value with the path's two states (transposed direct form II). */
export function nextLowPass(path: Path, filter: LowPass, value: f64): f64 {
  const b0 = filter.b0;
  const out = b0 * value + path.low1;
  path.low1 = 2 * b0 * value - filter.a1 * out + path.low2;
  path.low2 = b0 * value - filter.a2 * out;
  return out;
}

/** First-order section (1 + s/z)/(1 + s/p) from prewarped corners; unity gain at zero frequency. */
export function fitSection(section: Section, zero: f64, pole: f64): void {
  const scale = 1 / (1 + 1 / pole);
  section.b0 = (1 + 1 / zero) * scale;
  section.b1 = (1 - 1 / zero) * scale;
  section.a1 = (1 - 1 / pole) * scale;
}
