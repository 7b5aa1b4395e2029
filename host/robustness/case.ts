import type { FAULTS } from '../../shared/faults.js';
import type { Changes } from '../figures/variant.js';
import type { Hill } from './hill.js';

/** What the unkindness of a case lies in; tables and drawings are grouped by it. */
export const GROUPS = ['nominal', 'sensors', 'hydraulics', 'machine', 'field', 'faults', 'random'] as const;
export type Group = (typeof GROUPS)[number];

/** Rows that have a broken part, counted from 1. */
export type Rows = readonly number[] | 'all' | 'none';

/** A machine, field and course of events that the controller must hold on; differences from the nominal case. */
export interface Case {
  readonly name: string;
  readonly group: Group;
  /** Machine in vectors/machines that the parts belong to; default: the nominal one. */
  readonly machine?: string;
  /** Parts of the machine file, with the quantities that differ from the defaults. */
  readonly parts?: Readonly<Record<string, Changes | 'none'>>;
  /** Keys of the scenario file. */
  readonly scenario?: Changes;
  /** The ground: hills on the roughness of class D. */
  readonly hill?: Hill;
  /** Rows with a broken part; default: none. They need not hold their load, unless all rows have the same broken part. */
  readonly broken?: Rows;
  /** Faults that the controller may report in the broken rows and for the bank. */
  readonly expected?: readonly (typeof FAULTS)[number]['name'][];
  /** Limit of the judged ratio; default: `SINGLE_MAX`. */
  readonly wanted?: number;
}

/** What a case may cost unless it says otherwise: a single unkind quantity a quarter. Our choice. */
export const SINGLE_MAX = 1.25;

/** The key by which a case is found: its group and name. */
export const titleOf = ({ group, name }: Case): string => (group === 'nominal' ? name : `${group}: ${name}`);
