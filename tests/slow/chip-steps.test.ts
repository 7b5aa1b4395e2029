import { afterEach, describe, expect, it } from 'vitest';
import { MessageFields } from '../../host/assess/message-fields.js';
import { buildFirmware } from '../../host/chip/build.js';
import { type Channel, EMULATED_CHIPS } from '../../host/chip/chips.js';
import { type Line, startFirmware } from '../../host/chip/line.js';
import { Link } from '../../host/chip/link.js';
import { REQUESTS } from '../../host/chip/protocol.js';
import { type ChipVectorResult, replayOnChip } from '../../host/chip/replay-chip.js';
import { placeOf } from '../../host/contract/contract.js';
import { messageBytes } from '../../host/contract/messages.js';
import { loadController } from '../../host/runner/wasm-runner.js';
import { readVector } from '../../host/vector/vector.js';
import { type Tampering, tamperedLine } from '../support/chip-lines.js';
import { isChipMissing } from '../support/chip-tools.js';
import { PROJECT } from '../support/project.js';

/* The same on the program of this computer, in more detail: tests/host/chip/replay-chip.test.ts. */

const controller = loadController(PROJECT.controllerWasm);
const { contract } = controller.description;
const VECTOR = readVector(PROJECT, 'target-step');
const LOAD_AT = new MessageFields(contract, 'input').row(0, 'loadCounts', 'u16');
const INPUT_BYTES = messageBytes(contract, 'input', VECTOR.rows);
/** In the middle of a request with many ticks. */
const TICK = 234;

let line: Line | undefined;
afterEach(() => line?.close());

describe.each(EMULATED_CHIPS)('a replay on $name', (chip) => {
  const isMissing = isChipMissing(chip.name);

  function replay(channel: Channel, tampering: Tampering): ChipVectorResult {
    line = startFirmware(buildFirmware(chip, PROJECT.controllerWasm, { channel }));
    return replayOnChip(new Link(tamperedLine(line, INPUT_BYTES, tampering)), controller, VECTOR);
  }

  it.skipIf(isMissing).each(['files', 'uart'] as const)('names the tick at which the state differs, over %s', (channel) => {
    const result = replay(channel, {
      inputs: (inputs, from, end) => {
        const at = (TICK - from) * INPUT_BYTES + LOAD_AT;
        if (from <= TICK && TICK < end) inputs[at] = (inputs[at] ?? 0) ^ 1;
      },
    });
    expect(result).toMatchObject({ verdict: 'stateDiffers', ticks: TICK, divergence: { tick: TICK, row: 0, signal: 'chain' } });
  });

  it.skipIf(isMissing).each(['files', 'uart'] as const)('restarts a chip that has stopped, and names the tick, over %s', (channel) => {
    // As many rows as the count can hold: the controller leaves its memory.
    const { at } = placeOf(contract, 'bankState');
    const breakController = { kind: REQUESTS.write.kind, body: Uint8Array.of(at & 255, at >> 8, 0, 0, 255, 255) };
    const result = replay(channel, { before: (from, end) => (from <= TICK && TICK < end ? [breakController] : []) });
    expect(result).toMatchObject({ verdict: 'stopped', ticks: TICK, divergence: undefined });
    expect(result.stop).toBe(`tick ${TICK}: ${chip.name} has restarted: the controller stopped: an assertion failed`);
  });
});
