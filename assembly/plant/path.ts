import { Path, RING } from './generated/records';

/** Adds a value to a ring of profile points, newest last. @param at address of its first */
export function pushPoint(at: usize, value: f64): void {
  for (let index: usize = 0; index < <usize>RING - 1; index++) store<f64>(at + (index << 3), load<f64>(at + ((index + 1) << 3)));
  store<f64>(at + ((<usize>RING - 1) << 3), value);
}

/** Adds a point to a path. */
export function pushHeight(path: Path, heightM: f64): void {
  pushPoint(changetype<usize>(path) + offsetof<Path>('height0'), heightM);
}
