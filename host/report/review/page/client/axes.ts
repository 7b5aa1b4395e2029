import type { PlotPart, PlotTrack, Values } from './unpack.js';

/** Space left and right of plots and lanes, px: the same for all, so that their time axes line up. */
export const LEFT_PX = 84;
export const RIGHT_PX = 18;

/** The visible ticks. */
export interface Range {
  readonly min: number;
  readonly max: number;
}

/** A number with a fixed number of digits and a typographic minus. */
export const digits = (value: number, count = 4): string => String(Number(value.toPrecision(count))).replace('-', '−');

export const inSeconds = (ticks: number, tickHz: number): string => `${Number((ticks / tickHz).toFixed(4))} s`;

/** Text of a track's value. */
export const valueText = (value: number, words: readonly string[] | undefined): string => words?.[value] ?? digits(value, 6);

/** Limits of a track's scale, with a margin around the values of both sides. */
export function scaleOf({ words, base, head }: PlotTrack): [number, number] {
  if (words !== undefined) return [-0.4, words.length - 0.6];
  const values = [base, head].flatMap((side) => (side === undefined ? [] : [...side.min, ...side.max])).filter((one) => one !== null);
  const min = values.reduce((end, value) => Math.min(end, value), Number.POSITIVE_INFINITY);
  const max = values.reduce((end, value) => Math.max(end, value), Number.NEGATIVE_INFINITY);
  if (min > max) return [0, 1];
  const margin = (max - min) * 0.06 || Math.abs(max) * 0.1 || 1;
  return [min - margin, max + margin];
}

/** Whether a track holds each value until the next one: enumerations do, and single ticks. */
export const isStepped = (track: PlotTrack, { ticks, bins }: PlotPart): boolean => track.words !== undefined || ticks <= bins;

/** Columns for the plotting library: time, minimum and maximum of base, minimum and maximum of head. */
export function columnsOf(track: PlotTrack, part: PlotPart): [number[], ...Values[]] {
  const width = part.ticks / part.bins;
  const stepped = isStepped(track, part);
  const times = Array.from({ length: part.bins }, (_, bin) => part.first + (bin + (stepped ? 0 : 0.5)) * width);
  const none: Values = times.map(() => null);
  const sides = [track.base?.min ?? none, track.base?.max ?? none, track.head?.min ?? none, track.head?.max ?? none];
  if (!stepped) return [times, ...sides];
  // The last step has a width too.
  return [[...times, part.first + part.ticks], ...sides.map((values) => [...values, values.at(-1) ?? null])];
}

/** Limits a range to the whole, with a minimum width of a few ticks. */
export function within({ min, max }: Range, whole: Range): Range {
  const width = Math.min(whole.max - whole.min, Math.max(4, max - min));
  const middle = (min + max) / 2;
  const start = Math.min(Math.max(middle - width / 2, whole.min), whole.max - width);
  return { min: start, max: start + width };
}

/** Current colours of the style sheet, by the names of its variables. */
export function currentInks(): Readonly<Record<'ground' | 'ink' | 'faint' | 'rule' | 'base' | 'head' | 'baseband' | 'headband', string>> {
  const style = getComputedStyle(document.documentElement);
  const ink = (name: string): string => style.getPropertyValue(`--${name}`).trim();
  return {
    ground: ink('ground'),
    ink: ink('ink'),
    faint: ink('faint'),
    rule: ink('rule'),
    base: ink('base'),
    head: ink('head'),
    baseband: ink('baseband'),
    headband: ink('headband'),
  };
}
