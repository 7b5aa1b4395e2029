import { clamp } from './constants';
import { groundStep, PlacedStone, placedStone, plant, Segment, segment, setup, track } from './generated/records';
import { Purpose, uniform } from './random';

/*
 * What changes along the pass: segments of the field, stones at places, steps of the ground. Around the border of two segments
 * their quantities are blended linearly, so that neither stiffness nor force has a step. The height has none either: roughness
 * only scales the noise that the profile adds up (profile.ts).
 */

/** Number of the segment at a position, from 0; at a border, of the one that begins. */
function segmentAt(positionM: f64): i32 {
  let index = <i32>setup().segments - 1;
  while (index > 0 && positionM < segment(index).startM) index -= 1;
  return index;
}

/** A quantity of the segments at a position. @param offset of the quantity in Segment */
function blended(positionM: f64, offset: usize): f64 {
  let index = <i32>setup().segments - 1;
  while (index > 0 && positionM < segment(index).startM - 0.5 * segment(index).blendM) index -= 1;
  const s = segment(index);
  const value = load<f64>(changetype<usize>(s) + offset);
  const intoM = positionM - (s.startM - 0.5 * s.blendM);
  if (index === 0 || !(intoM < s.blendM)) return value;
  const before = load<f64>(changetype<usize>(segment(index - 1)) + offset);
  return before + (intoM / s.blendM) * (value - before);
}

/** Roughness at a position, cm³; the field must have segments. */
export function roughnessAt(positionM: f64): f64 {
  return blended(positionM, offsetof<Segment>('roughnessCm3'));
}

/** Hardness of the soil at a position, as a fraction of the field's. */
export function hardnessAt(positionM: f64): f64 {
  return setup().segments === 0 ? 1 : blended(positionM, offsetof<Segment>('hardnessRatio'));
}

/** Stiffness of the contact at a position, as a fraction of the machine's. */
export function stiffnessAt(positionM: f64): f64 {
  return setup().segments === 0 ? 1 : blended(positionM, offsetof<Segment>('stiffnessRatio'));
}

/** Damping of the contact at a position, as a fraction of the machine's. */
export function dampingAt(positionM: f64): f64 {
  return setup().segments === 0 ? 1 : blended(positionM, offsetof<Segment>('dampingRatio'));
}

/**
 * Position of the next stone of a Poisson process whose rate differs from segment to segment; infinite if there is none.
 * The area under the rate up to it is exponentially distributed (time change of a Poisson process: Cinlar, Introduction to
 * Stochastic Processes, 1975, section 4.7; from memory).
 * @param area exponentially distributed, mean 1
 */
export function nextStoneM(fromM: f64, area: f64): f64 {
  const last = <i32>setup().segments - 1;
  let positionM = fromM;
  for (let index = segmentAt(fromM); index <= last; index++) {
    const everyM = segment(index).stoneEveryM;
    const endM = index < last ? segment(index + 1).startM : Infinity;
    if (everyM > 0 && positionM + area * everyM < endM) return positionM + area * everyM;
    if (everyM > 0) area -= (endM - positionM) / everyM;
    positionM = endM;
  }
  return Infinity;
}

/** Height that the steps of the ground have added up to at a position, m. */
export function stepsHeight(positionM: f64): f64 {
  let heightM: f64 = 0;
  for (let index = 0; index < <i32>setup().groundSteps; index++) {
    const step = groundStep(index);
    heightM += step.heightM * clamp((positionM - step.atM) / step.overM, 0, 1);
  }
  return heightM;
}

/** Whether a placed stone is in a row, from 1. */
function isInRow(stone: PlacedStone, index: i32, row: i32): bool {
  if (((<u64>stone.rowBits >> <u64>(row - 1)) & 1) === 0) return false;
  return uniform(setup().seed, row, Purpose.PlacedStone, <u64>index) < stone.rowShareRatio;
}

/** Passes placed stones that end before a position. Positions ascend. */
export function passPlacedStones(positionM: f64): void {
  const p = plant();
  while (p.placedDone < setup().placedStones) {
    const stone = placedStone(<i32>p.placedDone);
    if (stone.atM + stone.lengthM > positionM) break;
    p.placedDone += 1;
  }
}

/** Height of the highest placed stone of a row at a position that `passPlacedStones` had last, m. */
export function placedHeight(row: i32, positionM: f64): f64 {
  let heightM: f64 = 0;
  for (let index = <i32>plant().placedDone; index < <i32>setup().placedStones; index++) {
    const stone = placedStone(index);
    const intoM = positionM - stone.atM;
    if (intoM <= 0) break;
    if (intoM < stone.lengthM && isInRow(stone, index, row))
      heightM = Math.max(heightM, stone.heightM * Math.sin((Math.PI * intoM) / stone.lengthM));
  }
  return heightM;
}

/** Counts the placed stones that the rows have reached. */
export function meetPlacedStones(): void {
  const p = plant();
  while (p.placedMet < setup().placedStones && placedStone(<i32>p.placedMet).atM <= p.distanceM) {
    const stone = placedStone(<i32>p.placedMet);
    for (let row = 1; row <= <i32>setup().rows; row++) {
      if (isInRow(stone, <i32>p.placedMet, row)) track(row).placedMet += 1;
    }
    p.placedMet += 1;
  }
}
