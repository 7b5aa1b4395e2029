import type { Verdict } from '../../replay/verdict.js';
import type { SignalKind } from '../review.js';

/** A controller that stopped. */
export interface StopClass {
  readonly kind: Extract<Verdict, 'stopped'>;
  readonly side: 'base' | 'head' | 'both';
  readonly message: string;
  /** Place in the binary, which distinguishes assertions; empty if the engine does not report it. */
  readonly at: string;
}

/** The first output that differs. */
export interface OutputClass {
  readonly kind: Extract<Verdict, 'outputsDiffer'>;
  readonly scope: 'bank' | 'row';
  readonly signal: string;
  readonly base: string;
  readonly head: string;
}

/** The first probe or state that differs while no output does. */
export interface StateClass {
  readonly kind: Extract<Verdict, 'stateDiffers'>;
  readonly signal: string;
  readonly of: Exclude<SignalKind, 'output'>;
}

/** What two differences have in common, wherever and whenever they occur. */
export type DifferenceClass = StopClass | OutputClass | StateClass;

/** Two differences are of the same class if their keys are equal. */
export const classKey = (one: DifferenceClass): string => {
  if (one.kind === 'stopped') return `stopped ${one.side} ${one.at} ${one.message}`;
  return one.kind === 'outputsDiffer' ? `outputs ${one.scope} ${one.signal} ${one.base} ${one.head}` : `state ${one.signal}`;
};

/** `supplyOrder of a row: none → open`. */
export function classText(one: DifferenceClass): string {
  if (one.kind === 'stopped')
    return `${one.side === 'both' ? 'both sides stop' : `${one.side} stops`}: ${one.message}${one.at === '' ? '' : `, ${one.at}`}`;
  if (one.kind === 'outputsDiffer') return `${one.signal} of ${one.scope === 'bank' ? 'the bank' : 'a row'}: ${one.base} → ${one.head}`;
  return `state differs: ${one.signal}`;
}

/** The signal as part of a vector's name: `supplyOrder` → `supply-order`. */
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
