import { deflateRawSync } from 'node:zlib';
import type { Curve, Opening, RunReview, RunViews, Track, Tracks } from '../../../review/review.js';
import { type EqualValues, equalValuesOf } from './equal-values.js';
import type { Limits } from './limits.js';

/*
 * The curves of fifty runs as plain numbers would take tens of megabytes. They are rounded to a fraction of their range too small to
 * see, written as differences, and deflated; client/unpack.ts reverses that.
 */

/** Levels between minimum and maximum of a track around a first difference, where values are read off. */
const AROUND_LEVELS = 2 ** 16;

/** A curve in levels, each as the difference to the one before; −1 is a bin without a number. */
export interface PackedCurve {
  readonly min: readonly number[];
  /** Levels from minimum to maximum; left out if all are 0. */
  readonly band?: readonly number[];
}

export interface PackedTrack {
  readonly signal: string;
  readonly row: number;
  readonly unit: string;
  readonly words?: readonly string[] | undefined;
  /** A level stands for offset + step · level. */
  readonly offset: number;
  readonly step: number;
  readonly base: PackedCurve | null;
  readonly head: PackedCurve | null;
}

export interface PackedTracks {
  readonly first: number;
  readonly ticks: number;
  readonly bins: number;
  readonly tracks: readonly PackedTrack[];
}

export interface PackedLane {
  readonly row: number;
  readonly valve: string;
  /** Ticks of opening, closing, opening, …, each as the difference to the one before. */
  readonly base: readonly number[];
  readonly head: readonly number[];
  /** Ticks of changed strokes on each side. */
  readonly changes: readonly (readonly [base: number | null, head: number | null])[];
}

/** Data for the plots of a run. */
export interface PackedViews {
  readonly tickHz: number;
  readonly marks: readonly { readonly tick: number; readonly label: string }[];
  readonly overview: PackedTracks;
  readonly around: PackedTracks;
  readonly lanes: readonly PackedLane[];
  /** Of each state, in order; empty if the page contains them as text. */
  readonly equalValues: readonly (readonly EqualValues[])[];
}

const isNumber = (value: number | null): value is number => value !== null && Number.isFinite(value);

/** All values of a track on both sides. */
const valuesOf = ({ base, head }: Track): number[] =>
  [base, head].flatMap((curve) => (curve === null ? [] : [...curve.min, ...curve.max])).filter(isNumber);

const differences = (values: readonly number[]): number[] => values.map((value, index) => value - (values[index - 1] ?? 0));

function packCurve(curve: Curve, levelOf: (value: number | null) => number): PackedCurve {
  const min = curve.min.map(levelOf);
  const band = curve.max.map((max, bin) => levelOf(max) - (min[bin] ?? 0));
  return { min: differences(min), ...(band.some((width) => width !== 0) ? { band } : {}) };
}

function packTrack(track: Track, levels: number): PackedTrack {
  const { signal, row, unit, words, base, head } = track;
  const values = valuesOf(track);
  const offset = values.reduce((min, value) => Math.min(min, value), values[0] ?? 0);
  const range = values.reduce((max, value) => Math.max(max, value), offset) - offset;
  // Integers are kept exactly.
  const isExact = range <= levels && values.every(Number.isInteger);
  const step = isExact || range === 0 ? 1 : range / levels;
  const levelOf = (value: number | null): number => (isNumber(value) ? Math.round((value - offset) / step) : -1);
  const pack = (curve: Curve | null): PackedCurve | null => (curve === null ? null : packCurve(curve, levelOf));
  return { signal, row, unit, words, offset, step, base: pack(base), head: pack(head) };
}

const packTracks = ({ first, ticks, bins, tracks }: Tracks, levels: number): PackedTracks => ({
  first,
  ticks,
  bins,
  tracks: tracks.map((track) => packTrack(track, levels)),
});

const packOpenings = (openings: readonly Opening[]): number[] => differences(openings.flat());

/** The data for a run's plots, deflated and in base 64. */
export function packViews(
  { tickHz, strokes, first, firstOutput, stopped }: RunReview,
  views: RunViews,
  { levels, hasEqualValues }: Limits,
): string {
  const { overview, around, lanes } = views;
  const marks = [
    ...(first === undefined ? [] : [{ tick: Math.max(0, first.tick), label: 'first difference' }]),
    ...(firstOutput === undefined || firstOutput.tick === first?.tick ? [] : [{ tick: firstOutput.tick, label: 'first output' }]),
    ...(stopped.base === undefined ? [] : [{ tick: stopped.base.tick, label: 'base stopped' }]),
    ...(stopped.head === undefined ? [] : [{ tick: stopped.head.tick, label: 'head stopped' }]),
  ];
  const packed: PackedViews = {
    tickHz,
    marks,
    overview: packTracks(overview, levels),
    around: packTracks(around, AROUND_LEVELS),
    lanes: lanes.map(({ row, valve, base, head }) => ({
      row,
      valve,
      base: packOpenings(base),
      head: packOpenings(head),
      changes: strokes.changes
        .filter((change) => change.row === row && change.valve === valve)
        .map((change) => [change.base ?? null, change.head ?? null] as const),
    })),
    equalValues: hasEqualValues ? [] : views.states.map(equalValuesOf),
  };
  return deflateRawSync(JSON.stringify(packed), { level: 9 }).toString('base64');
}
