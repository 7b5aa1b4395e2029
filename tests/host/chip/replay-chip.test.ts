import { afterEach, describe, expect, it } from 'vitest';
import type { Line } from '../../../host/chip/line.js';
import { Link, LinkLost } from '../../../host/chip/link.js';
import { INJECTED, REQUESTS } from '../../../host/chip/protocol.js';
import { type ChipVectorResult, replayOnChip } from '../../../host/chip/replay-chip.js';
import { placeOf, recordOf } from '../../../host/contract/contract.js';
import { messageBytes } from '../../../host/contract/messages.js';
import { loadController } from '../../../host/runner/wasm-runner.js';
import { readVector } from '../../../host/vector/vector.js';
import { nativeLine, type Tampering, tamperedLine } from '../../support/chip-lines.js';
import { isChipMissing } from '../../support/chip-tools.js';
import { PROJECT } from '../../support/project.js';

const controller = loadController(PROJECT.controllerWasm);
const { contract } = controller.description;
/** 9000 ticks of 4 rows: 68 bytes of inputs for a tick, so a request of 1024 bytes carries 15 ticks, and the last of a second 10. */
const VECTOR = readVector(PROJECT, 'target-step');
const INPUT_BYTES = messageBytes(contract, 'input', VECTOR.rows);

let line: Line | undefined;
afterEach(() => line?.close());

/** Replays the vector on a chip behind a line that is tampered with. */
function replay(tampering: Tampering): { result: ChipVectorResult; requests: [from: number, end: number][] } {
  line = nativeLine();
  const requests: [number, number][] = [];
  const before = (from: number, end: number) => {
    requests.push([from, end]);
    return tampering.before?.(from, end) ?? [];
  };
  return { result: replayOnChip(new Link(tamperedLine(line, INPUT_BYTES, { ...tampering, before })), controller, VECTOR), requests };
}

/** A tick in the middle of a request that carries many. */
const TICK = 1234;
/** Offset of the load in a row's inputs: soilAheadN is before it. */
const LOAD_AT = 4;
const contains = (from: number, end: number, tick = TICK): boolean => from <= tick && tick < end;

describe.skipIf(isChipMissing('native'))('a replay on a chip', () => {
  it('carries many ticks per request, and ends a request with each second', () => {
    const { result, requests } = replay({});
    expect(result).toMatchObject({ verdict: 'same', ticks: 9000, divergence: undefined, stop: undefined });
    expect(result.chipChain).toBe(result.wasmChain);
    expect(requests).toHaveLength(9 * Math.ceil(1000 / 15));
    expect(requests.slice(0, 2)).toEqual([
      [0, 15],
      [15, 30],
    ]);
    for (let second = 1; second <= 9; second++) expect(requests.map(([, end]) => end)).toContain(second * 1000);
  });

  it('finds the tick at which an input, and with it the state, is different', () => {
    // One count more of row 1's load: no output changes at once.
    const { result, requests } = replay({
      inputs: (inputs, from, end) => {
        const at = (TICK - from) * INPUT_BYTES + messageBytes(contract, 'input', 0) + LOAD_AT;
        if (contains(from, end)) inputs[at] = (inputs[at] ?? 0) ^ 1;
      },
    });
    expect(result).toMatchObject({ ticks: TICK, stop: undefined, divergence: { tick: TICK, row: 0, signal: 'chain' } });
    expect(result.divergence?.wasm).not.toBe(result.divergence?.chip);
    expect([result.divergence?.wasm, result.divergence?.chip]).toEqual([result.wasmChain, result.chipChain]);
    // Once more from the start, and tick by tick only in the request that differed.
    const again = requests.slice(requests.findIndex(([from], index) => index > 0 && from === 0));
    expect(again.filter(([from, end]) => end - from === 1).map(([from]) => from)).toEqual(
      Array.from({ length: TICK - 1225 + 1 }, (_, index) => 1225 + index),
    );
  });

  it('names tick, row, signal and values of an output that is different', () => {
    // Order 1 of the last row's supply valve is to open it.
    const field = recordOf(contract, 'RowOutput').fields.find(({ name }) => name === 'supplyOrder');
    const at = messageBytes(contract, 'output', VECTOR.rows - 1) + (field?.offset ?? Number.NaN);
    const { result } = replay({
      answer: (body, from, end) => {
        if (contains(from, end)) body[at] = 1;
      },
    });
    expect(result.ticks).toBe(TICK);
    expect(result.divergence).toEqual({ tick: TICK, row: VECTOR.rows, signal: 'supplyOrder', wasm: 'none', chip: 'open' });
  });

  it('reports a difference that does not occur again for the request in which it was', () => {
    let isDone = false;
    const { result } = replay({
      inputs: (inputs, from, end) => {
        if (isDone || !contains(from, end)) return;
        isDone = true;
        inputs[0] = (inputs[0] ?? 0) ^ 1;
      },
    });
    // Tick 1234 is in the request from 1225 to 1239, 15 × 15 ticks after the end of the first second.
    expect(result).toMatchObject({ ticks: 1225, divergence: { tick: 1239, row: 0, signal: 'chain' } });
  });

  /** As many rows as the count can hold: more than the controller has memory for, so it stops. */
  const { at } = placeOf(contract, 'bankState');
  const breakController = { kind: REQUESTS.write.kind, body: Uint8Array.of(at & 255, at >> 8, 0, 0, 255, 255) };

  it('names the tick at which the controller stops on the chip', () => {
    const { result } = replay({ before: (from, end) => (contains(from, end) ? [breakController] : []) });
    expect(result).toMatchObject({ verdict: 'stopped', ticks: TICK, divergence: undefined });
    expect(result.stop).toBe(`tick ${TICK}: native has restarted: the controller stopped: an assertion failed`);
    expect(result.chipChain).toBe(result.wasmChain);
  });

  it('names the ticks of the last request when the chip has gone for good', () => {
    const fault = { kind: REQUESTS.inject.kind, body: Uint8Array.of(INJECTED.fault) };
    const { result } = replay({ before: (from, end) => (contains(from, end) ? [fault] : []) });
    expect(result).toMatchObject({ verdict: 'stopped', ticks: 1225 });
    expect(result.stop).toMatch(/^ticks 1225 to 1239: native (does not answer|has gone)/);
  });

  it('is not begun on a chip that has stopped', () => {
    line = nativeLine();
    const link = new Link(tamperedLine(line, INPUT_BYTES, { before: () => [breakController] }));
    expect(replayOnChip(link, controller, VECTOR).verdict).toBe('stopped');
    expect(() => replayOnChip(link, controller, VECTOR)).toThrow(LinkLost);
  });
});
