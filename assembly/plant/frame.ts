import { nextLowPass } from './filters';
import {
  derived,
  drive,
  frameFilter,
  machine,
  RowProperties,
  rowProperties,
  Stage,
  Support,
  setup,
  stageEnd,
  stageMiddle,
  stageStart,
  support,
  supportPath,
  window,
} from './generated/records';
import { pushHeight } from './path';
import { heightOf, setStage, slopeOf } from './stage';
import { middleOf } from './wheel';

/*
 * Motion of the frame. Without bounce it is rigid and follows the waves that all rows share. With bounce, each wing is a bar on
 * two supports, at its first and its last row. A support is a mass on the spring and damper of a wheel that follows the ground of
 * that row (base excitation: Rao, Mechanical Vibrations, section 3.6):
 *
 *   ÿ = −2·ζ·ω·(ẏ − ġ) − ω²·(y − g)
 *
 * The rows of a wing are linearly between its supports: the wing bounces and rolls. The forces of the rows on the bar are
 * neglected, as is the hinge's force between wings.
 */

/** Supports of all wings. */
function supportCount(): i32 {
  return 2 * <i32>Math.ceil(setup().rows / machine().wingRows);
}

/** First or last row of a support's wing, from 0. */
function rowOf(index: i32): i32 {
  const wingRows = <i32>machine().wingRows;
  const first = (index / 2) * wingRows;
  return index % 2 === 0 ? first : min<i32>(first + wingRows, <i32>setup().rows) - 1;
}

/** Places the rows on the supports of their wings. */
export function fitWings(): void {
  for (let index = 0; index < supportCount(); index += 2) {
    const first = rowOf(index);
    const last = rowOf(index + 1);
    for (let row = first; row <= last; row++) {
      rowProperties(row).support = <f64>index;
      rowProperties(row).supportShare = last > first ? <f64>(row - first) / <f64>(last - first) : 0;
    }
  }
}

/** Adds a point to the path of every support: the ground of its row, smoothed by the frame wheels. */
export function addSupportPoint(): void {
  if (machine().bounceHz === 0) return;
  for (let index = 0; index < supportCount(); index++) {
    const path = supportPath(index);
    pushHeight(path, nextLowPass(path, frameFilter(), middleOf(window(rowOf(index) + 1))));
  }
}

/** Puts every support on the ground at rest relative to it. @param stage at the start of the run */
export function placeSupports(stage: Stage): void {
  for (let index = 0; index < supportCount(); index++) {
    const s = support(index);
    s.startM = heightOf(supportPath(index), stage);
    s.startMps = slopeOf(supportPath(index), stage) * drive().speedMps;
    s.endM = s.startM;
    s.endMps = s.startMps;
  }
}

/** Acceleration of a support on the ground at a stage, m/s². */
function accelerationOf(index: i32, heightM: f64, speedMps: f64, stage: Stage): f64 {
  const path = supportPath(index);
  const omega = 2 * Math.PI * machine().bounceHz;
  const rising = speedMps - slopeOf(path, stage) * stage.speedMps;
  return -2 * machine().bounceDampingRatio * omega * rising - omega * omega * (heightM - heightOf(path, stage));
}

/** One classical Runge–Kutta step of a support. */
function stepSupport(index: i32, s: Support, seconds: f64): void {
  const half = 0.5 * seconds;
  const v1 = s.startMps;
  const a1 = accelerationOf(index, s.startM, v1, stageStart());
  const v2 = s.startMps + half * a1;
  const a2 = accelerationOf(index, s.startM + half * v1, v2, stageMiddle());
  const v3 = s.startMps + half * a2;
  const a3 = accelerationOf(index, s.startM + half * v2, v3, stageMiddle());
  const v4 = s.startMps + seconds * a3;
  const a4 = accelerationOf(index, s.startM + seconds * v3, v4, stageEnd());
  s.endM = s.startM + (seconds / 6) * (v1 + 2 * v2 + 2 * v3 + v4);
  s.endMps = s.startMps + (seconds / 6) * (a1 + 2 * a2 + 2 * a3 + a4);
}

/** Integrates the supports over the step that begins. */
export function beginSupports(): void {
  if (machine().bounceHz === 0) return;
  setStage(stageStart(), 0);
  setStage(stageMiddle(), 0.5);
  setStage(stageEnd(), 1);
  for (let index = 0; index < supportCount(); index++) stepSupport(index, support(index), derived().stepS);
}

/** The end of this step is the start of the next. */
export function endSupports(): void {
  if (machine().bounceHz === 0) return;
  for (let index = 0; index < supportCount(); index++) {
    const s = support(index);
    s.startM = s.endM;
    s.startMps = s.endMps;
  }
}

/** Height of a support at a stage, m: the cubic through heights and speeds at both ends of the step. */
function supportHeight(s: Support, stage: Stage): f64 {
  return s.startM * stage.startHeight + s.startMps * stage.startSpeed + s.endM * stage.endHeight + s.endMps * stage.endSpeed;
}

/** Speed of a support at a stage, m/s: the slope of that cubic. */
function supportSpeed(s: Support, stage: Stage): f64 {
  const heights = (s.endM - s.startM) * stage.heightSlope;
  return heights + s.startMps * stage.startSpeedSlope + s.endMps * stage.endSpeedSlope;
}

/** Height of the frame at a row, m. */
export function frameHeight(properties: RowProperties, stage: Stage): f64 {
  const liftM = properties.liftRatio * stage.liftM;
  if (machine().bounceHz === 0) return stage.frameM + liftM;
  const index = <i32>properties.support;
  const firstM = supportHeight(support(index), stage);
  return firstM + properties.supportShare * (supportHeight(support(index + 1), stage) - firstM) + liftM;
}

/** Vertical speed of the frame at a row, m/s. */
export function frameSpeed(properties: RowProperties, stage: Stage): f64 {
  const liftMps = properties.liftRatio * stage.liftMps;
  if (machine().bounceHz === 0) return stage.frameMps + liftMps;
  const index = <i32>properties.support;
  const firstMps = supportSpeed(support(index), stage);
  return firstMps + properties.supportShare * (supportSpeed(support(index + 1), stage) - firstMps) + liftMps;
}
