import { plantLayout } from '../../host/contract/plant-layout.js';
import { createWasmRunner, type MemoryField, type WasmRunner } from '../../host/runner/wasm-runner.js';
import { loadPlant, type Plant } from '../../host/simulate/plant.js';
import { ClosedLoop } from '../../host/simulate/run.js';
import { readScenario, type Scenario } from '../../host/simulate/scenario.js';
import { controller } from './bench.js';
import { Noise } from './noise.js';
import { PROJECT } from './project.js';

/*
 * Cuts the power of a simulated machine for good, in many ticks of a scenario. The scenario runs once; at each cut the memories
 * of controller and plant are copied, what follows the cut is simulated, and the memories are restored.
 */

const VALVES = ['supply', 'return'] as const;
const CLOSED = 1;
const OPEN = 2;
/** Time after a cut, and after venting, within which all valves must be closed, or known not to be. */
const AFTER_MS = 300;
/** Only the start of a longer scenario is run. */
const RUN_S = 20;
/** After one cut of this many, the rest is watched too: nothing may be owed for long, and no valve be opened. */
const LONG_CUT = 50;
/** Armatures that still move after the last stroke come to rest within this time. */
const ARMATURE_TICKS = 10;
/** Time after the last close within which nothing is owed any more: 400 ms of checks for each repeat, in any of the rows of a rough field. */
const OWED_MS = 5000;
/** Time for which the rest is watched. */
const REST_MS = 200;
/** The scenario damages the valve or moves it by hand: it does not follow its orders. */
const DAMAGE = /^place|Stuck$/;

/** What the cuts of a scenario showed. */
export interface CutCounts {
  cuts: number;
  /** Cuts in which at least one valve was open or moving. */
  open: number;
  /** Strokes made without the supply. */
  strokes: number;
  /** Cuts after which the controller reports that valves are not closed, for lack of energy. */
  owing: number;
}

/** The machine's reservoir. */
export interface Reservoir {
  readonly reservoirUf: number;
  readonly chargeOhm: number;
}

class CutBank {
  readonly counts: CutCounts = { cuts: 0, open: 0, strokes: 0, owing: 0 };
  private readonly runner: WasmRunner;
  private readonly loop: ClosedLoop;
  private readonly plant: Plant;
  /** First tick in which the scenario damages a valve of a row. */
  private readonly damagedAt = new Map<number, number>();
  private readonly stuck: MemoryField;
  private readonly closesNeeded: MemoryField;
  private readonly strokesInFlight: MemoryField;
  private readonly venting: MemoryField;
  private readonly strokes: MemoryField;
  private readonly energyMj: MemoryField;
  private readonly suspected: MemoryField;
  private readonly belief: MemoryField;
  private readonly powerMayBeCut: MemoryField;
  private readonly strokeMj: MemoryField;

  constructor(readonly scenario: Scenario) {
    const { seed, parameters } = scenario;
    this.runner = createWasmRunner(controller, scenario.rows, parameters);
    this.loop = new ClosedLoop(this.runner, loadPlant(), scenario, { seed, parameters, actuation: 'latching' });
    this.plant = this.loop.plant;
    this.closesNeeded = this.runner.field('bankProbe', 'closesNeeded');
    this.strokesInFlight = this.runner.field('bankProbe', 'strokesInFlight');
    this.strokes = this.runner.field('bankProbe', 'strokes');
    this.energyMj = this.runner.field('bankProbe', 'energyMj');
    this.venting = this.runner.field('bankState', 'venting');
    this.suspected = this.runner.field('valveState', 'suspected');
    this.stuck = this.runner.field('valveState', 'stuck');
    for (let tick = scenario.timeline.ticks; tick > 0; tick--)
      for (const { row, field } of scenario.timeline.changes(tick)) if (DAMAGE.test(field)) this.damagedAt.set(row - 1, tick);
    this.belief = this.runner.field('valveState', 'belief');
    this.powerMayBeCut = this.runner.field('bankOutput', 'powerMayBeCut');
    this.strokeMj = this.runner.field('parameters', 'strokeMj');
  }

  tick(tick: number): void {
    this.loop.tick(tick);
  }

  /** Plays a cut after a tick, and returns to that tick. @throws Error if a valve is not where the controller believes it is */
  cut(after: number): void {
    const state = this.runner.saveState();
    // Behind it is only the height profile, which never changes.
    const plantMemory = new Uint8Array(this.plant.exports.memory.buffer, 0, plantLayout().end);
    const plantState = plantMemory.slice();
    const { counts } = this;
    if (this.isAnyOpen()) counts.open += 1;
    const before = this.strokes.get(0);
    this.playCut(after, counts.cuts % LONG_CUT === 0);
    counts.cuts += 1;
    counts.strokes += this.strokes.get(0) - before;
    this.check(after);
    this.runner.restoreState(state);
    plantMemory.set(plantState);
  }

  /** Runs until no close has been needed for a while, at most for AFTER_MS. */
  private playCut(after: number, isLong: boolean): void {
    const { shutDownVent = 0, ventMs = 0 } = this.scenario.parameters;
    const last = after + this.ticksOf(AFTER_MS + shutDownVent * ventMs);
    let restTicks = 0;
    let tick = after;
    while (tick < last && restTicks < ARMATURE_TICKS) {
      this.tickWithoutPower(++tick);
      const isAtRest = this.closesNeeded.get(0) === 0 && this.strokesInFlight.get(0) === 0 && this.venting.get(0) === 0;
      restTicks = isAtRest ? restTicks + 1 : 0;
    }
    if (isLong && restTicks === ARMATURE_TICKS && this.isWholesome(after)) this.playRest(after, tick);
  }

  /** A closing stroke may be repeated, on suspicion. Soon nothing must be owed, and no valve is opened any more. */
  private playRest(after: number, from: number): void {
    const last = from + this.ticksOf(OWED_MS);
    let tick = from;
    while (this.powerMayBeCut.get(0) === 0 && tick < last) this.tickWithoutPower(++tick);
    // Its position is not known, so power is never said to be dispensable.
    if (this.isAnyStuck()) return;
    if (this.powerMayBeCut.get(0) === 0) throw new Error(`${this.at(after)}: powerMayBeCut is still 0 after ${OWED_MS} ms`);
    for (let more = 1; more <= this.ticksOf(REST_MS); more++) {
      this.tickWithoutPower(tick + more);
      // On a rough field the detector may still suspect a valve, and have it closed once more.
      if (this.isAnyValve((valve) => this.belief.get(valve) === OPEN))
        throw new Error(`${this.at(after)}: a valve was opened without power`);
    }
  }

  private ticksOf = (ms: number): number => Math.round((ms * this.scenario.tickHz) / 1000);

  private tickWithoutPower(tick: number): void {
    const { plant, runner } = this;
    plant.apply(this.scenario.timeline, tick);
    plant.setNumber('drive', 'sourceV', 0);
    plant.tick();
    runner.input.set(plant.input);
    runner.tick();
    this.loop.passOrders();
  }

  private at = (after: number): string => `${this.scenario.name}, power cut after tick ${after}`;
  private opening = (valve: number): number => this.plant.number('valve', 'opening', valve);
  private isAnyValve = (is: (valve: number) => boolean): boolean =>
    Array.from({ length: 2 * this.scenario.rows }, (_, valve) => valve).some(is);
  private isAnyOpen = (): boolean => this.isAnyValve((valve) => this.opening(valve) > 0);
  private isAnyStuck = (): boolean => this.isAnyValve((valve) => this.stuck.get(valve) !== 0);
  private isWholesome = (after: number): boolean => !this.isAnyValve((valve) => !this.isObedient(valve >> 1, after));
  /** In a row whose valves are damaged, or have missed a stroke, positions are not what was ordered. */
  private isObedient(row: number, after: number): boolean {
    const isDamaged = (this.damagedAt.get(row) ?? Number.POSITIVE_INFINITY) <= after + this.ticksOf(AFTER_MS + OWED_MS);
    return !isDamaged && this.plant.number('rowState', 'missed', row) === 0;
  }

  private check(after: number): void {
    const isOwing = this.closesNeeded.get(0) > 0;
    if (isOwing) this.counts.owing += 1;
    if (isOwing && this.energyMj.get(0) >= this.strokeMj.get(0))
      throw new Error(`${this.at(after)}: ${this.closesNeeded.get(0)} valves are not closed, with ${this.energyMj.get(0)} mJ left`);
    if (isOwing && this.powerMayBeCut.get(0) === 1) throw new Error(`${this.at(after)}: powerMayBeCut with valves that are not closed`);
    for (let valve = 0; valve < 2 * this.scenario.rows; valve++) {
      const row = valve >> 1;
      const isBelievedClosed = this.belief.get(valve) === CLOSED && this.suspected.get(valve) === 0;
      if (isBelievedClosed && this.opening(valve) > 0 && this.isObedient(row, after))
        throw new Error(`${this.at(after)}: row ${row + 1} ${VALVES[valve % 2]} valve is open, but believed closed`);
    }
  }
}

/**
 * Runs a scenario on a machine with a reservoir, and cuts its power after random ticks.
 * @throws Error at the first cut after which a valve is open that should be closed
 */
export function cutPower(name: string, cuts: number, seed: number, reservoir: Reservoir): CutCounts {
  const found = readScenario(PROJECT, name);
  const { machine } = found;
  const scenario: Scenario = {
    ...found,
    machine: { ...machine, values: { ...machine.values, ...reservoir } },
    parameters: { ...found.parameters, reservoirUf: reservoir.reservoirUf },
  };
  const bank = new CutBank(scenario);
  const last = Math.min(scenario.timeline.ticks, RUN_S * scenario.tickHz);
  const noise = new Noise(seed);
  const chosen = new Set(Array.from({ length: cuts }, () => Math.floor(noise.between(0, last))));
  for (let tick = 0; tick < last; tick++) {
    bank.tick(tick);
    if (chosen.has(tick)) bank.cut(tick);
  }
  return bank.counts;
}
