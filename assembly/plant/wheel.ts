import { derived, machine, PROFILE_STEP_M, WINDOW, Window } from './generated/records';

/*
 * Path of a gauge wheel that rolls as a circle over the points around it: the centre follows the upper envelope of circles
 * about those points (the rigid tread band of Captain, Boghani, Wormley, Analytical tire models for dynamic vehicle simulation,
 * Vehicle System Dynamics 8(1), 1979; from memory). The wheel rises before an edge and stays on a stone for longer than its
 * length. Soil and tyre yield to short waves of the ground, which the low-pass stands for; a stone does not yield, so the
 * circle comes after it.
 */

/** Adds ground and stone `wheelReach` points ahead of the wheel's centre. The newest point is the last. */
export function pushWindow(w: Window, groundM: f64, stoneM: f64): void {
  const ground = changetype<usize>(w) + offsetof<Window>('ground0');
  const stone = changetype<usize>(w) + offsetof<Window>('stone0');
  const last = <usize>WINDOW - 1;
  for (let index = last - 2 * <usize>derived().wheelReach; index < last; index++) {
    store<f64>(ground + (index << 3), load<f64>(ground + ((index + 1) << 3)));
    store<f64>(stone + (index << 3), load<f64>(stone + ((index + 1) << 3)));
  }
  store<f64>(ground + (last << 3), groundM);
  store<f64>(stone + (last << 3), stoneM);
}

/** Height of the ground under the wheel's centre, m. */
export function middleOf(w: Window): f64 {
  const ground = changetype<usize>(w) + offsetof<Window>('ground0');
  return load<f64>(ground + ((<usize>WINDOW - 1 - <usize>derived().wheelReach) << 3));
}

/** Height of the wheel's centre above its radius, m. @param stones 1 with the stones, 0 without */
function envelopeOf(w: Window, stones: f64): f64 {
  const ground = changetype<usize>(w) + offsetof<Window>('ground0');
  const stone = changetype<usize>(w) + offsetof<Window>('stone0');
  const radiusM = machine().wheelRadiusMm * 1e-3;
  const reach = <i32>derived().wheelReach;
  let highest = -Infinity;
  for (let point = -reach; point <= reach; point++) {
    const at = (<usize>(WINDOW - 1 - reach + point)) << 3;
    const alongM = <f64>point * PROFILE_STEP_M;
    const dropM = radiusM - Math.sqrt(Math.max(0, radiusM * radiusM - alongM * alongM));
    highest = Math.max(highest, load<f64>(ground + at) + stones * load<f64>(stone + at) - dropM);
  }
  return highest;
}

/** Height of the path of a row's wheels, m: a stone is under one of them, and the equaliser passes on a fraction of its effect. */
export function wheelPathOf(w: Window): f64 {
  const ratio = machine().equaliserRatio;
  if (derived().wheelReach === 0) return w.ground40 + ratio * w.stone40;
  const withoutM = envelopeOf(w, 0);
  return withoutM + ratio * (envelopeOf(w, 1) - withoutM);
}
