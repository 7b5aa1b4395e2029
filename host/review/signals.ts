import type { UnitName } from '../../shared/units.js';
import { formatF32 } from '../common/format-f32.js';
import { type Contract, countInUse, recordAddress, recordOf } from '../contract/contract.js';
import { isSignal, readField } from '../contract/fields.js';
import type { LaidField, LaidRecord, Place } from '../contract/layout.js';
import { faultNames } from '../replay/change.js';
import type { SignalKind } from './review.js';

/** A field of one record in a controller's memory. */
export interface MemorySignal {
  /** `loadN`, `loopState.setPointKpa`, `valveState[supply].gain`: the same in any build that has it. */
  readonly name: string;
  /** 0 is the bank. */
  readonly row: number;
  readonly kind: SignalKind;
  readonly unit: UnitName;
  readonly field: LaidField;
  /** Where its record stands, bytes. */
  readonly recordAt: number;
  /** What its numbers stand for, from 0, if they do. */
  readonly words?: readonly string[] | undefined;
  /** Text of a value, as people read it. */
  readonly show: (value: number) => string;
}

const KINDS: readonly string[] = ['output', 'probe', 'state', 'derived'] satisfies SignalKind[];

/** Row of a record at a place, and what tells it from the others of its row. */
function whose(contract: Contract, { each }: Place, index: number): { row: number; suffix: string } {
  const faults = (scope: 'bank' | 'row'): string[] => contract.faults.filter((fault) => fault.scope === scope).map(({ name }) => name);
  const of = (names: readonly string[], row: number): { row: number; suffix: string } => {
    return { row, suffix: `[${names[index % names.length] ?? index}]` };
  };
  const inRow = (names: readonly string[]): { row: number; suffix: string } => of(names, Math.floor(index / names.length) + 1);
  const channels = contract.enums.Channel ?? [];
  if (each === 'row') return { row: index + 1, suffix: '' };
  if (each === 'valve') return inRow(['supply', 'return']);
  // The rail is the bank's: a row has the channels before it.
  if (each === 'channel') return inRow(channels.filter((name) => name !== 'rail'));
  if (each === 'rowFault') return inRow(faults('row'));
  if (each === 'channelKind') return of(channels, 0);
  if (each === 'bankFault') return of(faults('bank'), 0);
  if (each === 'rowFaultKind') return of(faults('row'), 0);
  return { row: 0, suffix: '' };
}

/** Fields whose bits are faults: those that are raised, and those of conditions. */
const FAULT_FIELDS: readonly string[] = ['faults', 'pending', 'conditions'];

function showOf(contract: Contract, field: LaidField, row: number): Pick<MemorySignal, 'show' | 'words'> {
  const words = field.values === undefined ? undefined : contract.enums[field.values];
  if (words !== undefined) return { words, show: (value) => words[value] ?? String(value) };
  if (FAULT_FIELDS.includes(field.name)) return { show: faultNames(contract, row === 0 ? 'bank' : 'row') };
  return { show: field.type.startsWith('f') ? formatF32 : String };
}

function signalsOfRecord(contract: Contract, place: Place, record: LaidRecord, index: number): MemorySignal[] {
  const { row, suffix } = whose(contract, place, index);
  const isPlain = record.kind === 'output' || record.kind === 'probe';
  return record.fields.filter(isSignal).map((field) => ({
    name: isPlain ? field.name : `${place.name}${suffix}.${field.name}`,
    row,
    kind: record.kind as SignalKind,
    unit: field.unit,
    field,
    recordAt: recordAddress(contract, place, index),
    ...showOf(contract, field, row),
  }));
}

/** Places of what configure() and tick() write, with the number of records in use. */
function writtenPlaces(contract: Contract, rows: number): { place: Place; record: LaidRecord; count: number }[] {
  return contract.places.flatMap((place) => {
    const record = recordOf(contract, place.record);
    return KINDS.includes(record.kind) ? [{ place, record, count: countInUse(contract, place, rows) }] : [];
  });
}

/** Everything that a controller of so many rows writes, by name, in memory's order. */
export const signalsOf = (contract: Contract, rows: number): MemorySignal[] =>
  writtenPlaces(contract, rows).flatMap(({ place, record, count }) =>
    Array.from({ length: count }, (_, index) => signalsOfRecord(contract, place, record, index)).flat(),
  );

/**
 * What stands at each address at which a record begins, in names that any build has: a record by its row and place, a row's first
 * record and a place's first one by that too, since they are where loops begin.
 */
export function recordNames(contract: Contract, rows: number): ReadonlyMap<number, ReadonlySet<string>> {
  const found = new Map<number, Set<string>>();
  const add = (at: number, name: string): void => void found.set(at, (found.get(at) ?? new Set()).add(name));
  for (const place of contract.places) {
    add(place.at, place.name);
    let last = -1;
    for (let index = 0; index < countInUse(contract, place, rows); index++) {
      const { row, suffix } = whose(contract, place, index);
      const at = recordAddress(contract, place, index);
      if (row !== last) add(at, `row ${row} ${place.name}`);
      add(at, `row ${row} ${place.name}${suffix}`);
      last = row;
    }
  }
  return found;
}

/** A signal that both builds have. */
export interface SignalPair {
  readonly old: MemorySignal;
  readonly new: MemorySignal;
  /** Whether numbers don't mean the same in both builds, so that the words they stand for are compared. */
  readonly isByMeaning: boolean;
}

/** What tells one signal of a bank from another. */
export const keyOf = ({ row, name }: Pick<MemorySignal, 'row' | 'name'>): string => `${row} ${name}`;

const BITS = Array.from({ length: 32 }, (_, bit) => 2 ** bit);

function isSameMeaning(a: MemorySignal, b: MemorySignal): boolean {
  if (FAULT_FIELDS.includes(a.field.name)) return BITS.every((bits) => a.show(bits) === b.show(bits));
  // Where only one side has words, it is the numbers that can be compared.
  return a.words === undefined || b.words === undefined || JSON.stringify(a.words) === JSON.stringify(b.words);
}

/** A text of faults in an order that does not depend on a build's list of them; any other text as it is. */
export const faultsInOrder = (text: string): string => text.split('+').sort().join('+');

/** Whether two values are the same: not a number is the same as not a number whatever its bits, −0 is not 0. */
export const isSame = ({ old, new: fresh, isByMeaning }: SignalPair, oldValue: number, newValue: number): boolean =>
  isByMeaning ? faultsInOrder(old.show(oldValue)) === faultsInOrder(fresh.show(newValue)) : Object.is(oldValue, newValue);

/** Signals of both builds, matched by name; those that only one has stand apart. */
export interface MatchedSignals {
  readonly pairs: readonly SignalPair[];
  readonly removed: readonly MemorySignal[];
  readonly added: readonly MemorySignal[];
}

export function matchSignals(old: readonly MemorySignal[], fresh: readonly MemorySignal[]): MatchedSignals {
  const byKey = new Map(fresh.map((signal) => [keyOf(signal), signal]));
  const pairs: SignalPair[] = [];
  const removed: MemorySignal[] = [];
  for (const signal of old) {
    const other = byKey.get(keyOf(signal));
    if (other === undefined) removed.push(signal);
    else pairs.push({ old: signal, new: other, isByMeaning: !isSameMeaning(signal, other) });
    byKey.delete(keyOf(signal));
  }
  return { pairs, removed, added: [...byKey.values()] };
}

/** A signal's value in a controller's memory. */
export const readSignal = (memory: DataView, { recordAt, field }: MemorySignal): number => readField(memory, recordAt, field);

/** First byte of a signal. */
export const addressOf = ({ recordAt, field }: MemorySignal): number => recordAt + field.offset;
