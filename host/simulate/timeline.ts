/*
 * What happens when. A tick's number k stands for the time from k to k + 1 ticks; what changes at a tick is so from its begin.
 */

/** Fields of the plant's Drive record. */
export const DRIVE_FIELDS = [
  'speedMps',
  'targetLoadN',
  'lowered',
  'enabled',
  'shutDown',
  'oilC',
  'airC',
  'sourceV',
  'railRatio',
  'gradePercent',
  'sideSlopePercent',
  'busLost',
  'speedLost',
  'railSensor',
] as const;
export type DriveField = (typeof DRIVE_FIELDS)[number];

/** The plant's Trouble record of a row with which nothing is wrong. */
export const NO_INJECTED_FAULTS = {
  off: 0,
  missRatio: 0,
  missSupplyOpens: 0,
  missSupplyCloses: 0,
  missReturnOpens: 0,
  missReturnCloses: 0,
  supplyStuck: 0,
  returnStuck: 0,
  supplyLeakMlPerMin: 0,
  returnLeakMlPerMin: 0,
  flowRatio: 1,
  loadSensor: 0,
  pressureSensor: 0,
  accelerationSensor: 0,
  loadOffsetN: 0,
  loadSwingN: 0,
  pressureOffsetKpa: 0,
  placeSupply: 0,
  placeReturn: 0,
} as const;
export type InjectedFaultField = keyof typeof NO_INJECTED_FAULTS;

/** A value at a time, s. */
export interface Point {
  readonly atS: number;
  readonly value: number;
}

/** How a field of the drive goes from point to point: in a straight line, or held until the next one. The first is at 0 s. */
export interface Course {
  readonly field: DriveField;
  readonly goes: 'ramp' | 'hold';
  readonly points: readonly Point[];
}

/** A value that a field has from one tick on, until before another one. */
export interface Happening {
  readonly field: DriveField | InjectedFaultField;
  /** Counted from 1; 0 for the bank. */
  readonly row: number;
  readonly value: number;
  readonly fromTick: number;
  readonly untilTick: number;
  /** The plant itself takes it back: nothing changes at its end. */
  readonly once: boolean;
}

/** A field of a row's Trouble record that gets another value. The row is counted from 1. */
export interface Change {
  readonly row: number;
  readonly field: InjectedFaultField;
  readonly value: number;
}

export interface Plan {
  readonly ticks: number;
  readonly tickHz: number;
  /** A course for every field of the drive. */
  readonly courses: readonly Course[];
  /** Those of one field and row do not overlap. */
  readonly happenings: readonly Happening[];
  /** Ticks before which the controller is started anew. */
  readonly restarts: readonly number[];
}

interface Step {
  readonly tick: number;
  readonly value: number;
}

/** Follows a course; asked for later and later ticks it only ever looks at the next point. */
class Follower {
  #at = 0;

  constructor(
    private readonly isRamp: boolean,
    private readonly steps: readonly Step[],
  ) {}

  valueAt(tick: number): number {
    const { steps, isRamp } = this;
    const time = isRamp ? tick + 1 : tick;
    if (time < (steps[this.#at]?.tick ?? 0)) this.#at = 0;
    while ((steps[this.#at + 1]?.tick ?? Number.POSITIVE_INFINITY) <= time) this.#at++;
    const here = steps[this.#at];
    const next = steps[this.#at + 1];
    if (here === undefined) return Number.NaN;
    if (!isRamp || next === undefined) return here.value;
    return here.value + ((next.value - here.value) * (time - here.tick)) / (next.tick - here.tick);
  }
}

/** Values from tick to tick that happenings of one field make out of its usual value. Where one begins as another ends, it counts. */
function stepsOf(happenings: readonly Happening[], usual: number): Step[] {
  const steps = new Map<number, number>();
  for (const { untilTick, once } of happenings) if (!once) steps.set(untilTick, usual);
  for (const { fromTick, value } of happenings) steps.set(fromTick, value);
  return [...steps].map(([tick, value]) => ({ tick, value })).sort((one, other) => one.tick - other.tick);
}

type OfRow = Happening & { readonly field: InjectedFaultField };
const isOfRow = (happening: Happening): happening is OfRow => happening.row > 0;

/** What a scenario's key moments and events do to the plant, tick by tick. */
export class Timeline {
  readonly ticks: number;
  readonly tickHz: number;
  readonly #drive: Record<DriveField, number>;
  readonly #followers: readonly (readonly [DriveField, Follower])[];
  readonly #changes = new Map<number, Change[]>();
  readonly #restarts: ReadonlySet<number>;

  constructor({ ticks, tickHz, courses, happenings, restarts }: Plan) {
    this.ticks = ticks;
    this.tickHz = tickHz;
    this.#restarts = new Set(restarts);
    this.#drive = Object.fromEntries(DRIVE_FIELDS.map((field) => [field, 0])) as Record<DriveField, number>;
    this.#followers = courses.map((course) => [course.field, this.#follower(course, happenings)]);
    this.#collectChanges(happenings.filter(isOfRow));
  }

  #follower({ field, goes, points }: Course, happenings: readonly Happening[]): Follower {
    const isRamp = goes === 'ramp';
    const steps = points.map(({ atS, value }) => ({ tick: isRamp ? atS * this.tickHz : Math.round(atS * this.tickHz), value }));
    const own = happenings.filter((one) => one.field === field && one.row === 0);
    if (own.length === 0) return new Follower(isRamp, steps);
    const usual = points[0]?.value ?? 0;
    return new Follower(false, [{ tick: -1, value: usual }, ...stepsOf(own, usual)]);
  }

  #collectChanges(happenings: readonly OfRow[]): void {
    const groups = new Map<string, OfRow[]>();
    for (const one of happenings) {
      const key = `${one.row} ${one.field}`;
      groups.set(key, [...(groups.get(key) ?? []), one]);
    }
    for (const group of groups.values()) {
      const [{ row, field }] = group as [OfRow];
      for (const { tick, value } of stepsOf(group, NO_INJECTED_FAULTS[field])) {
        this.#changes.set(tick, [...(this.#changes.get(tick) ?? []), { row, field, value }]);
      }
    }
  }

  /**
   * Every field of the Drive record in a tick: what ramps is as at the tick's end, what holds as it is all through it. Tick −1
   * is how things stand at the start. The object is used again for the next tick. Ticks may come in any order; in ascending
   * order they take no search.
   */
  driveAt(tick: number): Readonly<Record<DriveField, number>> {
    for (const [field, follower] of this.#followers) this.#drive[field] = follower.valueAt(tick);
    return this.#drive;
  }

  /** Fields of the Trouble records that change at a tick's begin; all start as NO_INJECTED_FAULTS. */
  changes(tick: number): readonly Change[] {
    return this.#changes.get(tick) ?? [];
  }

  /** Whether the controller is started anew before this tick. */
  restarts(tick: number): boolean {
    return this.#restarts.has(tick);
  }
}
