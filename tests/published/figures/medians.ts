/** Medians of 3 of a series, the ends filled with the nearest value: scipy 1.17.1 `ndimage.median_filter(x, size=3, mode='nearest')`. */
export const SERIES = [3, 1, 4, 1, 5, 9, 2, 6, 5, 3, 5, 8, 9, 7, 9, 100, 3, 2, -50, 8] as const;
export const MEDIANS_NEAREST = [3, 3, 1, 4, 5, 5, 6, 5, 5, 5, 5, 8, 8, 9, 9, 9, 3, 2, 2, 8] as const;
/** The same with zeros beyond the ends: scipy 1.17.1 `signal.medfilt(x, 3)`; GNU Octave `medfilt1` agrees. */
export const MEDIANS_ZERO = [1, 3, 1, 4, 5, 5, 6, 5, 5, 5, 5, 8, 8, 9, 9, 9, 3, 2, 2, 0] as const;
