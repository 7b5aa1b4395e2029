import { deflateRawSync } from 'node:zlib';
import type { Curve, Opening, RunReview, Sight, Track, Tracks } from '../../../review/review.js';
import { type Alike, alikeOf } from './alike.js';
import type { Room } from './room.js';

/*
 * Curves of fifty runs as plain numbers would be tens of megabytes. They are rounded to a part of their own range, which no eye
 * can see, written as differences, and deflated; the page's own code (client/unpack.ts) turns that round.
 */

/** Levels between the least and the most value of a track around a parting, where values are read off. */
const AROUND_LEVELS = 2 ** 16;

/** A curve in levels, each as the difference to the one before; −1 is a stretch without a number. */
export interface PackedCurve {
  readonly least: readonly number[];
  /** Levels from least to most; left out where there is none between them. */
  readonly band?: readonly number[];
}

export interface PackedTrack {
  readonly signal: string;
  readonly row: number;
  readonly unit: string;
  readonly words?: readonly string[] | undefined;
  /** A level is at + step · level. */
  readonly at: number;
  readonly step: number;
  readonly old: PackedCurve | null;
  readonly new: PackedCurve | null;
}

export interface PackedTracks {
  readonly first: number;
  readonly ticks: number;
  readonly stretches: number;
  readonly tracks: readonly PackedTrack[];
}

export interface PackedLane {
  readonly row: number;
  readonly valve: string;
  /** Ticks of opening, closing, opening, …, each as the difference to the one before. */
  readonly old: readonly number[];
  readonly new: readonly number[];
  /** Strokes that changed: tick on the old side, on the new one. */
  readonly changes: readonly (readonly [old: number | null, now: number | null])[];
}

/** What a run's plots are drawn from. */
export interface PackedSight {
  readonly tickHz: number;
  readonly marks: readonly { readonly tick: number; readonly words: string }[];
  readonly overview: PackedTracks;
  readonly around: PackedTracks;
  readonly lanes: readonly PackedLane[];
  /** For each state in its order; empty where they stand in the page as text. */
  readonly alike: readonly (readonly Alike[])[];
}

const isNumber = (value: number | null): value is number => value !== null && Number.isFinite(value);

/** All values of a track on both sides. */
export const valuesOf = ({ old, new: now }: Track): number[] =>
  [old, now].flatMap((curve) => (curve === null ? [] : [...curve.least, ...curve.most])).filter(isNumber);

const differences = (values: readonly number[]): number[] => values.map((value, index) => value - (values[index - 1] ?? 0));

function packCurve(curve: Curve, levelOf: (value: number | null) => number): PackedCurve {
  const least = curve.least.map(levelOf);
  const band = curve.most.map((most, at) => levelOf(most) - (least[at] ?? 0));
  return { least: differences(least), ...(band.some((width) => width !== 0) ? { band } : {}) };
}

function packTrack(track: Track, levels: number): PackedTrack {
  const { signal, row, unit, words, old, new: now } = track;
  const values = valuesOf(track);
  const at = values.reduce((least, value) => Math.min(least, value), values[0] ?? 0);
  const range = values.reduce((most, value) => Math.max(most, value), at) - at;
  // Whole numbers stay what they are.
  const isWhole = range <= levels && values.every(Number.isInteger);
  const step = isWhole || range === 0 ? 1 : range / levels;
  const levelOf = (value: number | null): number => (isNumber(value) ? Math.round((value - at) / step) : -1);
  const pack = (curve: Curve | null): PackedCurve | null => (curve === null ? null : packCurve(curve, levelOf));
  return { signal, row, unit, words, at, step, old: pack(old), new: pack(now) };
}

const packTracks = ({ first, ticks, stretches, tracks }: Tracks, levels: number): PackedTracks => ({
  first,
  ticks,
  stretches,
  tracks: tracks.map((track) => packTrack(track, levels)),
});

const packOpenings = (openings: readonly Opening[]): number[] => differences(openings.flat());

/** What the script draws of a run, deflated, in base 64. */
export function packSight({ tickHz, strokes, first, stopped }: RunReview, sight: Sight, { levels, isAlikeText }: Room): string {
  const { overview, around, lanes } = sight;
  const marks = [
    ...(first === undefined ? [] : [{ tick: Math.max(0, first.tick), words: 'parting' }]),
    ...(stopped.old === undefined ? [] : [{ tick: stopped.old.tick, words: 'old stopped' }]),
    ...(stopped.new === undefined ? [] : [{ tick: stopped.new.tick, words: 'new stopped' }]),
  ];
  const packed: PackedSight = {
    tickHz,
    marks,
    overview: packTracks(overview, levels),
    around: packTracks(around, AROUND_LEVELS),
    lanes: lanes.map(({ row, valve, old, new: now }) => ({
      row,
      valve,
      old: packOpenings(old),
      new: packOpenings(now),
      changes: strokes.changes
        .filter((change) => change.row === row && change.valve === valve)
        .map((change) => [change.old ?? null, change.new ?? null] as const),
    })),
    alike: isAlikeText ? [] : sight.states.map(alikeOf),
  };
  return deflateRawSync(JSON.stringify(packed), { level: 9 }).toString('base64');
}
