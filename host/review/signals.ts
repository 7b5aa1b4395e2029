import type { UnitName } from '../../shared/units.js';
import { formatF32 } from '../common/format-f32.js';
import { type Contract, countInUse, recordAddress, recordOf } from '../contract/contract.js';
import { isSignal, readField } from '../contract/fields.js';
import type { FieldLayout, Place, RecordLayout } from '../contract/layout.js';
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
  readonly field: FieldLayout;
  /** Address of its record, bytes. */
  readonly recordAt: number;
  /** Words for its numbers from 0, if it is an enumeration. */
  readonly words?: readonly string[] | undefined;
  /** Text of a value. */
  readonly show: (value: number) => string;
}

const KINDS: readonly string[] = ['output', 'probe', 'state', 'derived'] satisfies SignalKind[];

/** Row of a record at a place, and the suffix that distinguishes it from the row's other records there. */
function ownerOf(contract: Contract, { each }: Place, index: number): { row: number; suffix: string } {
  const faults = (scope: 'bank' | 'row'): string[] => contract.faults.filter((fault) => fault.scope === scope).map(({ name }) => name);
  const of = (names: readonly string[], row: number): { row: number; suffix: string } => {
    return { row, suffix: `[${names[index % names.length] ?? index}]` };
  };
  const inRow = (names: readonly string[]): { row: number; suffix: string } => of(names, Math.floor(index / names.length) + 1);
  const channels = contract.enums.Channel ?? [];
  if (each === 'row') return { row: index + 1, suffix: '' };
  if (each === 'valve') return inRow(['supply', 'return']);
  // The rail belongs to the bank; a row has the channels before it.
  if (each === 'channel') return inRow(channels.filter((name) => name !== 'rail'));
  if (each === 'rowFault') return inRow(faults('row'));
  if (each === 'channelKind') return of(channels, 0);
  if (each === 'bankFault') return of(faults('bank'), 0);
  if (each === 'rowFaultKind') return of(faults('row'), 0);
  return { row: 0, suffix: '' };
}

/** Fields whose bits are faults. */
const FAULT_FIELDS: readonly string[] = ['faults', 'pending', 'conditions'];

function showOf(contract: Contract, field: FieldLayout, row: number): Pick<MemorySignal, 'show' | 'words'> {
  const words = field.values === undefined ? undefined : contract.enums[field.values];
  if (words !== undefined) return { words, show: (value) => words[value] ?? String(value) };
  if (FAULT_FIELDS.includes(field.name)) return { show: faultNames(contract, row === 0 ? 'bank' : 'row') };
  return { show: field.type.startsWith('f') ? formatF32 : String };
}

function signalsOfRecord(contract: Contract, place: Place, record: RecordLayout, index: number): MemorySignal[] {
  const { row, suffix } = ownerOf(contract, place, index);
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

/** Places that configure() and tick() write, with the number of records in use. */
function writtenPlaces(contract: Contract, rows: number): { place: Place; record: RecordLayout; count: number }[] {
  return contract.places.flatMap((place) => {
    const record = recordOf(contract, place.record);
    return KINDS.includes(record.kind) ? [{ place, record, count: countInUse(contract, place, rows) }] : [];
  });
}

/** Every signal that a controller of `rows` rows writes, in the order of memory. */
export const signalsOf = (contract: Contract, rows: number): MemorySignal[] =>
  writtenPlaces(contract, rows).flatMap(({ place, record, count }) =>
    Array.from({ length: count }, (_, index) => signalsOfRecord(contract, place, record, index)).flat(),
  );

/**
 * Names of the records that start at an address, the same in any build: a record by its row and place; the first record of a row
 * and of a place also by these, since loops start there.
 */
export function recordNames(contract: Contract, rows: number): ReadonlyMap<number, ReadonlySet<string>> {
  const found = new Map<number, Set<string>>();
  const add = (at: number, name: string): void => void found.set(at, (found.get(at) ?? new Set()).add(name));
  for (const place of contract.places) {
    add(place.at, place.name);
    let last = -1;
    for (let index = 0; index < countInUse(contract, place, rows); index++) {
      const { row, suffix } = ownerOf(contract, place, index);
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
  readonly base: MemorySignal;
  readonly head: MemorySignal;
  /** Whether a number may have different words in the two builds, so that words are compared. */
  readonly isComparedByText: boolean;
}

/** Identifies a signal of a bank. */
export const keyOf = ({ row, name }: Pick<MemorySignal, 'row' | 'name'>): string => `${row} ${name}`;

const BITS = Array.from({ length: 32 }, (_, bit) => 2 ** bit);

function hasSameWords(a: MemorySignal, b: MemorySignal): boolean {
  if (FAULT_FIELDS.includes(a.field.name)) return BITS.every((bits) => a.show(bits) === b.show(bits));
  // If only one side has words, numbers are compared.
  return a.words === undefined || b.words === undefined || JSON.stringify(a.words) === JSON.stringify(b.words);
}

/** Sorts names of faults, since builds may list them in different orders. Any other text stays as it is. */
export const sortFaults = (text: string): string => text.split('+').sort().join('+');

/** Whether two values are the same. NaN equals NaN whatever its bits; −0 does not equal 0. */
export const isSame = ({ base, head, isComparedByText }: SignalPair, baseValue: number, headValue: number): boolean =>
  isComparedByText ? sortFaults(base.show(baseValue)) === sortFaults(head.show(headValue)) : Object.is(baseValue, headValue);

/** Signals of two builds, matched by name. */
export interface MatchedSignals {
  readonly pairs: readonly SignalPair[];
  readonly removed: readonly MemorySignal[];
  readonly added: readonly MemorySignal[];
}

export function matchSignals(base: readonly MemorySignal[], head: readonly MemorySignal[]): MatchedSignals {
  const byKey = new Map(head.map((signal) => [keyOf(signal), signal]));
  const pairs: SignalPair[] = [];
  const removed: MemorySignal[] = [];
  for (const signal of base) {
    const other = byKey.get(keyOf(signal));
    if (other === undefined) removed.push(signal);
    else pairs.push({ base: signal, head: other, isComparedByText: !hasSameWords(signal, other) });
    byKey.delete(keyOf(signal));
  }
  return { pairs, removed, added: [...byKey.values()] };
}

/** A signal's value in a controller's memory. */
export const readSignal = (memory: DataView, { recordAt, field }: MemorySignal): number => readField(memory, recordAt, field);

/** First byte of a signal. */
export const addressOf = ({ recordAt, field }: MemorySignal): number => recordAt + field.offset;
