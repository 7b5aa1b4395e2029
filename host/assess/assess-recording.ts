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
  const allowed = `a recording with ${KINDS.join(', ')} messages, as a simulation makes it`;
  throw new InputError({ file, what: `no ${missing.join(' and no ')} messages`, allowed });
}

/**
 * Metrics of a recorded run. Its ticks must follow one another, each with all four kinds of message; a last tick that a cut-off
 * recording holds a part of is left out.
 * @throws InputError when a kind of message is missing, at all or in a tick, and as `openRecording` does
 */
export function assessRecording(file: string, contract: Contract): Metrics {
  const recording = openRecording(file, contract);
  checkKinds(recording);
  const { rows, tickHz } = recording;
  const views: Partial<Record<MessageName, Uint8Array>> = {};
  let assessor: Assessor | undefined;
  let tickAt = Number.NaN;
  let seen: MessageName[] = KINDS;
  for (const { message, tick, payload } of recording.messages()) {
    if (tick !== tickAt) {
      checkTick(file, tickAt, seen);
      if (assessor !== undefined && tick !== tickAt + 1)
        throw new InputError({ file, what: 'tick', value: tick, allowed: `${tickAt + 1}` });
      tickAt = tick;
      seen = [];
    }
    views[message] = payload;
    seen.push(message);
    if (seen.length < KINDS.length) continue;
    assessor ??= new Assessor({ contract, rows, tickHz, views: views as AssessSetup['views'] });
    assessor.take(tick);
  }
  if (assessor === undefined) throw new InputError({ file, what: 'no whole tick', allowed: `one with ${KINDS.join(', ')} messages` });
  return assessor.finish();
}

/** @throws InputError when a kind of message is not among those seen in a tick */
function checkTick(file: string, tick: number, seen: readonly MessageName[]): void {
  if (seen.length === KINDS.length) return;
  const missing = KINDS.filter((kind) => !seen.includes(kind));
  throw new InputError({
    file,
    what: `tick ${tick} without ${missing.join(' and ')} message`,
    allowed: `${KINDS.join(', ')} in every tick`,
  });
}
