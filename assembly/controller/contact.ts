import { Channel, RowFault } from './generated/enums';
import { BankProbe, Coefficients, ContactState } from './generated/records';
import { Row } from './row-records';
import { countDown, countUp } from './time';

/*
 * A lowered row works from the moment its wheels touch the ground, not after a fixed time. Before that its load says nothing, and
 * pressure added in the air would be too much on the ground: the frame that still comes down compresses the chamber, too.
 * Pressure above the set point is too much already in the air. A controller that starts with the lift switch at lowered finds its
 * rows on the ground.
 */

/** The load shows contact above this share of the target: far above what is left of the zero's error, and soon reached (our choice). */
const TOUCH_SHARE: f32 = 0.2;
/** The acceleration shows contact beyond this, m/s², either way: a hanging row follows the frame, which moves with less than 1 m/s². */
const TOUCH_MPS2: f32 = 2;
/** Time for which one of the two must show contact, s: longer than the sensors' noise. */
export const TOUCH_S: f32 = 0.01;
/** Time after the frame has come down after which the wheels are taken to be on the ground in any case, s. */
export const CONTACT_MARGIN_S: f32 = 2.5;

/** Whether the row's sensors show contact. The acceleration is asked only if there is no valid load. */
function showsContact(row: Row, targetN: f32): bool {
  const load = row.channel(Channel.Load);
  if (load.valid !== 0 && (row.activeFaults & RowFault.ANY_FREEZE) === 0) return load.value - row.zero.zeroN > TOUCH_SHARE * targetN;
  const acceleration = row.channel(Channel.Acceleration);
  return acceleration.valid !== 0 && abs<f32>(row.probe.accelerationMps2) > TOUCH_MPS2;
}

/** One tick of the contact detection. At the touch predictor and noise are seeded: what the load did in the air is neither trend nor noise. */
export function updateContact(row: Row, isLifted: bool, bank: BankProbe, c: Coefficients): void {
  const contact = row.contact;
  if (isLifted) {
    contact.hanging = 1;
    contact.touchTicks = 0;
    contact.remainingTicks = <u16>c.contactTicks;
    return;
  }
  contact.remainingTicks = countDown(contact.remainingTicks);
  if (contact.hanging === 0) return;
  contact.touchTicks = showsContact(row, bank.targetLoadN) ? countUp(contact.touchTicks) : 0;
  if (contact.touchTicks < c.touchTicks && contact.remainingTicks !== 0) return;
  contact.hanging = 0;
  row.predictor.hasLoad = 0;
  row.predictor.hasPressure = 0;
  row.loop.hasError = 0;
}

/** Whether the row still hangs, or the frame is still on its way down. */
export function mustNotRaise(contact: ContactState, c: Coefficients): bool {
  return contact.hanging !== 0 || contact.remainingTicks > c.contactTicks - c.liftTicks;
}
