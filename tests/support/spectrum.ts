import FFT from 'fft.js';
import type { FieldLayout } from '../../host/simulate/field.js';
import { type Numbers, PlantRig } from './plant-rig.js';

/** Distance between points, m, and points per segment (204.8 m). */
const STEP_M = 0.025;
const SEGMENT = 8192;

/** Heights of tracks, point by point; rows are tracks 1, 2 and so on. */
export function heights(rig: PlantRig, tracks: readonly number[], points: number): Float64Array[] {
  const series = tracks.map(() => new Float64Array(points));
  let at = 0;
  rig.drawPoints(Math.ceil(points / 5), (pointOf) => {
    for (const [index, track] of tracks.entries()) if (at < points) (series[index] as Float64Array)[at] = pointOf(track, 'height');
    at += 1;
  });
  return series;
}

/** With a tyre that smooths as little as possible. */
export const fieldRig = (field: Numbers, rows = 1, seed = 1, layout?: FieldLayout): PlantRig =>
  new PlantRig({ rows, seed, machine: { envelopePerM: 10 }, field, drive: { speedMps: 0 }, layout });

/** Cross spectrum of two series by Welch's method (Hann window, half overlap). */
class Welch {
  private readonly fft = new FFT(SEGMENT);
  private readonly window = Array.from({ length: SEGMENT }, (_, index) => 0.5 - 0.5 * Math.cos((2 * Math.PI * index) / SEGMENT));
  /** Scale of one segment's density: 2/(rate·Σw²); Σw² of a Hann window is 3/8 of its length. */
  private readonly scale = (2 * STEP_M) / (0.375 * SEGMENT);

  private transform(series: Float64Array, from: number): number[] {
    const part = series.subarray(from, from + SEGMENT);
    const mean = part.reduce((sum, value) => sum + value, 0) / SEGMENT;
    const out: number[] = this.fft.createComplexArray();
    this.fft.realTransform(
      out,
      Array.from(part, (value, index) => (value - mean) * (this.window[index] ?? 0)),
    );
    return out;
  }

  /** One-sided cross density of two series, real and imaginary; of a series with itself its density, m³. */
  cross(one: Float64Array, other: Float64Array): { readonly real: number[]; readonly imaginary: number[] } {
    const real = new Array<number>(SEGMENT / 2).fill(0);
    const imaginary = new Array<number>(SEGMENT / 2).fill(0);
    let segments = 0;
    for (let from = 0; from + SEGMENT <= one.length; from += SEGMENT / 2) {
      const a = this.transform(one, from);
      const b = one === other ? a : this.transform(other, from);
      for (let bin = 0; bin < SEGMENT / 2; bin++) {
        const [aRe = 0, aIm = 0, bRe = 0, bIm = 0] = [a[2 * bin], a[2 * bin + 1], b[2 * bin], b[2 * bin + 1]];
        real[bin] = (real[bin] ?? 0) + this.scale * (aRe * bRe + aIm * bIm);
        imaginary[bin] = (imaginary[bin] ?? 0) + this.scale * (aRe * bIm - aIm * bRe);
      }
      segments += 1;
    }
    return { real: real.map((value) => value / segments), imaginary: imaginary.map((value) => value / segments) };
  }
}

const WELCH = new Welch();
/** One-sided cross density of two series, m³. */
export const crossDensity = (one: Float64Array, other: Float64Array): ReturnType<Welch['cross']> => WELCH.cross(one, other);
/** Distance between the bins of a spectrum, cycles/m. */
export const SPECTRUM_STEP_PER_M = 1 / (SEGMENT * STEP_M);
/** Spatial frequency of a bin, cycles/m. */
const perMOf = (bin: number): number => bin / (SEGMENT * STEP_M);
/** One-sided density of a series, m³. */
export const densityOf = (series: Float64Array): number[] => WELCH.cross(series, series).real;

/** Bins between two spatial frequencies, cycles/m. */
export const binsBetween = (from: number, to: number): number[] =>
  Array.from({ length: SEGMENT / 2 }, (_, bin) => bin).filter((bin) => perMOf(bin) >= from && perMOf(bin) < to);

/** Means of a density over bands of equal width on a logarithmic scale: frequency and density. */
export function bands(density: readonly number[], from: number, to: number, count = 16): [perM: number, density: number][] {
  return Array.from({ length: count }, (_, index) => {
    const edge = (at: number): number => from * (to / from) ** (at / count);
    const bins = binsBetween(edge(index), edge(index + 1));
    // Mean of density times frequency squared, which is nearly constant over a band.
    const level = bins.reduce((sum, bin) => sum + (density[bin] ?? 0) * perMOf(bin) ** 2, 0) / bins.length;
    const middle = Math.sqrt(edge(index) * edge(index + 1));
    return [middle, level / middle ** 2];
  });
}

/** Straight line through the logarithms: its slope, and its value at 0.1 cycles/m. */
export function lineThrough(points: readonly (readonly [number, number])[]): { slope: number; atReference: number } {
  const xs = points.map(([x]) => Math.log(x / 0.1));
  const ys = points.map(([, y]) => Math.log(y));
  const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
  const [mx, my] = [mean(xs), mean(ys)];
  const slope = mean(xs.map((x, index) => (x - mx) * ((ys[index] ?? 0) - my))) / mean(xs.map((x) => (x - mx) ** 2));
  return { slope, atReference: Math.exp(my - slope * mx) };
}
