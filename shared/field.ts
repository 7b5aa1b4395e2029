import { type Quantity, quantity } from './machine.js';

/** Roughness Gd(n0), cm³, at n0 = 0.1 cycles/m: geometric means of the ISO 8608 classes (class numbers from memory). */
export const ROAD_CLASSES = { A: 16, B: 64, C: 256, D: 1024, E: 4096, F: 16384, G: 65536, H: 262144 } as const;
export type RoadClass = keyof typeof ROAD_CLASSES;

/** Reference spatial frequency of ISO 8608, cycles/m. */
export const ROAD_REFERENCE_PER_M = 0.1;

/** Distance between the points of a height profile, m. */
export const PROFILE_STEP_M = 0.025;
/** Limit of the points of a profile from a file, over all its tracks. */
export const PROFILE_POINTS_MAX = 1_000_000;

/** The field. A road class sets roughnessCm3. */
// biome-ignore format: a table reads best with one quantity to a line
export const FIELD: readonly Quantity[] = [
  quantity('roughnessCm3', 'cubicCentimetre', 0, 1000000, 256, 'Roughness Gd(n0) at n0 = 0.1 cycles/m; `class: A` to `class: H` sets it instead'),
  quantity('waviness', 'none', 1.5, 3, 2, 'Exponent of the decrease of roughness with spatial frequency'),
  quantity('commonWaveM', 'metre', 1, 1000, 10, 'Waves longer than this are common to all rows; shorter ones differ from row to row'),
  quantity('stoneEveryM', 'metre', 0, 100000, 60, 'Mean distance from the end of a stone to the start of the next in a row; 0: no stones'),
  quantity('stoneHeightMm', 'millimetre', 0, 300, 50, 'Height of a stone'),
  quantity('stoneLengthMm', 'millimetre', 100, 2000, 200, 'Length of a stone, shaped as a half sine'),
  quantity('soilMinN', 'newton', 0, 10000, 300, 'Opener force in the softest soil, at the set depth'),
  quantity('soilMaxN', 'newton', 0, 10000, 1200, 'Opener force in the hardest soil, at the set depth'),
  quantity('patchMinM', 'metre', 0.5, 1000, 5, 'Shortest soil patch'),
  quantity('patchMaxM', 'metre', 0.5, 1000, 20, 'Longest soil patch'),
  quantity('soilEdgeM', 'metre', 0.02, 2, 0.2, 'Length over which the soil force changes at the edge of a patch: to 63 % of the change; the default is the middle of 0.1 to 0.3 (our choice)'),
  quantity('soilNoiseRatio', 'ratio', 0, 1, 0.08, 'Variation of the soil force within a patch, standard deviation'),
  quantity('soilNoiseM', 'metre', 0.05, 10, 0.3, 'Correlation length of the soil force within a patch'),
  quantity('rowCorrelation', 'ratio', 0, 0.99, 0.7, 'Correlation of the soil between neighbouring rows'),
  quantity('moisturePercent', 'percent', 1, 60, 20, 'Water in the soil, by dry mass, at which soilMinN, soilMaxN and the contact stiffness of the machine hold (default our choice)'),
  quantity('moisturePower', 'ratio', 0, 5, 1.5, 'Hardness is proportional to moisture to the power of minus this. Penetration resistance falls as a power of the water content (Busscher, Bauer, Camp, Sojka 1997, Soil and Tillage Research 43:205-217, compare such equations; default our choice)'),
  quantity('soilYieldRatio', 'ratio', 0, 1, 0.5, 'Fraction of the yielding of tyre and soil that is due to the soil, at hardness 1 (default our choice)'),
  quantity('segmentBlendM', 'metre', 0, 100, 2, 'Length over which one segment turns into the next, centred on their border; at most the length of the shorter one (default our choice); 0: at once'),
];

/** What may differ between segments of the field; what one leaves out is as the field has it. A road class sets roughnessCm3. */
// biome-ignore format: a table reads best with one quantity to a line
export const SEGMENT: readonly Quantity[] = [
  quantity('roughnessCm3', 'cubicCentimetre', 0, 1000000, 256, 'Roughness Gd(n0) at n0 = 0.1 cycles/m; `class: A` to `class: H` sets it instead'),
  quantity('hardnessRatio', 'ratio', 0.05, 20, 1, 'Hardness of the soil, as a fraction of what the field is described with: its penetration resistance (cone index). The opener force is proportional to it; the soil under the gauge wheels is as much stiffer'),
  quantity('moisturePercent', 'percent', 1, 60, 20, 'Water in the soil, by dry mass, which sets the hardness instead: (moisturePercent of the field / that of the segment) to the power of moisturePower'),
  quantity('stoneEveryM', 'metre', 0, 100000, 60, 'Mean distance from the end of a stone to the start of the next in a row; 0: no stones'),
];

/** A stone at a place. `row` says which rows it may be in: one, a list or all (default). */
// biome-ignore format: a table reads best with one quantity to a line
export const PLACED_STONE: readonly Quantity[] = [
  quantity('atM', 'metre', 0, 1000000, 0, 'Distance along the pass at which the stone starts'),
  quantity('heightMm', 'millimetre', 1, 300, 50, 'Height'),
  quantity('lengthMm', 'millimetre', 100, 2000, 200, 'Length, shaped as a half sine'),
  quantity('rowShareRatio', 'ratio', 0, 1, 1, 'Probability that it is in each of its rows, drawn from the seed'),
];

/** A step of the ground in all rows: a ledge, or one side of a waterway. */
// biome-ignore format: a table reads best with one quantity to a line
export const STEP: readonly Quantity[] = [
  quantity('atM', 'metre', 0, 1000000, 0, 'Distance along the pass at which the step starts'),
  quantity('heightMm', 'millimetre', -1000, 1000, 100, 'Height of the ground behind it, relative to that before it; negative: down'),
  quantity('overM', 'metre', 0.05, 100, 0.3, 'Length of the slope between the two'),
];

/** Limits of what a field may have. */
export const SEGMENTS_MAX = 100;
export const PLACED_STONES_MAX = 1000;
export const STEPS_MAX = 200;
