/** Speed at a time, and the distance up to there. */
export interface Motion {
  readonly atS: number;
  readonly atM: number;
  readonly speedMps: number;
}

/** Something that happens during the pass, with what its file says about it. */
export interface Happening {
  readonly atS: number;
  readonly atM: number;
  readonly text: string;
}

/** How a scenario drives, and what happens on the way. */
export interface Pass {
  readonly lengthM: number;
  /** From 0 s on; the speed is linear in time from one to the next, and then constant. */
  readonly motions: readonly Motion[];
  /** Changes of the drive after its start. */
  readonly drive: readonly Happening[];
  readonly events: readonly Happening[];
}

const AT_REST: Motion = { atS: 0, atM: 0, speedMps: 0 };

/** The last of the motions that is not after a time or distance, and the acceleration from there on. */
function from(motions: readonly Motion[], by: 'atS' | 'atM', at: number): { start: Motion; gainMps2: number } {
  const index = motions.findLastIndex((one) => one[by] <= at);
  const start = motions[index] ?? AT_REST;
  const next = motions[index + 1];
  return { start, gainMps2: next === undefined ? 0 : (next.speedMps - start.speedMps) / (next.atS - start.atS) };
}

/** Distance at a time, m. */
export function distanceAt(motions: readonly Motion[], seconds: number): number {
  const { start, gainMps2 } = from(motions, 'atS', seconds);
  const elapsedS = seconds - start.atS;
  return start.atM + elapsedS * (start.speedMps + 0.5 * gainMps2 * elapsedS);
}

/** Speed at a distance, m/s; NaN where the machine never gets. */
export function speedAt(motions: readonly Motion[], distanceM: number): number {
  const { start, gainMps2 } = from(motions, 'atM', distanceM);
  return Math.sqrt(start.speedMps ** 2 + 2 * gainMps2 * (distanceM - start.atM));
}

/** Time at a distance, s; not finite where the machine never gets. The mean of the speeds at both ends holds for a = 0, too. */
export function timeAt(motions: readonly Motion[], distanceM: number): number {
  const { start } = from(motions, 'atM', distanceM);
  const leftM = distanceM - start.atM;
  return leftM === 0 ? start.atS : start.atS + (2 * leftM) / (start.speedMps + speedAt(motions, distanceM));
}

/** `speedMps 3, lowered true`, or `valve-leak, row 2`: what is written, without its place. */
function textOf(written: object): string {
  const { atS: _, atM: __, what, ...values } = written as Readonly<Record<string, unknown>>;
  const texts = Object.entries(values).map(([key, value]) => `${key} ${[value].flat().join(', ')}`);
  return [...(what === undefined ? [] : [what]), ...texts].join(', ');
}

/**
 * Returns the pass of a scenario.
 * @param drive, events as written
 * @param times of the key points and of the events, s
 */
export function passOf(
  motions: readonly Motion[],
  seconds: number,
  drive: readonly object[],
  events: readonly object[],
  times: { readonly drive: readonly number[]; readonly events: readonly number[] },
): Pass {
  const happenings = (written: readonly object[], atS: readonly number[]): Happening[] =>
    written.map((one, index) => ({ atS: atS[index] ?? 0, atM: distanceAt(motions, atS[index] ?? 0), text: textOf(one) }));
  return {
    lengthM: distanceAt(motions, seconds),
    motions,
    drive: happenings(drive, times.drive).filter((one) => one.atS > 0),
    events: happenings(events, times.events),
  };
}
