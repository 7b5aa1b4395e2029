import { ENDS, ENTRIES, EVENTS, NO_INPUTS } from '../../chip/protocol.js';
import { dataViewOf } from '../../common/data-view.js';
import type { BoardCounters, FreeRunListener, StepReport } from '../board.js';
import { nameOf, readCounters } from './messages.js';

/** Bytes of an entry before its body: type and length. */
const ENTRY_HEAD = 2;

const NAMES = new Map<number, keyof typeof ENTRIES>(
  Object.entries(ENTRIES).map(([name, { kind }]) => [kind, name as keyof typeof ENTRIES]),
);

/**
 * Reads the entries of the journal of one free run, and reports each step once. The board reports only outputs that change, so after a
 * loss the outputs are unknown until each byte of them has been reported again; steps until then count as lost too.
 */
export class JournalReader {
  /** The last step that was reported, and its timer tick. */
  last: { readonly step: number; readonly timerTick: number } | undefined;
  /** The board's last report of what it counts. */
  counters: BoardCounters | undefined;
  private readonly output: Uint8Array;
  /** Bytes of the outputs that are known. */
  private readonly known: Uint8Array;
  private unknown: number;
  private lostFrom: number | undefined;
  private inputStep = -1;
  private isEnding = false;

  /**
   * @param outputBytes of the bank and all rows
   * @param period steps between inputs
   * @param next step that the first report should be of
   * @param before outputs before that step, if they are known
   */
  constructor(
    outputBytes: number,
    private readonly period: number,
    private next: number,
    private readonly listener: FreeRunListener,
    before?: Uint8Array,
  ) {
    this.output = new Uint8Array(outputBytes);
    this.known = new Uint8Array(outputBytes);
    this.unknown = outputBytes;
    if (before === undefined) return;
    this.output.set(before);
    this.known.fill(1);
    this.unknown = 0;
  }

  /** @param bytes whole entries */
  take(bytes: Uint8Array, isAfterLoss: boolean): void {
    if (isAfterLoss) {
      this.known.fill(0);
      this.unknown = this.known.length;
    }
    for (let at = 0; at + ENTRY_HEAD <= bytes.length; ) {
      const end = at + ENTRY_HEAD + (bytes[at + 1] ?? 0);
      this.takeEntry(bytes[at] ?? 0, bytes.subarray(at + ENTRY_HEAD, end));
      at = end;
    }
  }

  /** Reports steps whose outputs never became known again. @param steps of the run in all */
  finish(steps: number): void {
    if (this.next < steps) this.lostFrom ??= this.next;
    this.next = steps;
    this.reportLost(steps);
  }

  private takeEntry(kind: number, body: Uint8Array): void {
    const bytes = dataViewOf(body);
    const u32 = (at: number): number => bytes.getUint32(at, true);
    const { listener } = this;
    switch (NAMES.get(kind)) {
      case 'steps':
        this.takeQuiet(u32(0), u32(4), bytes.getUint16(8, true));
        break;
      case 'part':
        this.takePieces(body, bytes);
        break;
      case 'step': {
        this.takePieces(body, bytes);
        const stamp = u32(8);
        this.report(u32(0), u32(4), stamp === NO_INPUTS ? -1 : stamp);
        break;
      }
      case 'coils':
        listener.onCoils?.({ timerTick: u32(0), row: bytes.getUint8(4), supplyOrder: bytes.getUint8(5), returnOrder: bytes.getUint8(6) });
        break;
      case 'hash':
        listener.onHash?.(u32(0), u32(4));
        break;
      case 'sample':
        listener.onSample?.(bytes.getUint8(0), u32(1), body.subarray(5));
        break;
      case 'parameters':
        listener.onParameters?.(u32(0), bytes.getInt32(4, true), u32(8));
        break;
      case 'statistics':
        this.counters = readCounters(bytes, 4);
        listener.onStatistics?.(u32(0), this.counters);
        break;
      case 'event':
        this.takeEvent(u32(0), bytes.getUint8(4), u32(5));
        break;
      default: // A newer board may report more.
    }
  }

  private takeEvent(step: number, event: number, reason: number): void {
    const what = nameOf(EVENTS, event);
    if (what === 'run ending') this.isEnding = true;
    if (what === 'run ended') this.finish(step);
    this.listener.onEvent?.({ what, step, end: what === 'run started' ? 'none' : nameOf(ENDS, reason) });
  }

  /** Steps one timer tick apart, without a change of outputs; each used its own inputs, or in the end the last ones. */
  private takeQuiet(first: number, timerTick: number, count: number): void {
    for (let index = 0; index < count; index++) {
      const step = first + index;
      const inputStep = this.isEnding ? this.inputStep : step - (step % this.period);
      this.report(step, (timerTick + index) >>> 0, inputStep);
    }
  }

  /** Changed bytes of the outputs. */
  private takePieces(body: Uint8Array, bytes: DataView): void {
    const PIECE_HEAD = 3;
    for (let at = 12; at + PIECE_HEAD <= body.length; ) {
      const [offset, count] = [bytes.getUint16(at, true), bytes.getUint8(at + 2)];
      at += PIECE_HEAD;
      for (let index = offset; index < Math.min(offset + count, this.known.length); index++) {
        this.unknown -= 1 - (this.known[index] ?? 0);
        this.known[index] = 1;
        this.output[index] = body[at + index - offset] ?? 0;
      }
      at += count;
    }
  }

  private report(step: number, timerTick: number, inputStep: number): void {
    if (step < this.next) return;
    if (step > this.next) this.lostFrom ??= this.next;
    if (this.unknown > 0) this.lostFrom ??= step;
    this.next = step + 1;
    this.inputStep = inputStep;
    this.last = { step, timerTick };
    if (this.unknown > 0) return;
    this.reportLost(step);
    const report: StepReport = { step, timerTick, inputStep, isEnding: this.isEnding, output: this.output };
    this.listener.onStep?.(report);
  }

  /** Everything lost is before this step. */
  private reportLost(before: number): void {
    if (this.lostFrom === undefined) return;
    const from = this.lostFrom;
    this.lostFrom = undefined;
    this.listener.onLost?.(from, before - 1);
  }
}
