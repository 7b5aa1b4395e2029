import { describe, expect, it } from 'vitest';
import { describeContract, placeOf, recordAddress } from '../../../host/contract/contract.js';
import { writeField } from '../../../host/contract/fields.js';
import { SIZE_OF } from '../../../host/contract/layout.js';
import { MemoryDiff } from '../../../host/review/memory-diff.js';
import { addressOf, isSame, keyOf, type MemorySignal, matchSignals, recordNames, signalsOf } from '../../../host/review/signals.js';

type Editable<T> = T extends object ? { -readonly [K in keyof T]: Editable<T[K]> } : T;
type EditableContract = Editable<ReturnType<typeof describeContract>>;

const contract = describeContract();

/** Lays out fields and places again, one after the other, so that an edit moves what follows. */
function layOut(edited: EditableContract): void {
  for (const record of edited.records) {
    record.size = 0;
    for (const field of record.fields) {
      field.offset = record.size;
      record.size += SIZE_OF[field.type];
    }
  }
  let at = edited.places[0]?.at ?? 0;
  for (const place of edited.places) {
    // As in builds before rows had blocks: every place is contiguous.
    place.at = at;
    delete place.stride;
    const size = edited.records.find(({ name }) => name === place.record)?.size ?? 0;
    at = Math.ceil((at + size * place.count) / 4) * 4;
  }
}

/** The contract of a build with an edit. */
function variant(edit: (contract: EditableContract) => void): EditableContract {
  const edited = structuredClone(contract) as EditableContract;
  edit(edited);
  layOut(edited);
  return edited;
}

function fieldsOf(edited: EditableContract, name: string): EditableContract['records'][number]['fields'] {
  const record = edited.records.find((one) => one.name === name);
  if (record === undefined) throw new Error(`no record ${name}`);
  return record.fields;
}

function faultOf(edited: EditableContract, name: string): EditableContract['faults'][number] {
  const fault = edited.faults.find((one) => one.name === name);
  if (fault === undefined) throw new Error(`no fault ${name}`);
  return fault;
}

const matched = (head: EditableContract, rows = 2) => matchSignals(signalsOf(contract, rows), signalsOf(head, rows));

function signalOf(signals: readonly MemorySignal[], key: string): MemorySignal {
  const signal = signals.find((one) => keyOf(one) === key);
  if (signal === undefined) throw new Error(`no signal ${key}`);
  return signal;
}

function pairOf(head: EditableContract, key: string) {
  const pair = matched(head).pairs.find((one) => keyOf(one.head) === key);
  if (pair === undefined) throw new Error(`no pair ${key}`);
  return pair;
}

const keys = (signals: readonly MemorySignal[]): string[] => signals.map(keyOf);

/** Without an edit. */
const unchanged = variant(() => {});

const withField = (name: string, type: 'u8' | 'u16' | 'f32', at = 0) =>
  variant((edited) => fieldsOf(edited, 'RowProbe').splice(at, 0, { name, type, unit: 'newton', help: 'New', offset: 0 }));

describe('names and rows of signals', () => {
  const signals = signalsOf(contract, 2);
  const rowsOf = (name: string): number[] => signals.filter((one) => one.name === name).map(({ row }) => row);

  it.each([
    ['one of the bank', 'bankState.mode', [0]],
    ['one of every row', 'loopState.setPointKpa', [1, 2]],
    ['an output, without its record', 'supplyOrder', [1, 2]],
    ['a probe, without its record', 'loadN', [1, 2]],
    ['a valve, by its name', 'valveState[return].gain', [1, 2]],
    ['a channel of a row', 'channelState[pressure].counts', [1, 2]],
    ['the rail, of the bank', 'railState.counts', [0]],
    ['a fault of a row', 'rowFaultTimer[loadOpen].ticks', [1, 2]],
    ['a fault of the bank', 'bankFaultTimer[supplyLow].ticks', [0]],
    ['a kind of channel', 'channelSetting[rail].openCounts', [0]],
    ['a kind of fault', 'rowFaultSetting[leak].debounceTicks', [0]],
  ])('%s: %s', (_, name, rows) => {
    expect(rowsOf(name)).toEqual(rows);
  });

  it('signals of bank and rows with the same name differ by the row', () => {
    expect(rowsOf('mode')).toEqual([0, 1, 2]);
    expect(signalOf(signals, '0 mode').words).toContain('lowSupply');
    expect(signalOf(signals, '2 mode').words).toContain('frozen');
  });

  it('inputs, parameters and padding are left out', () => {
    expect(new Set(signals.map(({ kind }) => kind))).toEqual(new Set(['output', 'probe', 'state', 'derived']));
    expect(signals.filter(({ field }) => field.name.startsWith('spare') || field.name === 'loadCounts')).toEqual([]);
  });

  it('names are unique in a row, and addresses are unique', () => {
    expect(new Set(keys(signals)).size).toBe(signals.length);
    expect(new Set(signals.map(addressOf)).size).toBe(signals.length);
  });

  it('records of the second row follow those of the first by the size of a row', () => {
    const [first, second] = ['1 valveState[return].gain', '2 valveState[return].gain'].map((key) => signalOf(signals, key));
    // What a row carries from tick to tick, 772 bytes in one block: see contract.test.ts.
    expect(addressOf(second as MemorySignal) - addressOf(first as MemorySignal)).toBe(772);
  });

  it('values are shown as words, faults and short numbers', () => {
    expect(signalOf(signals, '0 mode').show(4)).toBe('working');
    expect(signalOf(signals, '0 mode').show(99)).toBe('99');
    expect(signalOf(signals, '0 faults').show(2 ** 8 + 2 ** 11)).toBe('supplyLow+railLow');
    expect(signalOf(signals, '1 faults').show(0)).toBe('none');
    expect(signalOf(signals, '1 loadN').show(Math.fround(0.1))).toBe('0.1');
    expect(signalOf(signals, '1 openTicks').show(12)).toBe('12');
  });

  it('fault timers are named by the faults of their build', () => {
    const head = variant((edited) => {
      const place = edited.places.find(({ name }) => name === 'rowFaultTimer');
      edited.faults.push({ ...faultOf(edited, 'leak'), name: 'tired', code: 30 });
      if (place !== undefined) place.count += edited.rowsMax;
    });
    const { added, removed } = matched(head);
    expect(keys(added)).toContain('2 rowFaultTimer[tired].ticks');
    expect(removed).toEqual([]);
  });
});

describe('isSame', () => {
  const pair = pairOf(unchanged, '1 loadN');

  it.each([
    ['a number and itself', 1.5, 1.5, true],
    ['NaN and NaN', Number.NaN, -Number.NaN, true],
    ['NaN and a number', Number.NaN, 0, false],
    ['0 and −0', 0, -0, false],
    ['−0 and −0', -0, -0, true],
    ['neighbours', 1, 1 + 2 ** -23, false],
  ])('%s: %d and %d → %s', (_, a, b, same) => {
    expect(isSame(pair, a, b)).toBe(same);
  });
});

describe('matchSignals', () => {
  it('matches everything by number if the contracts are equal', () => {
    const { pairs, added, removed } = matchSignals(signalsOf(contract, 2), signalsOf(structuredClone(contract), 2));
    expect([pairs.length, added, removed]).toEqual([signalsOf(contract, 2).length, [], []]);
    expect(pairs.filter(({ isComparedByText }) => isComparedByText)).toEqual([]);
    expect(pairs.filter(({ base, head }) => keyOf(base) !== keyOf(head) || addressOf(base) !== addressOf(head))).toEqual([]);
  });

  it('finds an added field once for each row, and matches the fields that it moves', () => {
    const { pairs, added, removed } = matched(withField('extraN', 'f32', 3));
    expect(keys(added)).toEqual(['1 extraN', '2 extraN']);
    expect(removed).toEqual([]);
    const moved = pairs.find(({ base }) => keyOf(base) === '2 pressureKpa');
    // One field of four bytes in the record before and one in its own.
    expect(addressOf(moved?.head as MemorySignal) - addressOf(moved?.base as MemorySignal)).toBe(8);
    expect(moved?.isComparedByText).toBe(false);
  });

  it('finds a removed field once for each row', () => {
    const head = variant((edited) => fieldsOf(edited, 'LoopState').splice(1, 1));
    const { added, removed } = matched(head);
    expect([added, keys(removed)]).toEqual([[], ['1 loopState.integralKpa', '2 loopState.integralKpa']]);
  });

  it('finds a renamed field as removed and added', () => {
    const head = variant((edited) => {
      for (const field of fieldsOf(edited, 'RowProbe')) if (field.name === 'loadN') field.name = 'newtons';
    });
    const { added, removed } = matched(head, 1);
    expect([keys(added), keys(removed)]).toEqual([['1 newtons'], ['1 loadN']]);
  });

  it('matches a field of another type by number', () => {
    const head = variant((edited) => {
      for (const field of fieldsOf(edited, 'BankState')) if (field.name === 'started') field.type = 'f32';
    });
    const pair = pairOf(head, '0 bankState.started');
    expect([pair.base.field.type, pair.head.field.type, pair.isComparedByText]).toEqual(['u8', 'f32', false]);
    expect([isSame(pair, 1, 1.0), isSame(pair, 1, 0)]).toEqual([true, false]);
  });

  it('gives moved records the same names', () => {
    const head = variant((edited) => {
      fieldsOf(edited, 'BankState').push({
        ...(fieldsOf(edited, 'BankState')[0] as EditableContract['records'][number]['fields'][number]),
        name: 'one more',
      });
      edited.faults.splice(
        edited.faults.findIndex(({ scope }) => scope === 'row'),
        1,
      );
    });
    const at = (of: EditableContract, name: string, index: number): number => recordAddress(of, placeOf(of, name), index);
    const [base, moved] = [contract as EditableContract, head];
    const [baseNames, headNames] = [recordNames(base, 3), recordNames(moved, 3)];
    const shared = (a: number, b: number): string[] => [...(baseNames.get(a) ?? [])].filter((name) => headNames.get(b)?.has(name));
    expect(at(base, 'valveState', 3)).not.toBe(at(moved, 'valveState', 3));
    expect(shared(at(base, 'valveState', 3), at(moved, 'valveState', 3))).toEqual(['row 2 valveState[return]']);
    expect(shared(at(base, 'valveState', 3), at(moved, 'valveState', 2))).toEqual([]);
    const faults = base.faults.filter(({ scope }) => scope === 'row').length;
    // The first fault of a row is a different one, but its timers start there.
    expect(shared(at(base, 'rowFaultTimer', 2 * faults), at(moved, 'rowFaultTimer', 2 * (faults - 1)))).toEqual(['row 3 rowFaultTimer']);
    expect([baseNames.get(1000003), baseNames.get(at(base, 'valveState', 3) + 1)]).toEqual([undefined, undefined]);
  });

  it('compares words if a number has different words', () => {
    const head = variant((edited) => {
      edited.enums.Wish = ['hold', 'lower', 'raise'];
    });
    const pair = pairOf(head, '1 wish');
    expect(pair.isComparedByText).toBe(true);
    expect([isSame(pair, 2, 1), isSame(pair, 2, 2), isSame(pair, 0, 0)]).toEqual([true, false, true]);
    expect(pairOf(head, '1 supplyOrder').isComparedByText).toBe(false);
  });

  it('compares numbers if only one side has words', () => {
    const head = variant((edited) => {
      for (const field of fieldsOf(edited, 'RowProbe')) if (field.name === 'wish') delete field.values;
    });
    const pair = pairOf(head, '1 wish');
    expect([pair.isComparedByText, isSame(pair, 2, 2), isSame(pair, 2, 1)]).toEqual([false, true, false]);
  });

  it('compares faults with different bits by name', () => {
    const head = variant((edited) => {
      faultOf(edited, 'supplyLow').code = 30;
    });
    const pair = pairOf(head, '0 faults');
    expect([pair.isComparedByText, pairOf(head, '1 faults').isComparedByText]).toEqual([true, false]);
    expect([isSame(pair, 2 ** 8, 2 ** 30), isSame(pair, 2 ** 8, 2 ** 8), isSame(pair, 0, 0)]).toEqual([true, false, true]);
    expect(isSame(pairOf(head, '0 bankFaults.pending'), 2 ** 8, 2 ** 30)).toBe(true);
    expect(isSame(pairOf(head, '0 conditions'), 2 ** 8, 2 ** 30)).toBe(true);
  });

  it('compares faults in different orders by name', () => {
    const head = variant((edited) => {
      const [low, rail] = [faultOf(edited, 'supplyLow'), faultOf(edited, 'railLow')];
      [low.code, rail.code] = [rail.code, low.code];
      edited.faults.sort((a, b) => a.code - b.code);
    });
    const pair = pairOf(head, '0 faults');
    expect(isSame(pair, 2 ** 8 + 2 ** 11, 2 ** 11 + 2 ** 8)).toBe(true);
    expect(isSame(pair, 2 ** 8, 2 ** 8)).toBe(false);
  });
});

describe('MemoryDiff', () => {
  /** Two memories, and the differences that each scan reports. */
  function compared(head: EditableContract = unchanged, rows = 2) {
    const memories = { base: new DataView(new ArrayBuffer(65536)), head: new DataView(new ArrayBuffer(65536)) };
    const { pairs } = matched(head, rows);
    const diff = new MemoryDiff(memories.base.buffer, memories.head.buffer, pairs);
    const set = (side: 'base' | 'head', key: string, value: number): void => {
      const { field, recordAt } = signalOf(
        pairs.map((pair) => pair[side]),
        key,
      );
      writeField(memories[side], recordAt, field, value);
    };
    const scan = (): string[] => {
      const found: string[] = [];
      diff.scan((pair, a, b) => void found.push(`${keyOf(pair.head)} ${pair.base.show(a)} → ${pair.head.show(b)}`));
      return found;
    };
    return { memories, pairs, set, scan };
  }

  it('reports nothing if nothing differs', () => {
    expect(compared().scan()).toEqual([]);
  });

  it('reports each signal once', () => {
    const { set, scan } = compared();
    set('head', '1 loadN', 5);
    expect(scan()).toEqual(['1 loadN 0 → 5']);
    set('head', '1 loadN', 6);
    expect(scan()).toEqual([]);
    set('head', '1 loadN', 0);
    set('base', '2 loadN', 1);
    expect(scan()).toEqual(['2 loadN 1 → 0']);
  });

  it('reports fields that share a word one by one', () => {
    const { set, scan } = compared();
    set('head', '1 supplyBelief', 1);
    expect(scan()).toEqual(['1 supplyBelief unknown → closed']);
    set('head', '1 returnBelief', 2);
    set('head', '1 wish', 1);
    expect(scan()).toEqual(['1 wish hold → raise', '1 returnBelief unknown → open']);
    expect(scan()).toEqual([]);
  });

  it('reports in the order of memory', () => {
    const { set, scan } = compared();
    set('head', '1 loopState.setPointKpa', 1);
    set('head', '2 mode', 3);
    set('head', '1 loadN', 1);
    set('head', '0 coefficients.tickMs', 1);
    set('head', '1 supplyOrder', 1);
    expect(scan()).toEqual([
      '0 coefficients.tickMs 0 → 1',
      '1 supplyOrder none → open',
      '2 mode starting → working',
      '1 loadN 0 → 1',
      '1 loopState.setPointKpa 0 → 1',
    ]);
  });

  it('ignores padding, inputs and unused rows', () => {
    const { memories, pairs, scan } = compared(unchanged, 1);
    const used = new Set(
      pairs.flatMap(({ head: one }) => Array.from({ length: SIZE_OF[one.field.type] }, (_, byte) => addressOf(one) + byte)),
    );
    for (let byte = 0; byte < memories.head.byteLength; byte++) if (!used.has(byte)) memories.head.setUint8(byte, 0xff);
    expect(scan()).toEqual([]);
  });

  it('ignores the bits of NaN, but reports a number after it', () => {
    const { memories, pairs, set, scan } = compared();
    const at = addressOf(
      signalOf(
        pairs.map((pair) => pair.head),
        '1 loadN',
      ),
    );
    memories.base.setUint32(at, 0x7fc00000, true);
    memories.head.setUint32(at, 0xffc00001, true);
    expect(scan()).toEqual([]);
    set('head', '1 loadN', 2);
    expect(scan()).toEqual(['1 loadN NaN → 2']);
  });

  it('distinguishes 0 from −0', () => {
    const { set, scan } = compared();
    set('head', '1 loadN', -0);
    expect(scan()).toEqual(['1 loadN 0 → -0']);
  });

  describe.each([
    ['by a word', 'f32', 4],
    ['by a byte', 'u8', 1],
    ['by half a word', 'u16', 2],
  ] as const)('signals moved %s', (_, type, bytes) => {
    const head = withField('extraN', type, 3);

    it('are moved', () => {
      const pair = pairOf(head, '1 pressureKpa');
      expect(addressOf(pair.head) - addressOf(pair.base)).toBe(bytes);
    });

    it('are not reported while they are equal', () => {
      const { pairs, set, scan } = compared(head);
      for (const [index, { base }] of pairs.entries()) {
        set('base', keyOf(base), index % 200);
        set('head', keyOf(base), index % 200);
      }
      expect(scan()).toEqual([]);
    });

    it('are reported once', () => {
      const { set, scan } = compared(head);
      set('base', '1 pressureKpa', 7);
      set('head', '1 pressureKpa', 8);
      set('head', '2 returnBelief', 1);
      set('base', '1 zeroResult', 1);
      expect(scan()).toEqual(['1 pressureKpa 7 → 8', '1 zeroResult accepted → none', '2 returnBelief unknown → closed']);
      expect(scan()).toEqual([]);
    });
  });

  it('compares signals of different types by number, and reports them in the order of memory', () => {
    const head = variant((edited) => {
      for (const field of fieldsOf(edited, 'RowProbe')) if (field.name === 'wish') field.type = 'u16';
    });
    const { set, scan } = compared(head);
    for (const side of ['base', 'head'] as const) set(side, '1 wish', 2);
    expect(scan()).toEqual([]);
    set('head', '1 wish', 1);
    set('head', '1 loopState.setPointKpa', 3);
    expect(scan()).toEqual(['1 wish lower → raise', '1 loopState.setPointKpa 0 → 3']);
  });

  it('treats different numbers of the same word as equal', () => {
    const head = variant((edited) => {
      edited.enums.Wish = ['hold', 'lower', 'raise'];
    });
    const { set, scan } = compared(head);
    set('base', '1 wish', 2);
    set('head', '1 wish', 1);
    set('head', '2 wish', 1);
    expect(scan()).toEqual(['2 wish hold → lower']);
  });
});
