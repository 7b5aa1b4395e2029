import type { SignalKind } from '../review.js';

/** A controller that stopped. */
export interface StopClass {
  readonly kind: 'stopped';
  readonly side: 'old' | 'new' | 'both';
  readonly message: string;
  /** Place in the binary, which tells one assertion from another; empty where the machine does not say. */
  readonly at: string;
}

/** An output that differs, and before all others. */
export interface OutputClass {
  readonly kind: 'outputs';
  readonly scope: 'bank' | 'row';
  readonly signal: string;
  readonly old: string;
  readonly new: string;
}

/** A value in between or kept that differs while no output does. */
export interface InnerClass {
  readonly kind: 'inner';
  readonly signal: string;
  readonly of: Exclude<SignalKind, 'output'>;
}

/** What is the same about two differences, wherever and whenever they show. */
export type DifferenceClass = StopClass | OutputClass | InnerClass;

/** The class as a key: the same text, the same class. */
export const classKey = (one: DifferenceClass): string => {
  if (one.kind === 'stopped') return `stopped ${one.side} ${one.at} ${one.message}`;
  return one.kind === 'outputs' ? `outputs ${one.scope} ${one.signal} ${one.old} ${one.new}` : `inner ${one.signal}`;
};

/** The class in words. */
export function classText(one: DifferenceClass): string {
  if (one.kind === 'stopped')
    return `${one.side === 'both' ? 'both sides stop' : `the ${one.side} side stops`}: ${one.message}${one.at === '' ? '' : `, ${one.at}`}`;
  if (one.kind === 'outputs') return `${one.signal} of ${one.scope === 'bank' ? 'the bank' : 'a row'}: ${one.old} → ${one.new}`;
  return `inner state only: ${one.signal}`;
}

/** The signal in the words of a vector's name: `supplyOrder` → `supply-order`. */
export function classSlug(one: DifferenceClass): string {
  const signal = one.kind === 'stopped' ? 'stop' : one.signal;
  return signal
    .replace(/([a-z0-9])([A-Z])/g, '$1-$2')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
}

/** Frame of a trap in WebAssembly as V8 prints it. */
const FRAME = /wasm-function\[\d+\]:0x[0-9a-f]+/;

/** Place of a trap in its binary. */
export const placeOfTrap = (error: Error): string => FRAME.exec(error.stack ?? '')?.[0] ?? '';
