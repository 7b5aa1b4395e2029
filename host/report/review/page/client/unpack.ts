import type { PackedCurve, PackedTrack, PackedTracks, PackedViews } from '../pack.js';

/*
 * The client code runs in the browser. Its files are compiled like all others and joined in the page as one module
 * (review-page.ts), so their names must be unique and they import only types and each other.
 */

export type Values = (number | null)[];

/** One side of a track, ready to draw. */
export interface SideCurve {
  readonly min: Values;
  readonly max: Values;
}

export interface PlotTrack {
  readonly signal: string;
  readonly row: number;
  readonly words: readonly string[] | undefined;
  readonly base: SideCurve | undefined;
  readonly head: SideCurve | undefined;
}

/** Tracks over a part of the run. */
export interface PlotPart {
  readonly first: number;
  readonly ticks: number;
  readonly bins: number;
  readonly tracks: readonly PlotTrack[];
}

export interface PlotData {
  readonly packed: PackedViews;
  readonly overview: PlotPart;
  readonly around: PlotPart;
}

export function cumulativeSum(differences: readonly number[]): number[] {
  let sum = 0;
  return differences.map((difference) => {
    sum += difference;
    return sum;
  });
}

function unpackCurve(curve: PackedCurve, { offset, step }: PackedTrack): SideCurve {
  const levels = cumulativeSum(curve.min);
  const min = levels.map((level) => (level < 0 ? null : offset + step * level));
  const max = levels.map((level, bin) => (level < 0 ? null : offset + step * (level + (curve.band?.[bin] ?? 0))));
  return { min, max };
}

function unpackTracks({ tracks, ...part }: PackedTracks): PlotPart {
  return {
    ...part,
    tracks: tracks.map((track) => ({
      signal: track.signal,
      row: track.row,
      words: track.words,
      base: track.base === null ? undefined : unpackCurve(track.base, track),
      head: track.head === null ? undefined : unpackCurve(track.head, track),
    })),
  };
}

/** Reverses packViews() of pack.ts. */
export async function unpackViews(text: string): Promise<PlotData> {
  const bytes = Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate-raw'));
  const packed = (await new Response(stream).json()) as PackedViews;
  return { packed, overview: unpackTracks(packed.overview), around: unpackTracks(packed.around) };
}
