import { describe, expect, it } from 'vitest';
import { Bench, loadCountsAt, pressureCountsAt, startedBench } from '../../support/bench.js';

/*
 * ADC counts at the default span of 4096: short below 0.05·4096 = 204.8 → 205, open above 0.95·4096 = 3891.2 → 3891, range
 * outside 0.08·4096 = 327.68 → 328 to 0.92·4096 = 3768.32 → 3768. Largest plausible change per tick of 1 ms, rounded up:
 * load 250 N of 1.52588 N per count → 164, pressure and rail 1500 kPa of 7.62939 kPa → 197, acceleration 80 of 0.0305 m/s² → 2622.
 */
interface Channel {
  readonly name: 'load' | 'pressure' | 'acceleration' | 'rail';
  readonly good: number;
  /** Two values in range, further apart than a tick allows. */
  readonly jump: readonly [number, number];
}
const CHANNELS: readonly Channel[] = [
  { name: 'load', good: 1024, jump: [1024, 1189] },
  { name: 'pressure', good: 900, jump: [900, 1098] },
  { name: 'acceleration', good: 2048, jump: [700, 3323] },
  { name: 'rail', good: 2400, jump: [2400, 2598] },
];

const write = (bench: Bench, channel: Channel, counts: number): unknown =>
  channel.name === 'rail' ? bench.bank({ railCounts: counts }) : bench.row(1, { [`${channel.name}Counts`]: counts });
const faultsOf = (bench: Bench, channel: Channel): string[] => (channel.name === 'rail' ? bench.faults() : bench.faults(1));

/** A jump is held for one tick only, so that leaving and entering the range is not a series of jumps. */
const SHORT_HOLD = { rateHoldMs: 1 };

function sensing(channel: Channel, values = {}): Bench {
  const bench = new Bench(1, { accelerationFitted: 1, ...values });
  write(bench, channel, channel.good);
  return bench.start();
}

const OUT_OF_RANGE = CHANNELS.flatMap((channel) => [
  { title: `${channel.name}Short`, channel, counts: 204, debounce: 20 },
  { title: `${channel.name}Short`, channel, counts: 0, debounce: 20 },
  { title: `${channel.name}Open`, channel, counts: 3892, debounce: 20 },
  { title: `${channel.name}Open`, channel, counts: 65535, debounce: 20 },
  { title: `${channel.name}Range`, channel, counts: 205, debounce: 50 },
  { title: `${channel.name}Range`, channel, counts: 327, debounce: 50 },
  { title: `${channel.name}Range`, channel, counts: 3769, debounce: 50 },
  { title: `${channel.name}Range`, channel, counts: 3891, debounce: 50 },
]);

describe('ADC counts out of range', () => {
  it.each(OUT_OF_RANGE)('set $title at $counts after $debounce ms, not a tick before', ({ title, channel, counts, debounce }) => {
    const bench = sensing(channel, SHORT_HOLD);
    write(bench, channel, counts);
    expect(faultsOf(bench.tick(debounce - 1), channel)).toEqual([]);
    expect(faultsOf(bench.tick(), channel)).toEqual([title]);
  });

  it.each(OUT_OF_RANGE)('clear $title at $counts 500 ms after the end, not a tick before', ({ title, channel, counts, debounce }) => {
    const bench = sensing(channel, SHORT_HOLD);
    write(bench, channel, counts);
    bench.tick(debounce);
    write(bench, channel, channel.good);
    expect(faultsOf(bench.tick(499), channel)).toEqual([title]);
    expect(faultsOf(bench.tick(), channel)).toEqual([]);
  });

  it.each(CHANNELS)('restart the debounce after one tick in range: $name', (channel) => {
    const bench = sensing(channel, SHORT_HOLD);
    write(bench, channel, 0);
    bench.tick(19);
    write(bench, channel, channel.good);
    bench.tick();
    write(bench, channel, 0);
    expect(faultsOf(bench.tick(19), channel)).toEqual([]);
    expect(faultsOf(bench.tick(), channel)).toEqual([`${channel.name}Short`]);
  });

  it.each(CHANNELS)('are in range at the outermost values: $name', (channel) => {
    for (const counts of [328, 3768]) {
      const bench = sensing(channel, SHORT_HOLD);
      write(bench, channel, counts);
      expect(faultsOf(bench.tick(200), channel).filter((name) => name !== 'railLow')).toEqual([]);
    }
  });
});

type Shifts = Partial<Record<Channel['name'], number>>;

/** Inputs that alternate by one count in every tick, except on one channel. @param shifts added to the good counts */
function tickFrozen(bench: Bench, ticks: number, frozen: string, shifts: Shifts = {}): Bench {
  return bench.tickWith(ticks, () => {
    for (const channel of CHANNELS)
      if (channel.name !== frozen) write(bench, channel, channel.good + (shifts[channel.name] ?? 0) + (bench.ticks % 2));
  });
}

/** What moves meanwhile. 100 counts are 763 kPa; 300 counts are 458 N, in steps that a sensor can follow; -300 counts open the supply valve. */
const RELATED: Record<Channel['name'], Shifts[]> = {
  load: [{ pressure: 100 }],
  pressure: [{ load: 150 }, { load: 300 }],
  acceleration: [{ pressure: 100 }],
  rail: [{ load: -150 }, { load: -300 }],
};

describe('constant ADC counts', () => {
  const quiet = (): Bench => tickFrozen(new Bench(1, { accelerationFitted: 1, frozenMs: 31, belowZeroN: 60 }), 100, 'none');

  it.each(CHANNELS)('set Frozen if a related signal moves meanwhile, and clear it after 500 ms of changes: $name', (channel) => {
    const bench = quiet();
    for (const shifts of RELATED[channel.name]) tickFrozen(bench, 200, channel.name, shifts);
    expect(faultsOf(bench, channel)).toEqual([`${channel.name}Frozen`]);
    const last = RELATED[channel.name].at(-1);
    tickFrozen(bench, bench.ticks % 2, channel.name, last);
    expect(faultsOf(tickFrozen(bench, 499, 'none', last), channel)).toEqual([`${channel.name}Frozen`]);
    expect(faultsOf(tickFrozen(bench, 1, 'none', last), channel)).toEqual([]);
  });

  it.each(CHANNELS)('set no fault while nothing related moves: $name', (channel) => {
    expect(faultsOf(tickFrozen(quiet(), 5000, channel.name), channel)).toEqual([]);
  });

  it('set loadFrozen after ten times frozenMs near zero load: the wheels may be in the air', () => {
    const bench = quiet();
    for (const load of [-150, -285]) tickFrozen(bench, 100, 'none', { load });
    expect(tickFrozen(bench, 300, 'load', { pressure: 100 }).faults(1)).toEqual([]);
    expect(tickFrozen(bench, 20, 'load', { pressure: 100 }).faults(1)).toEqual(['loadFrozen']);
  });

  it('never set Frozen if frozenMs is 0', () => {
    const bench = tickFrozen(startedBench(1, { frozenMs: 0, accelerationFitted: 1 }), 500, 'load', { pressure: 100 });
    expect([...bench.faults(), ...bench.faults(1)]).toEqual([]);
  });
});

describe('jumps that the sensor cannot make', () => {
  it.each(CHANNELS)('set Rate after 30 ms of jumps, and clear it 20 + 500 ms after the last: $name', (channel) => {
    const bench = sensing(channel);
    // The first jump is in the second tick: from jump[0], where the channel may have to settle first.
    write(bench, channel, channel.jump[0]);
    bench.tick(100);
    const jumpOn = (ticks: number, from: number): Bench =>
      bench.tickWith(ticks, (count) => write(bench, channel, channel.jump[(from + count + 1) % 2] ?? 0));
    expect(faultsOf(jumpOn(29, 0), channel)).toEqual([]);
    expect(faultsOf(jumpOn(1, 29), channel)).toEqual([`${channel.name}Rate`]);
    expect(faultsOf(bench.tick(518), channel)).toEqual([`${channel.name}Rate`]);
    expect(faultsOf(bench.tick(), channel)).toEqual([]);
  });

  it.each(CHANNELS)('set no fault after a single jump: $name', (channel) => {
    const bench = sensing(channel);
    write(bench, channel, channel.jump[0]);
    bench.tick(100);
    write(bench, channel, channel.jump[1]);
    const seen = new Set<string>();
    for (let tick = 0; tick < 100; tick++) for (const fault of faultsOf(bench.tick(), channel)) seen.add(fault);
    expect([...seen]).toEqual([]);
  });
});

describe('a suspect value is not used', () => {
  it('a load after a jump is used 20 ticks later', () => {
    const bench = startedBench().row(1, { loadCounts: 1024 });
    bench.tick(100);
    expect(bench.probe('loadRawN')).toBe(437.5);
    bench.row(1, { loadCounts: 1280 });
    for (let tick = 0; tick < 20; tick++) expect(bench.tick().probe('loadRawN')).toBe(437.5);
    // 1280·1.52587890625 - 1125
    expect(bench.tick().probe('loadRawN')).toBe(828.125);
  });

  it('a pressure out of range keeps its last value from the first tick', () => {
    const bench = startedBench().row(1, { pressureCounts: 1024 });
    bench.tick(100);
    bench.row(1, { pressureCounts: 1100 }).tick().row(1, { pressureCounts: 320 });
    // 1100·7.62939453125 - 3125 = 5267.33; the median needs one more tick to show it.
    bench.tick(5);
    expect(bench.probe('pressureRawKpa')).toBeCloseTo(5267.334, 2);
    expect(bench.rowMode()).toBe('holding');
  });

  it('a suspect rail keeps its last value, and the nominal value replaces it once the fault is set', () => {
    const bench = startedBench().bank({ railCounts: pressureCountsAt(3000) });
    bench.tick(700);
    expect(bench.bankProbe('railKpa')).toBeCloseTo(3000, -1);
    // A rail below the chamber's pressure must not open the supply valve, not even for one tick of a short.
    bench.bank({ railCounts: 0 }).tick(19);
    expect(bench.bankProbe('railKpa')).toBeCloseTo(3000, -1);
    expect(bench.tick().bankProbe('railKpa')).toBe(15000);
  });

  it('a loose wire sets a fault, although no failed check lasts as long as its debounce', () => {
    const bench = startedBench(1, { frozenMs: 0 });
    for (let turn = 0; turn < 4; turn++)
      bench
        .row(1, { loadCounts: 0 })
        .tick(10)
        .row(1, { loadCounts: loadCountsAt(450) })
        .tick(10);
    expect(bench.faults(1)).toEqual(['loadRate']);
  });

  it('an accelerometer that is not fitted is ignored', () => {
    const bench = startedBench(1, { accelerationFitted: 0 }).row(1, { accelerationCounts: 0 });
    bench.tick(200);
    expect(bench.faults(1)).toEqual([]);
    expect(bench.probe('accelerationMps2')).toBe(0);
  });

  it('filters start at their first valid value', () => {
    const bench = new Bench(1, { loadFilterHz: 0.5, pressureFilterHz: 0.5 }).row(1, { loadCounts: 0, pressureCounts: 0 });
    bench.tick(100);
    bench.row(1, { loadCounts: 1024, pressureCounts: 1024 }).tick(501);
    expect(bench.probe('loadN')).toBe(437.5);
    // 1024·7.62939453125 - 3125
    expect(bench.probe('pressureKpa')).toBe(4687.5);
  });
});

describe('a row with a faulty channel', () => {
  it.each([
    ['load', 'frozen'],
    ['pressure', 'holding'],
    ['acceleration', 'working'],
  ] as const)('a faulty %s leaves its row %s and the other row working', (channel, mode) => {
    const bench = startedBench(2, { accelerationFitted: 1 }).row(1, { [`${channel}Counts`]: 4095 });
    bench.tick();
    expect([bench.rowMode(1), bench.rowMode(2)]).toEqual([mode, 'working']);
    bench.tick(100);
    expect([bench.rowMode(1), bench.rowMode(2)]).toEqual([mode, 'working']);
    expect(bench.faults(2)).toEqual([]);
  });
});

describe('an impossible load', () => {
  const CHECKED = { freeLoadMaxN: 200, belowZeroN: 60 };
  // At 3500 kPa the actuator contributes 0.220905 · 3500 = 773 N: the rest of the load is the row's weight minus the soil's share.
  it.each([
    ['just possible', 960, []],
    ['more than pressure and weight can produce', 990, ['loadHigh']],
  ])('is reported: %s', (_, loadN, faults) => {
    const bench = new Bench(1, CHECKED).row(1, { loadCounts: loadCountsAt(loadN) }).start();
    expect(bench.tick(3000).faults(1)).toEqual(faults);
    expect(bench.rowMode()).toBe('working');
  });

  it('counts with what is impossible taken away, until the next good zero', () => {
    const bench = new Bench(1, { ...CHECKED, liftS: 0 }).row(1, { loadCounts: loadCountsAt(990) }).start();
    bench.tickUntil(() => bench.faults(1).includes('loadHigh'), 3000);
    bench.tick(1000);
    // 990 N are 17 N above 200 + 773 N.
    expect(bench.probe('zeroN')).toBeCloseTo(17, 0);
    expect(bench.probe('loadN')).toBeCloseTo(973, 0);
    bench.bank({ lowered: 0 }).row(1, { loadCounts: loadCountsAt(20) });
    expect(bench.tick(1001).faults(1)).toEqual([]);
    // To one ADC count: 1.5 N.
    expect(Math.abs(bench.probe('zeroN') - 20)).toBeLessThan(1.6);
  });

  it('sets loadHigh after 2 s, and clears it with the next good zero', () => {
    const bench = new Bench(1, { ...CHECKED, liftS: 0 }).row(1, { loadCounts: loadCountsAt(990) });
    const setTicks = bench.tickUntil(() => bench.faults(1).includes('loadHigh'), 3000);
    expect(setTicks).toBeGreaterThan(2000);
    expect(setTicks).toBeLessThan(2100);
    // 990 N are 17 N above 200 + 773 N.
    bench.row(1, { loadCounts: loadCountsAt(450) });
    expect(bench.tick(20_000).faults(1)).toEqual(['loadHigh']);
    bench.bank({ lowered: 0 }).row(1, { loadCounts: loadCountsAt(20) });
    expect(bench.tick(1001).faults(1)).toEqual([]);
  });

  it('sets loadLow 0.1 s after a load was below -belowZeroN for 15 ms, and counts from there until the next good zero', () => {
    const bench = startedBench(1, { ...CHECKED, liftS: 0 });
    bench.tick(100).row(1, { loadCounts: loadCountsAt(-57) });
    expect(bench.tick(3000).faults(1)).toEqual([]);
    bench.row(1, { loadCounts: loadCountsAt(-63) }).tick(15);
    // The offset is found at the end of a tick and counts from the next one on.
    bench.row(1, { loadCounts: loadCountsAt(450) });
    expect(bench.tick(99).faults(1)).toEqual([]);
    expect(bench.probe('zeroN')).toBe(0);
    expect(bench.tick().faults(1)).toEqual(['loadLow']);
    expect(bench.tick(1000).rowMode()).toBe('working');
    // The row reads 63 N too little, to one ADC count: 1.5 N.
    expect(Math.abs(bench.probe('zeroN') + 63)).toBeLessThan(1.6);
    expect(Math.abs(bench.probe('loadN') - 513)).toBeLessThan(2.3);
    expect(bench.tick(11_000).faults(1)).toEqual(['loadLow']);
    bench.bank({ lowered: 0 }).row(1, { loadCounts: loadCountsAt(-63) });
    expect(bench.tick(1001).faults(1)).toEqual([]);
  });
});
