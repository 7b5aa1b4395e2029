import { InputError } from '../common/input-error.js';
import type { Contract } from '../contract/contract.js';
import { MESSAGES, type MessageName } from '../contract/messages.js';
import { openRecording, type Recording } from '../recording/reader.js';
import { Assessor, type AssessSetup } from './assessor.js';
import type { Metrics } from './metrics.js';

const KINDS = Object.keys(MESSAGES) as MessageName[];

function checkKinds({ file, counts }: Recording): void {
  const missing = KINDS.filter((kind) => (counts[kind] ?? 0) === 0);
  if (missing.length === 0) return;
  const problem = `the recording has no ${missing.join(' and no ')} messages`;
  throw new InputError({ file, problem, hint: `Record ${KINDS.join(', ')} with \`latchbench simulate -o\`` });
}

/**
 * Returns the metrics of a recorded run. Its ticks must be consecutive, with a message of each kind in every tick. An incomplete
 * last tick, as in a truncated recording, is ignored.
 * @throws InputError when a kind of message is missing, in the recording or in a tick, and as `openRecording` does
 */
export function assessRecording(file: string, contract: Contract): Metrics {
  const recording = openRecording(file, contract);
  checkKinds(recording);
  const { rows, tickHz } = recording;
  const views: Partial<Record<MessageName, Uint8Array>> = {};
  let assessor: Assessor | undefined;
  let current = Number.NaN;
  let found: MessageName[] = KINDS;
  for (const { message, tick, payload } of recording.messages({ messages: KINDS })) {
    if (message === 'orders') continue;
    if (tick !== current) {
      checkTick(file, current, found);
      if (assessor !== undefined && tick !== current + 1) throw new InputError({ file, problem: `tick ${current + 1} is missing` });
      current = tick;
      found = [];
    }
    views[message] = payload;
    found.push(message);
    if (found.length < KINDS.length) continue;
    assessor ??= new Assessor({ contract, rows, tickHz, views: views as AssessSetup['views'] });
    assessor.take(tick);
  }
  if (assessor === undefined) throw new InputError({ file, problem: `no tick has messages of all kinds: ${KINDS.join(', ')}` });
  return assessor.finish();
}

/** @throws InputError when a tick lacks a kind of message */
function checkTick(file: string, tick: number, found: readonly MessageName[]): void {
  if (found.length === KINDS.length) return;
  const missing = KINDS.filter((kind) => !found.includes(kind));
  throw new InputError({ file, problem: `tick ${tick} has no ${missing.join(' and no ')} message` });
}
