import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ParameterValues } from '../../../host/contract/contract.js';
import { arbitraryParameters, arbitraryStretch, type Stretch } from '../../support/arbitrary-bank.js';
import { controller } from '../../support/bench.js';
import { DrivenBank } from '../../support/driven-bank.js';
import { floatPlaces } from '../../support/finite-floats.js';
import { limitsOf, type Observation, StrokeMonitor } from '../../support/stroke-monitor.js';

/** `SAFETY_SEED=1 SAFETY_RUNS=1000 npx vitest run tests/host/safety.test.ts` looks elsewhere, or longer. */
const SEED = Number(process.env.SAFETY_SEED ?? 20250401);
const RUNS = Number(process.env.SAFETY_RUNS ?? 1200);

const FLOATS = floatPlaces(controller.description.contract);
const WORKING = 4;
const OPEN = 1;
/** Row faults that tell what the watch over strokes has found. */
const FOUND = controller.description.contract.faults.filter(({ name }) => /^(supply|return)(Missed|Stuck)$/.test(name));

/** A run: what fast-check draws, and what it prints when something fails. */
interface Drive {
  readonly rows: number;
  readonly values: ParameterValues;
  readonly plan: readonly Stretch[];
  readonly noise: number;
}

const arbitraryDrive = (): fc.Arbitrary<Drive> =>
  fc.record({
    rows: fc.oneof({ weight: 3, arbitrary: fc.integer({ min: 1, max: 8 }) }, { weight: 1, arbitrary: fc.integer({ min: 1, max: 48 }) }),
    values: arbitraryParameters(),
    plan: fc.array(arbitraryStretch(), { minLength: 2, maxLength: 8 }),
    noise: fc.integer({ min: 1, max: 0x7fffffff }),
  });

function checkFinite(bank: DrivenBank, floats: Float32Array): void {
  for (const { index, name } of FLOATS)
    if (!Number.isFinite(floats[index])) throw new Error(`${name} is ${floats[index]} (${bank.rows} rows)`);
}

/** Energy in the reservoir above the least voltage when this tick's strokes were chosen, mJ. */
function energyMj(bank: DrivenBank, drivenBefore: number): number {
  const half = bank.parameter('reservoirUf') * 0.0005;
  const volts = bank.records.get('bankInput', 0, 'reservoirMv') / 1000;
  const least = bank.parameter('strokeMinMv') / 1000;
  return Math.max(0, half * (volts * volts - least * least) - drivenBefore * bank.parameter('strokeMj'));
}

/** Strokes must be paid for, and after an opening stroke the closes of all that is not closed. */
function checkEnergy(bank: DrivenBank, monitor: StrokeMonitor, drivenBefore: number): void {
  const { closes, opens } = monitor.begun;
  if (!monitor.limits.isMetered || closes + opens === 0) return;
  const strokeMj = bank.parameter('strokeMj');
  const strokes = closes + opens + (opens > 0 ? monitor.notClosed : 0);
  const storedMj = energyMj(bank, drivenBefore);
  // Single precision holds seven digits of the energy, of which the part below the least voltage is taken away.
  const roundingMj = 1e-5 * (bank.parameter('reservoirUf') * 0.0005 * 65.535 ** 2 + strokes * strokeMj);
  if (storedMj + roundingMj < strokes * strokeMj)
    throw new Error(
      `${closes} closes and ${opens} opens begun, ${monitor.notClosed} valves not closed, with ${storedMj} mJ of ${strokeMj} mJ strokes`,
    );
}

/** Nothing but venting opens a return valve when the last three codes all stood at or below the floor. */
class FloorWatch {
  private readonly history: number[][];
  private readonly lastReturn: Uint8Array;

  constructor(private readonly bank: DrivenBank) {
    this.history = Array.from({ length: bank.rows }, () => []);
    this.lastReturn = new Uint8Array(bank.rows);
  }

  observe(observation: Observation): void {
    const { parameter, records } = this.bank;
    const floorKpa = parameter('prechargeAbsoluteKpa') - 101.325 + 100;
    const low = parameter('pressureAtTenPercentKpa');
    const span = parameter('pressureAtNinetyPercentKpa') - low;
    for (const [row, last] of this.history.entries()) {
      const code = records.get('rowInput', row, 'pressureCounts');
      last.push(low + (span * (code / parameter('adcFullScaleCounts') - 0.1)) / 0.8);
      if (last.length > 3) last.shift();
      const order = observation.orders[2 * row + 1] ?? 0;
      const hasOpened = order === OPEN && this.lastReturn[row] !== OPEN;
      this.lastReturn[row] = order;
      if (hasOpened && observation.bankMode === WORKING && last.every((kpa) => kpa <= floorKpa - 0.01 * Math.abs(span) * 1e-3))
        throw new Error(`row ${row + 1} lets pressure out at ${last.join(', ')} kPa, floor ${floorKpa}`);
    }
  }
}

/** How often each of the faults in FOUND is raised. */
class FoundCount {
  readonly raised: Record<string, number> = Object.fromEntries(FOUND.map(({ name }) => [name, 0]));
  private readonly last: Uint32Array;

  constructor(private readonly bank: DrivenBank) {
    this.last = new Uint32Array(bank.rows);
  }

  observe(): void {
    for (const [row, before] of this.last.entries()) {
      const faults = this.bank.records.get('rowOutput', row, 'faults');
      this.last[row] = faults;
      const risen = faults & ~before;
      for (const { name, code } of FOUND) if ((risen >>> code) & 1) this.raised[name] = (this.raised[name] ?? 0) + 1;
    }
  }
}

/** In a tick in which a valve opens to work, the target is a number between 0 and targetMaxN. */
function checkTarget(bank: DrivenBank, monitor: StrokeMonitor, observation: Observation): void {
  if (monitor.begun.opens === 0 || observation.bankMode !== WORKING) return;
  const targetLoadN = bank.records.get('bankInput', 0, 'targetLoadN');
  if (!(targetLoadN >= 0 && targetLoadN <= bank.parameter('targetMaxN'))) throw new Error(`a valve opens at target ${targetLoadN}`);
}

interface Seen {
  readonly counts: StrokeMonitor['counts'];
  readonly modes: Set<number>;
  readonly raised: FoundCount['raised'];
}

/** Runs a drive under watch. @returns what was seen @throws Error at the first breach, or when the controller traps */
function watch({ rows, values, plan, noise }: Drive): Seen {
  const bank = new DrivenBank(rows, values, noise);
  const monitor = new StrokeMonitor(limitsOf(rows, bank.parameter));
  const found = new FoundCount(bank);
  const floor = new FloorWatch(bank);
  const floats = new Float32Array(bank.runner.input.buffer);
  const modes = new Set<number>();
  let driven = 0;
  let tick = 0;
  for (const stretch of plan) {
    for (let count = 0; count < stretch.ticks; count++, tick++) {
      bank.writeInputs(stretch);
      const observation = bank.tick();
      modes.add(observation.bankMode);
      monitor.observe(observation);
      checkEnergy(bank, monitor, driven);
      floor.observe(observation);
      found.observe();
      checkTarget(bank, monitor, observation);
      driven = observation.orders.reduce((sum, order) => sum + (order === 0 ? 0 : 1), 0);
      if (tick % 16 === 0) checkFinite(bank, floats);
    }
    checkFinite(bank, floats);
  }
  return { counts: monitor.counts, modes, raised: found.raised };
}

describe(`safety under random parameters and inputs, seed ${SEED}`, () => {
  it('no run breaks a rule of the valves, and the runs see all there is to see', () => {
    const total = { opens: 0, lowers: 0, vents: 0, closes: 0, relatches: 0, aborts: 0, longestDue: 0 };
    const modes = new Set<number>();
    const raised: Record<string, number> = {};
    fc.assert(
      fc.property(arbitraryDrive(), (drive) => {
        const run = watch(drive);
        for (const name of Object.keys(total) as (keyof typeof total)[]) total[name] += run.counts[name];
        for (const mode of run.modes) modes.add(mode);
        for (const { name } of FOUND) raised[name] = (raised[name] ?? 0) + (run.raised[name] ?? 0);
      }),
      { seed: SEED, numRuns: RUNS },
    );
    if (RUNS < 1200) return;
    expect(total.opens).toBeGreaterThan(10000);
    expect(total.lowers).toBeGreaterThan(3000);
    expect(total.vents).toBeGreaterThan(50);
    expect(total.relatches).toBeGreaterThan(200);
    expect(total.aborts).toBeGreaterThan(50);
    expect([...modes].sort()).toEqual([1, 2, 3, 4, 5, 6, 7]);
    // No stroke is missed here, but sensors that lie make it look so: what is then done must break no rule either.
    for (const { name } of FOUND) expect(raised[name], name).toBeGreaterThan(name.endsWith('Missed') ? 100 : 2);
  });
});
