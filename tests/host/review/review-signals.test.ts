import { describe, expect, it } from 'vitest';
import { describeContract, placeOf, recordAddress } from '../../../host/contract/contract.js';
import { writeField } from '../../../host/contract/fields.js';
import { SIZE_OF } from '../../../host/contract/layout.js';
import { MemoryDiff } from '../../../host/review/memory-diff.js';
import { addressOf, isSame, keyOf, type MemorySignal, matchSignals, recordNames, signalsOf } from '../../../host/review/signals.js';

type Editable<T> = T extends object ? { -readonly [K in keyof T]: Editable<T[K]> } : T;
type EditableContract = Editable<ReturnType<typeof describeContract>>;

const contract = describeContract();

/** Gives fields and places their bytes anew, one behind the other, so that an edit moves what comes after it. */
function layAnew(edited: EditableContract): void {
  for (const record of edited.records) {
    record.size = 0;
    for (const field of record.fields) {
      field.offset = record.size;
      record.size += SIZE_OF[field.type];
    }
  }
  let at = edited.places[0]?.at ?? 0;
  for (const place of edited.places) {
    // As builds had it before rows had blocks: every place by itself.
    place.at = at;
    delete place.stride;
    const size = edited.records.find(({ name }) => name === place.record)?.size ?? 0;
    at = Math.ceil((at + size * place.count) / 4) * 4;
  }
}

/** A contract that another build could have. */
function variant(edit: (contract: EditableContract) => void): EditableContract {
  const edited = structuredClone(contract) as EditableContract;
  edit(edited);
  layAnew(edited);
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
    ['a bank’s own', 'bankState.mode', [0]],
    ['one of every row', 'loopState.setPointKpa', [1, 2]],
    ['an output without its record', 'supplyOrder', [1, 2]],
    ['a probe too', 'loadN', [1, 2]],
    ['a valve by its word', 'valveState[return].gain', [1, 2]],
    ['a channel of a row', 'channelState[pressure].counts', [1, 2]],
    ['the rail, which is the bank’s', 'railState.counts', [0]],
    ['a fault of a row', 'rowFaultTimer[loadOpen].ticks', [1, 2]],
    ['a fault of the bank', 'bankFaultTimer[supplyLow].ticks', [0]],
    ['a kind of channel', 'channelSetting[rail].openCounts', [0]],
    ['a kind of fault', 'rowFaultSetting[leak].debounceTicks', [0]],
  ])('%s: %s', (_, name, rows) => {
    expect(rowsOf(name)).toEqual(rows);
  });

  it('what has a name of the bank and of a row is told apart by the row', () => {
    expect(rowsOf('mode')).toEqual([0, 1, 2]);
    expect(signalOf(signals, '0 mode').words).toContain('lowSupply');
    expect(signalOf(signals, '2 mode').words).toContain('frozen');
  });

  it('there are neither inputs nor parameters nor what fills gaps', () => {
    expect(new Set(signals.map(({ kind }) => kind))).toEqual(new Set(['output', 'probe', 'state', 'derived']));
    expect(signals.filter(({ field }) => field.name.startsWith('spare') || field.name === 'loadCounts')).toEqual([]);
  });

  it('no two have the same name in a row, nor the same place', () => {
    expect(new Set(keys(signals)).size).toBe(signals.length);
    expect(new Set(signals.map(addressOf)).size).toBe(signals.length);
  });

  it('records of the second row stand a whole row behind those of the first', () => {
    const [first, second] = ['1 valveState[return].gain', '2 valveState[return].gain'].map((key) => signalOf(signals, key));
    // What a row carries from tick to tick, 440 bytes in one block: see contract.test.ts.
    expect(addressOf(second as MemorySignal) - addressOf(first as MemorySignal)).toBe(440);
  });

  it('values are shown as words, faults and short numbers', () => {
    expect(signalOf(signals, '0 mode').show(4)).toBe('working');
    expect(signalOf(signals, '0 mode').show(99)).toBe('99');
    expect(signalOf(signals, '0 faults').show(2 ** 8 + 2 ** 11)).toBe('supplyLow+railLow');
    expect(signalOf(signals, '1 faults').show(0)).toBe('none');
    expect(signalOf(signals, '1 loadN').show(Math.fround(0.1))).toBe('0.1');
    expect(signalOf(signals, '1 openTicks').show(12)).toBe('12');
  });

  it('a build with a fault more names its timers by its own list', () => {
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
    ['not a number and not a number', Number.NaN, -Number.NaN, true],
    ['not a number and a number', Number.NaN, 0, false],
    ['0 and −0', 0, -0, false],
    ['−0 and −0', -0, -0, true],
    ['neighbours', 1, 1 + 2 ** -23, false],
  ])('%s: %d and %d → %s', (_, a, b, same) => {
    expect(isSame(pair, a, b)).toBe(same);
  });
});

describe('matchSignals', () => {
  it('the same contract twice: everything matches, nothing by meaning', () => {
    const { pairs, added, removed } = matchSignals(signalsOf(contract, 2), signalsOf(structuredClone(contract), 2));
    expect([pairs.length, added, removed]).toEqual([signalsOf(contract, 2).length, [], []]);
    expect(pairs.filter(({ isComparedByText }) => isComparedByText)).toEqual([]);
    expect(pairs.filter(({ base, head }) => keyOf(base) !== keyOf(head) || addressOf(base) !== addressOf(head))).toEqual([]);
  });

  it('an added field is added once for each row, and what it moves still matches', () => {
    const { pairs, added, removed } = matched(withField('freshN', 'f32', 3));
    expect(keys(added)).toEqual(['1 freshN', '2 freshN']);
    expect(removed).toEqual([]);
    const moved = pairs.find(({ base }) => keyOf(base) === '2 pressureKpa');
    // One field of four bytes in the record before and one in its own.
    expect(addressOf(moved?.head as MemorySignal) - addressOf(moved?.base as MemorySignal)).toBe(8);
    expect(moved?.isComparedByText).toBe(false);
  });

  it('a removed field is removed once for each row', () => {
    const head = variant((edited) => fieldsOf(edited, 'LoopState').splice(1, 1));
    const { added, removed } = matched(head);
    expect([added, keys(removed)]).toEqual([[], ['1 loopState.integralKpa', '2 loopState.integralKpa']]);
  });

  it('a renamed field is one removed and one added', () => {
    const head = variant((edited) => {
      for (const field of fieldsOf(edited, 'RowProbe')) if (field.name === 'loadN') field.name = 'newtons';
    });
    const { added, removed } = matched(head, 1);
    expect([keys(added), keys(removed)]).toEqual([['1 newtons'], ['1 loadN']]);
  });

  it('a field of another type matches by its number', () => {
    const head = variant((edited) => {
      for (const field of fieldsOf(edited, 'BankState')) if (field.name === 'started') field.type = 'f32';
    });
    const pair = pairOf(head, '0 bankState.started');
    expect([pair.base.field.type, pair.head.field.type, pair.isComparedByText]).toEqual(['u8', 'f32', false]);
    expect([isSame(pair, 1, 1.0), isSame(pair, 1, 0)]).toEqual([true, false]);
  });

  it('records that were moved have the same names', () => {
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
    // The first fault of a row is another one, and yet its timers begin there.
    expect(shared(at(base, 'rowFaultTimer', 2 * faults), at(moved, 'rowFaultTimer', 2 * (faults - 1)))).toEqual(['row 3 rowFaultTimer']);
    expect([baseNames.get(1000003), baseNames.get(at(base, 'valveState', 3) + 1)]).toEqual([undefined, undefined]);
  });

  it('where a number means another word, words are compared', () => {
    const head = variant((edited) => {
      edited.enums.Wish = ['hold', 'lower', 'raise'];
    });
    const pair = pairOf(head, '1 wish');
    expect(pair.isComparedByText).toBe(true);
    expect([isSame(pair, 2, 1), isSame(pair, 2, 2), isSame(pair, 0, 0)]).toEqual([true, false, true]);
    expect(pairOf(head, '1 supplyOrder').isComparedByText).toBe(false);
  });

  it('where only one side has words, numbers are', () => {
    const head = variant((edited) => {
      for (const field of fieldsOf(edited, 'RowProbe')) if (field.name === 'wish') delete field.values;
    });
    const pair = pairOf(head, '1 wish');
    expect([pair.isComparedByText, isSame(pair, 2, 2), isSame(pair, 2, 1)]).toEqual([false, true, false]);
  });

  it('faults with other bits are compared by their names', () => {
    const head = variant((edited) => {
      faultOf(edited, 'supplyLow').code = 30;
    });
    const pair = pairOf(head, '0 faults');
    expect([pair.isComparedByText, pairOf(head, '1 faults').isComparedByText]).toEqual([true, false]);
    expect([isSame(pair, 2 ** 8, 2 ** 30), isSame(pair, 2 ** 8, 2 ** 8), isSame(pair, 0, 0)]).toEqual([true, false, true]);
    expect(isSame(pairOf(head, '0 bankFaults.pending'), 2 ** 8, 2 ** 30)).toBe(true);
    expect(isSame(pairOf(head, '0 conditions'), 2 ** 8, 2 ** 30)).toBe(true);
  });

  it('and whatever the order of the list that gave them their bits', () => {
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
  /** Two memories under a watch, and what it tells at each scan. */
  function watched(head: EditableContract = unchanged, rows = 2) {
    const memories = { base: new DataView(new ArrayBuffer(65536)), head: new DataView(new ArrayBuffer(65536)) };
    const { pairs } = matched(head, rows);
    const watch = new MemoryDiff(memories.base.buffer, memories.head.buffer, pairs);
    const set = (side: 'base' | 'head', key: string, value: number): void => {
      const { field, recordAt } = signalOf(
        pairs.map((pair) => pair[side]),
        key,
      );
      writeField(memories[side], recordAt, field, value);
    };
    const scan = (): string[] => {
      const told: string[] = [];
      watch.scan((pair, a, b) => void told.push(`${keyOf(pair.head)} ${pair.base.show(a)} → ${pair.head.show(b)}`));
      return told;
    };
    return { memories, pairs, set, scan };
  }

  it('tells nothing where nothing differs', () => {
    expect(watched().scan()).toEqual([]);
  });

  it('tells of each signal once', () => {
    const { set, scan } = watched();
    set('head', '1 loadN', 5);
    expect(scan()).toEqual(['1 loadN 0 → 5']);
    set('head', '1 loadN', 6);
    expect(scan()).toEqual([]);
    set('head', '1 loadN', 0);
    set('base', '2 loadN', 1);
    expect(scan()).toEqual(['2 loadN 1 → 0']);
  });

  it('fields that share a word are told of one by one', () => {
    const { set, scan } = watched();
    set('head', '1 supplyBelief', 1);
    expect(scan()).toEqual(['1 supplyBelief unknown → closed']);
    set('head', '1 returnBelief', 2);
    set('head', '1 wish', 1);
    expect(scan()).toEqual(['1 wish hold → raise', '1 returnBelief unknown → open']);
    expect(scan()).toEqual([]);
  });

  it('tells in memory’s order, whatever was written first', () => {
    const { set, scan } = watched();
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

  it('passes over what fills gaps, inputs and rows not in use', () => {
    const { memories, pairs, scan } = watched(unchanged, 1);
    const used = new Set(
      pairs.flatMap(({ head: one }) => Array.from({ length: SIZE_OF[one.field.type] }, (_, byte) => addressOf(one) + byte)),
    );
    for (let byte = 0; byte < memories.head.byteLength; byte++) if (!used.has(byte)) memories.head.setUint8(byte, 0xff);
    expect(scan()).toEqual([]);
  });

  it('does not tell of bits of what is not a number, but of the number that comes after', () => {
    const { memories, pairs, set, scan } = watched();
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

  it('tells 0 from −0', () => {
    const { set, scan } = watched();
    set('head', '1 loadN', -0);
    expect(scan()).toEqual(['1 loadN 0 → -0']);
  });

  describe.each([
    ['by a word', 'f32', 4],
    ['by a byte', 'u8', 1],
    ['by half a word', 'u16', 2],
  ] as const)('signals moved %s', (_, type, bytes) => {
    const head = withField('freshN', type, 3);

    it('are moved', () => {
      const pair = pairOf(head, '1 pressureKpa');
      expect(addressOf(pair.head) - addressOf(pair.base)).toBe(bytes);
    });

    it('are not told of while they are equal', () => {
      const { pairs, set, scan } = watched(head);
      for (const [index, { base }] of pairs.entries()) {
        set('base', keyOf(base), index % 200);
        set('head', keyOf(base), index % 200);
      }
      expect(scan()).toEqual([]);
    });

    it('are found and told of once', () => {
      const { set, scan } = watched(head);
      set('base', '1 pressureKpa', 7);
      set('head', '1 pressureKpa', 8);
      set('head', '2 returnBelief', 1);
      set('base', '1 zeroResult', 1);
      expect(scan()).toEqual(['1 pressureKpa 7 → 8', '1 zeroResult accepted → none', '2 returnBelief unknown → closed']);
      expect(scan()).toEqual([]);
    });
  });

  it('retyped signals are compared by number, and told of in memory’s order', () => {
    const head = variant((edited) => {
      for (const field of fieldsOf(edited, 'RowProbe')) if (field.name === 'wish') field.type = 'u16';
    });
    const { set, scan } = watched(head);
    for (const side of ['base', 'head'] as const) set(side, '1 wish', 2);
    expect(scan()).toEqual([]);
    set('head', '1 wish', 1);
    set('head', '1 loopState.setPointKpa', 3);
    expect(scan()).toEqual(['1 wish lower → raise', '1 loopState.setPointKpa 0 → 3']);
  });

  it('numbers that mean the same word are the same', () => {
    const head = variant((edited) => {
      edited.enums.Wish = ['hold', 'lower', 'raise'];
    });
    const { set, scan } = watched(head);
    set('base', '1 wish', 2);
    set('head', '1 wish', 1);
    set('head', '2 wish', 1);
    expect(scan()).toEqual(['2 wish hold → lower']);
  });
});
