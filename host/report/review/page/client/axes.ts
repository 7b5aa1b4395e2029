import type { SeenPart, SeenTrack, Values } from './unpack.js';

/** Room for names left of plots and lanes, and to their right, px: the same, so that they stand above each other. */
export const LEFT_PX = 84;
export const RIGHT_PX = 18;

/** A part of the time that is shown, in ticks. */
export interface Range {
  readonly min: number;
  readonly max: number;
}

/** A number to so many digits, with a real minus. */
export const digits = (value: number, most = 4): string => String(Number(value.toPrecision(most))).replace('-', '−');

export const inSeconds = (ticks: number, tickHz: number): string => `${Number((ticks / tickHz).toFixed(4))} s`;

/** What a track's value is called. */
export const valueWords = (value: number, words: readonly string[] | undefined): string => words?.[value] ?? digits(value, 6);

/** Ends of a track's scale: a little beyond what is shown of both sides. */
export function endsOf({ words, old, now }: SeenTrack): [number, number] {
  if (words !== undefined) return [-0.4, words.length - 0.6];
  const values = [old, now].flatMap((side) => (side === undefined ? [] : [...side.least, ...side.most])).filter((one) => one !== null);
  const least = values.reduce((end, value) => Math.min(end, value), Number.POSITIVE_INFINITY);
  const most = values.reduce((end, value) => Math.max(end, value), Number.NEGATIVE_INFINITY);
  if (least > most) return [0, 1];
  const margin = (most - least) * 0.06 || Math.abs(most) * 0.1 || 1;
  return [least - margin, most + margin];
}

/** Whether a track holds its values until the next one: words do, and single ticks. */
export const isStepped = (track: SeenTrack, { ticks, stretches }: SeenPart): boolean => track.words !== undefined || ticks <= stretches;

/** Places and values of a part as the plotting library wants them: time, least and most old, least and most new. */
export function columnsOf(track: SeenTrack, part: SeenPart): [number[], ...Values[]] {
  const width = part.ticks / part.stretches;
  const stepped = isStepped(track, part);
  const begins = Array.from({ length: part.stretches }, (_, at) => part.first + (at + (stepped ? 0 : 0.5)) * width);
  const none: Values = begins.map(() => null);
  const sides = [track.old?.least ?? none, track.old?.most ?? none, track.now?.least ?? none, track.now?.most ?? none];
  if (!stepped) return [begins, ...sides];
  // The last step has a width too.
  return [[...begins, part.first + part.ticks], ...sides.map((values) => [...values, values.at(-1) ?? null])];
}

/** A range brought back into the whole, and no narrower than a few ticks. */
export function within({ min, max }: Range, whole: Range): Range {
  const width = Math.min(whole.max - whole.min, Math.max(4, max - min));
  const middle = (min + max) / 2;
  const begin = Math.min(Math.max(middle - width / 2, whole.min), whole.max - width);
  return { min: begin, max: begin + width };
}

/** Colours as the style has them now, by the names of its variables. */
export function inksNow(): Readonly<Record<'ground' | 'ink' | 'faint' | 'rule' | 'old' | 'new' | 'oldband' | 'newband', string>> {
  const style = getComputedStyle(document.documentElement);
  const ink = (name: string): string => style.getPropertyValue(`--${name}`).trim();
  return {
    ground: ink('ground'),
    ink: ink('ink'),
    faint: ink('faint'),
    rule: ink('rule'),
    old: ink('old'),
    new: ink('new'),
    oldband: ink('oldband'),
    newband: ink('newband'),
  };
}
