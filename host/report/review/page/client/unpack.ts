import type { PackedCurve, PackedSight, PackedTrack, PackedTracks } from '../pack.js';

/*
 * The page's own code runs in a browser. Its files are compiled like all others and put together in the page as one module
 * (review-page.ts), so their names must differ and they import nothing but each other.
 */

export type Values = (number | null)[];

/** A side of a track, ready to be drawn. */
export interface Side {
  readonly least: Values;
  readonly most: Values;
}

export interface SeenTrack {
  readonly signal: string;
  readonly row: number;
  readonly words: readonly string[] | undefined;
  readonly old: Side | undefined;
  readonly now: Side | undefined;
}

/** Some tracks over a part of the run. */
export interface SeenPart {
  readonly first: number;
  readonly ticks: number;
  readonly stretches: number;
  readonly tracks: readonly SeenTrack[];
}

export interface Seen {
  readonly packed: PackedSight;
  readonly overview: SeenPart;
  readonly around: SeenPart;
}

/** Sums up differences. */
export function summed(differences: readonly number[]): number[] {
  let sum = 0;
  return differences.map((difference) => {
    sum += difference;
    return sum;
  });
}

function unpackCurve(curve: PackedCurve, { at, step }: PackedTrack): Side {
  const levels = summed(curve.least);
  const least = levels.map((level) => (level < 0 ? null : at + step * level));
  const most = levels.map((level, index) => (level < 0 ? null : at + step * (level + (curve.band?.[index] ?? 0))));
  return { least, most };
}

function unpackTracks({ tracks, ...part }: PackedTracks): SeenPart {
  return {
    ...part,
    tracks: tracks.map((track) => ({
      signal: track.signal,
      row: track.row,
      words: track.words,
      old: track.old === null ? undefined : unpackCurve(track.old, track),
      now: track.new === null ? undefined : unpackCurve(track.new, track),
    })),
  };
}

/** Turns round what pack.ts did. */
export async function unpackSight(text: string): Promise<Seen> {
  const bytes = Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate-raw'));
  const packed = (await new Response(stream).json()) as PackedSight;
  return { packed, overview: unpackTracks(packed.overview), around: unpackTracks(packed.around) };
}
