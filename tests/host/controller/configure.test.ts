import { describe, expect, it } from 'vitest';
import { PARAMETERS, type Parameter, RULES } from '../../../shared/parameters.js';
import { loadCountsAt, pressureCountsAt } from '../../support/bench.js';
import { RawController } from '../../support/raw-controller.js';

const numberOf = (name: string): number => PARAMETERS.findIndex((one) => one.name === name) + 1;

/** The next number that the parameter's type can represent: one bit, or 1, further. */
function neighbour({ type }: Parameter, value: number, direction: 1 | -1): number {
  if (type === 'u32') return value + direction;
  const bits = new DataView(new ArrayBuffer(4));
  bits.setFloat32(0, value);
  if (Math.fround(value) === 0) return direction * 2 ** -149;
  bits.setInt32(0, bits.getInt32(0) + (value > 0 ? direction : -direction));
  return bits.getFloat32(0);
}

function configureWith(values: Readonly<Record<string, number>>, rows = 4): number {
  return new RawController().writeParameters(values).configure(rows);
}

/** Writes inputs that call for pressure in a bank of 4 rows; alternating by one count, so that no sensor seems frozen. */
function writeInputs({ records }: RawController, wobble: number): void {
  const railCounts = pressureCountsAt(15000) + wobble;
  const bank = { targetLoadN: 900, oilTemperatureC: 40, railCounts, supplyMv: 12800, lowered: 1, enabled: 1 };
  for (const [name, value] of Object.entries(bank)) records.set('bankInput', 0, name, value);
  for (let row = 0; row < 4; row++) {
    records.set('rowInput', row, 'loadCounts', loadCountsAt(100) + wobble);
    records.set('rowInput', row, 'pressureCounts', pressureCountsAt(3000) + wobble);
    records.set('rowInput', row, 'enabled', 1);
  }
}

/** Counts the driven coils of each tick. */
function ordersOf(
  raw: RawController,
  ticks: number,
  isEnough = (_: { opens: number }): boolean => false,
): { opens: number; closes: number } {
  const { records } = raw;
  const seen = { opens: 0, closes: 0 };
  for (let tick = 0; tick < ticks && !isEnough(seen); tick++) {
    writeInputs(raw, tick % 2);
    raw.tick();
    for (let row = 0; row < 4; row++) {
      for (const order of [records.get('rowOutput', row, 'supplyOrder'), records.get('rowOutput', row, 'returnOrder')]) {
        if (order === 1) seen.opens += 1;
        if (order === 2) seen.closes += 1;
      }
    }
  }
  return seen;
}

describe('configure() and the limits of a parameter', () => {
  it.each(PARAMETERS.filter((one) => one.type === 'f32' || one.min > 0).map((one) => [one.name, one] as const))(
    '%s is refused one step below its minimum',
    (name, one) => {
      expect(configureWith({ [name]: neighbour(one, one.min, -1) })).toBe(numberOf(name));
    },
  );

  it.each(PARAMETERS.map((one) => [one.name, one] as const))('%s is refused one step above its maximum', (name, one) => {
    expect(configureWith({ [name]: neighbour(one, one.max, 1) })).toBe(numberOf(name));
  });

  it.each(PARAMETERS.filter(({ type }) => type === 'f32').map(({ name }) => name))('%s is refused if NaN or infinite', (name) => {
    expect(configureWith({ [name]: Number.NaN })).toBe(numberOf(name));
    expect(configureWith({ [name]: Number.POSITIVE_INFINITY })).toBe(numberOf(name));
    expect(configureWith({ [name]: Number.NEGATIVE_INFINITY })).toBe(numberOf(name));
  });

  it.each(PARAMETERS.map((one) => [one.name, one] as const))('%s is accepted at its limits, unless a rule forbids that', (name, one) => {
    // With all others at their defaults, only these limits break a rule; the number is that of the rule's left side.
    const refused: Readonly<Record<string, number>> = {
      'loadAtTenPercentN 5000': numberOf('loadAtTenPercentN'),
      'deadbandMinN 1000': numberOf('deadbandMinN'),
      'deadbandMaxN 1': numberOf('deadbandMinN'),
      'strokeMs 20': numberOf('minPulseMs'),
      'minPulseMs 1': numberOf('minPulseMs'),
      'setPointMaxKpa 500': numberOf('setPointMaxKpa'),
      'prechargeAbsoluteKpa 20000': numberOf('setPointMaxKpa'),
      'slotPhase 15': numberOf('slotPhase'),
      'supplyLowMv 1000': numberOf('supplyCriticalMv'),
      'supplyCriticalMv 60000': numberOf('supplyCriticalMv'),
    };
    expect(configureWith({ [name]: one.min })).toBe(refused[`${name} ${one.min}`] ?? 0);
    expect(configureWith({ [name]: one.max })).toBe(refused[`${name} ${one.max}`] ?? 0);
  });

  it('the first bad parameter is returned', () => {
    expect(configureWith({ ventMs: 9, strokesAtOnce: 97, supplyLowMv: 0 })).toBe(numberOf('strokesAtOnce'));
  });

  it('limits are checked before rules', () => {
    expect(configureWith({ loadAtTenPercentN: 4500, ventMs: 9 })).toBe(numberOf('ventMs'));
  });
});

describe('configure() and the rules between parameters', () => {
  const BROKEN = [
    ['loadAtTenPercentN', { loadAtTenPercentN: 4500 }],
    ['deadbandMinN', { deadbandMinN: 131 }],
    ['pressureAtTenPercentKpa', { pressureAtTenPercentKpa: 2000, pressureAtNinetyPercentKpa: 2000 }],
    ['railAtTenPercentKpa', { railAtTenPercentKpa: 2000, railAtNinetyPercentKpa: 2000 }],
    ['minPulseMs', { minPulseMs: 3, strokeMs: 3.01 }],
    ['maxPulseMs', { minPulseMs: 50.1, maxPulseMs: 50 }],
    ['setPointMaxKpa', { setPointMaxKpa: 5999, prechargeAbsoluteKpa: 6000 }],
    ['slotPhase', { slotCount: 3, slotPhase: 3 }],
    ['supplyCriticalMv', { supplyLowMv: 9000, supplyCriticalMv: 9001 }],
  ] as const;
  const KEPT = [
    { loadAtTenPercentN: 4499 },
    { deadbandMinN: 130 },
    { pressureAtTenPercentKpa: 1999, pressureAtNinetyPercentKpa: 2000 },
    { railAtTenPercentKpa: 1999, railAtNinetyPercentKpa: 2000 },
    { minPulseMs: 3, strokeMs: 3 },
    { minPulseMs: 50, maxPulseMs: 50 },
    { setPointMaxKpa: 6000, prechargeAbsoluteKpa: 6000 },
    { slotCount: 3, slotPhase: 2 },
    { supplyLowMv: 9000, supplyCriticalMv: 9000 },
  ];

  it('every rule is tested here', () => {
    expect(BROKEN.map(([left]) => left)).toEqual(RULES.map(({ left }) => left));
  });

  it.each(BROKEN)('%s is returned if its rule is broken', (left, values) => {
    expect(configureWith(values)).toBe(numberOf(left));
  });

  it.each(KEPT.map((values) => [JSON.stringify(values), values] as const))('%s satisfies the rule exactly', (_, values) => {
    expect(configureWith(values)).toBe(0);
  });
});

describe('after a refusal', () => {
  it('every valve is closed once, none opens, and the fault is set', () => {
    const raw = new RawController().writeParameters({ deadbandN: 0 });
    expect(raw.configure(4)).toBe(numberOf('deadbandN'));
    // 8 closing strokes of 2 ticks each.
    expect(ordersOf(raw, 3000)).toEqual({ opens: 0, closes: 16 });
    expect(raw.records.word('bankOutput', 0, 'mode')).toBe('refused');
    expect(raw.records.get('bankOutput', 0, 'faults')).toBe(1 << 12);
    expect(raw.records.get('bankOutput', 0, 'allClosed')).toBe(1);
  });

  it('the defaults are in memory, and valves are re-latched at the default interval', () => {
    const raw = new RawController().writeParameters({ deadbandN: Number.NaN, relatchS: 1, deadMs: 50 });
    raw.configure(4);
    expect(raw.records.get('parameters', 0, 'deadbandN')).toBe(40);
    expect(raw.records.get('parameters', 0, 'relatchS')).toBe(60);
    expect(ordersOf(raw, 60_050)).toEqual({ opens: 0, closes: 32 });
  });

  it('valid parameters let the bank work again', () => {
    const raw = new RawController().writeParameters({ deadbandN: 0 });
    raw.configure(4);
    ordersOf(raw, 100);
    expect(raw.writeParameters().configure(4)).toBe(0);
    expect(ordersOf(raw, 600).opens).toBeGreaterThan(0);
    expect(raw.records.get('bankOutput', 0, 'faults')).toBe(0);
  });
});

describe('configure() and the row count', () => {
  it.each([1, 48])('%i rows are accepted', (rows) => {
    expect(configureWith({}, rows)).toBe(0);
  });

  it.each([0, 49, -1, 0x7fffffff, -0x80000000])('%i rows are refused with -1, and nothing is driven', (rows) => {
    const raw = new RawController().writeParameters();
    expect(raw.configure(4)).toBe(0);
    ordersOf(raw, 500);
    expect(raw.configure(rows)).toBe(-1);
    expect(ordersOf(raw, 500)).toEqual({ opens: 0, closes: 0 });
  });

  it('a bad row count is returned before a bad parameter', () => {
    expect(configureWith({ deadbandN: 0 }, 0)).toBe(-1);
  });

  it('ticks before configure() do nothing', () => {
    const raw = new RawController();
    expect(ordersOf(raw, 10)).toEqual({ opens: 0, closes: 0 });
  });

  it('configure() during a stroke switches all coils off and closes every valve again first', () => {
    const raw = new RawController().writeParameters({ strategy: 1, deadbandMinN: 18, deadbandSigmas: 2.2 });
    raw.configure(4);
    expect(ordersOf(raw, 500, ({ opens }) => opens > 0).opens).toBe(3);
    expect(raw.records.get('rowOutput', 0, 'supplyOrder')).toBe(1);
    raw.configure(4);
    expect(raw.records.get('rowOutput', 0, 'supplyOrder')).toBe(0);
    expect(ordersOf(raw, 4)).toEqual({ opens: 0, closes: 16 });
  });
});
