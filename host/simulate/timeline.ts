/*
 * When things happen. Tick k is the time from k to k + 1 ticks; a change at a tick takes effect at its start.
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
  'liftSwitchBounceMs',
] as const;
export type DriveField = (typeof DRIVE_FIELDS)[number];

/** The plant's InjectedFaults record of a sound row. */
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
  supplyFlowRatio: 1,
  returnFlowRatio: 1,
  gasLeftRatio: 1,
  gasLossS: 0,
  loadSensor: 0,
  pressureSensor: 0,
  accelerationSensor: 0,
  loadOffsetN: 0,
  loadDriftNPerMin: 0,
  loadGainRatio: 1,
  loadSwingN: 0,
  pressureOffsetKpa: 0,
  accelerationBiasMps2: 0,
  accelerationScaleRatio: 1,
  accelerationTiltDeg: 0,
  soilAhead: 0,
  soilAheadGainRatio: 1,
  soilAheadDelayS: 0,
  placeSupply: 0,
  placeReturn: 0,
} as const;
export type InjectedFaultField = keyof typeof NO_INJECTED_FAULTS;

/** A value at a time, s. */
export interface Point {
  readonly atS: number;
  readonly value: number;
}

/** A field of the drive over time: linear between its points, or held until the next one. The first point is at 0 s. */
export interface Course {
  readonly field: DriveField;
  readonly shape: 'ramp' | 'hold';
  readonly points: readonly Point[];
}

/** A value that a field has from one tick until another, exclusive. */
export interface TimedValue {
  readonly field: DriveField | InjectedFaultField;
  /** Counted from 1; 0 for the bank. */
  readonly row: number;
  readonly value: number;
  readonly fromTick: number;
  readonly untilTick: number;
  /** Nothing changes at the end: the plant resets the field itself, or what happened stays. */
  readonly once: boolean;
}

/** A change of a field in a row's InjectedFaults record. The row is counted from 1. */
export interface Change {
  readonly row: number;
  readonly field: InjectedFaultField;
  readonly value: number;
}

export interface Plan {
  readonly ticks: number;
  readonly tickHz: number;
  /** One course for every field of the drive. */
  readonly courses: readonly Course[];
  /** Those of the same field and row do not overlap. */
  readonly timedValues: readonly TimedValue[];
  /** Ticks before which the controller restarts. */
  readonly restarts: readonly number[];
}

interface Step {
  readonly tick: number;
  readonly value: number;
}

/** Evaluates a course. Ascending ticks need no search. */
class Follower {
  #at = 0;

  constructor(
    private readonly isRamp: boolean,
    private readonly steps: readonly Step[],
  ) {}

  get isConstant(): boolean {
    return this.steps.length === 1;
  }

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

/** Steps of one field with timedValues. Where one timedValue starts as another ends, the new one counts. */
function stepsOf(timedValues: readonly TimedValue[], normal: number): Step[] {
  const steps = new Map<number, number>();
  for (const { untilTick, once } of timedValues) if (!once) steps.set(untilTick, normal);
  for (const { fromTick, value } of timedValues) steps.set(fromTick, value);
  return [...steps].map(([tick, value]) => ({ tick, value })).sort((one, other) => one.tick - other.tick);
}

type OfRow = TimedValue & { readonly field: InjectedFaultField };
const isOfRow = (timedValue: TimedValue): timedValue is OfRow => timedValue.row > 0;

/** What a scenario's drive and events do to the plant, tick by tick. */
export class Timeline {
  readonly ticks: number;
  readonly tickHz: number;
  readonly #drive: Record<DriveField, number>;
  /** Of the fields that change in the course of a run. */
  readonly #followers: readonly (readonly [DriveField, Follower])[];
  readonly #changes = new Map<number, Change[]>();
  readonly #restarts: ReadonlySet<number>;

  constructor({ ticks, tickHz, courses, timedValues, restarts }: Plan) {
    this.ticks = ticks;
    this.tickHz = tickHz;
    this.#restarts = new Set(restarts);
    this.#drive = Object.fromEntries(DRIVE_FIELDS.map((field) => [field, 0])) as Record<DriveField, number>;
    const followers = courses.map((course) => [course.field, this.#follower(course, timedValues)] as const);
    for (const [field, follower] of followers) this.#drive[field] = follower.valueAt(-1);
    this.#followers = followers.filter(([, follower]) => !follower.isConstant);
    this.#collectChanges(timedValues.filter(isOfRow));
  }

  #follower({ field, shape, points }: Course, timedValues: readonly TimedValue[]): Follower {
    const isRamp = shape === 'ramp';
    const steps = points.map(({ atS, value }) => ({ tick: isRamp ? atS * this.tickHz : Math.round(atS * this.tickHz), value }));
    const ofField = timedValues.filter((one) => one.field === field && one.row === 0);
    if (ofField.length === 0) return new Follower(isRamp, steps);
    const normal = points[0]?.value ?? 0;
    return new Follower(false, [{ tick: -1, value: normal }, ...stepsOf(ofField, normal)]);
  }

  #collectChanges(timedValues: readonly OfRow[]): void {
    const groups = new Map<string, OfRow[]>();
    for (const one of timedValues) {
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
   * Returns every field of the Drive record in a tick: of a ramp the value at the end of the tick. Tick −1 is the state at the
   * start. The object is reused for the next tick. Ticks may come in any order; ascending ticks need no search.
   */
  driveAt(tick: number): Readonly<Record<DriveField, number>> {
    for (const [field, follower] of this.#followers) this.#drive[field] = follower.valueAt(tick);
    return this.#drive;
  }

  /** Returns the fields of InjectedFaults that change at the start of a tick; they start as NO_INJECTED_FAULTS. */
  changes(tick: number): readonly Change[] {
    return this.#changes.get(tick) ?? [];
  }

  /** Whether the controller restarts before this tick. */
  restarts(tick: number): boolean {
    return this.#restarts.has(tick);
  }
}
