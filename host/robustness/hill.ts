import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { mersenne } from 'pure-rand/generator/mersenne';
import { ROAD_CLASSES, ROAD_REFERENCE_PER_M } from '../../shared/field.js';

/** Distance between two heights, m: twice the plant's step, below the contact length of a tyre. */
const STEP_M = 0.05;
/** Range of the waves, cycles/m: ISO 8608 describes 0.01 to 10; shorter ones than 4 do not pass the tyre. */
const LOWEST_PER_M = 0.01;
const HIGHEST_PER_M = 4;
const WAVES = 160;
const CM3 = 1e-6;

interface Wave {
  readonly heightM: number;
  readonly radPerM: number;
  readonly phase: number;
}

/** Waves longer than this are common to all rows, as in a generated field, m. */
const COMMON_M = 10;
const COMMON_SEED = 1;

/**
 * Returns waves whose sum has the spectrum of a road class: amplitude √(2·Gd(n)·Δn) and random phase at frequencies in geometric
 * progression (Shinozuka and Jan 1972, Journal of Sound and Vibration 25(1):111-128; Gd(n) = Gd(n0)·(n/n0)⁻², ISO 8608; from memory).
 */
function wavesOf(roughnessM3: number, seed: number): Wave[] {
  const common = mersenne(COMMON_SEED);
  const own = mersenne(seed);
  const factor = (HIGHEST_PER_M / LOWEST_PER_M) ** (1 / WAVES);
  return Array.from({ length: WAVES }, (_, index) => {
    const perM = LOWEST_PER_M * factor ** (index + 0.5);
    const widthPerM = perM * (Math.sqrt(factor) - 1 / Math.sqrt(factor));
    const density = roughnessM3 * (perM / ROAD_REFERENCE_PER_M) ** -2;
    const phase = 2 * Math.PI * uniformFloat64(perM * COMMON_M < 1 ? common : own);
    return { heightM: Math.sqrt(2 * density * widthPerM), radPerM: 2 * Math.PI * perM, phase };
  });
}

/** A hill: a sine from trough to crest to trough. */
export interface Hill {
  /** From trough to crest. */
  readonly heightM: number;
  readonly lengthM: number;
}

/** Names of the columns of heights in a hill's file. */
export const heightColumns = (rows: number): string[] => Array.from({ length: rows }, (_, row) => `row${row + 1}_m`);

/** Returns a CSV file of a hill on the roughness of class D: column x_m, and one of heights for each row. */
export function hillCsv(hill: Hill, rows: number, distanceM: number): string {
  const tracks = Array.from({ length: rows }, (_, row) => wavesOf(ROAD_CLASSES.D * CM3, COMMON_SEED + 1 + row));
  const heightAt = (xM: number, waves: readonly Wave[]): number => {
    const rough = waves.reduce((sum, { heightM, radPerM, phase }) => sum + heightM * Math.cos(radPerM * xM + phase), 0);
    return rough - (hill.heightM / 2) * Math.cos((2 * Math.PI * xM) / hill.lengthM);
  };
  const lines = Array.from({ length: Math.ceil(distanceM / STEP_M) + 1 }, (_, index) => {
    const xM = index * STEP_M;
    return [xM.toFixed(2), ...tracks.map((waves) => heightAt(xM, waves).toFixed(5))].join(',');
  });
  return `${['x_m', ...heightColumns(rows)].join(',')}\n${lines.join('\n')}\n`;
}
