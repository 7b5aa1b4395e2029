import { derived, machine, Path, PROFILE_STEP_M, plant, RowProperties, Stage, Track, wheelPath } from './generated/records';
import { dampingAt, stiffnessAt } from './segments';

/*
 * Ground and frame at a stage of the Runge–Kutta step. Catmull–Rom splines join the profile points. Their weights are the same
 * for all rows, so that the height of a row is a dot product of five numbers.
 */

/** Sets the weights of the four points around the position u (0 to 1) between the middle two. */
function setWeights(stage: Stage, shift: usize, u: f64): void {
  const height = changetype<usize>(stage) + offsetof<Stage>('weight0');
  const slope = changetype<usize>(stage) + offsetof<Stage>('slope0');
  for (let index: usize = 0; index < 5; index++) {
    store<f64>(height + (index << 3), 0);
    store<f64>(slope + (index << 3), 0);
  }
  const h = height + (shift << 3);
  const s = slope + (shift << 3);
  const perM = 1 / PROFILE_STEP_M;
  store<f64>(h, 0.5 * u * (-1 + u * (2 - u)));
  store<f64>(h + 8, 0.5 * (2 + u * u * (-5 + 3 * u)));
  store<f64>(h + 16, 0.5 * u * (1 + u * (4 - 3 * u)));
  store<f64>(h + 24, 0.5 * u * u * (u - 1));
  store<f64>(s, 0.5 * perM * (-1 + u * (4 - 3 * u)));
  store<f64>(s + 8, 0.5 * perM * u * (-10 + 9 * u));
  store<f64>(s + 16, 0.5 * perM * (1 + u * (8 - 9 * u)));
  store<f64>(s + 24, 0.5 * perM * u * (3 * u - 2));
}

/** Sets the weights of a cubic Hermite polynomial over the current step, and those of its slope. @param u fraction of the step */
function setSupportWeights(stage: Stage, u: f64): void {
  const h = derived().stepS;
  stage.startHeight = 1 - u * u * (3 - 2 * u);
  stage.startSpeed = h * u * (1 - u) * (1 - u);
  stage.endHeight = u * u * (3 - 2 * u);
  stage.endSpeed = h * u * u * (u - 1);
  stage.heightSlope = (6 * u * (1 - u)) / h;
  stage.startSpeedSlope = 1 + u * (3 * u - 4);
  stage.endSpeedSlope = u * (3 * u - 2);
}

/** Height of the frame for a fraction of the lifting time; the speed is zero at both ends. */
function liftHeightM(ratio: f64): f64 {
  return machine().liftMm * 1e-3 * ratio * ratio * (3 - 2 * ratio);
}

/** @param fraction of the current step, 0 to 1 */
export function setStage(stage: Stage, fraction: f64): void {
  const p = plant();
  const d = derived();
  const elapsed = fraction * d.stepS;
  stage.speedMps = p.speedMps + p.accelerationMps2 * elapsed;
  stage.distanceM = p.distanceM + elapsed * (p.speedMps + 0.5 * p.accelerationMps2 * elapsed);
  stage.stiffnessRatio = stiffnessAt(stage.distanceM);
  stage.dampingRatio = dampingAt(stage.distanceM);
  const place = stage.distanceM / PROFILE_STEP_M - p.point;
  const shift: usize = place >= 1 ? 1 : 0;
  setWeights(stage, shift, place - <f64>shift);
  const angle = d.lugRadPerM * stage.distanceM;
  stage.lugSine = Math.sin(angle);
  stage.lugCosine = Math.cos(angle);
  setSupportWeights(stage, fraction);
  const ratio = p.liftRatio + p.liftPerS * elapsed;
  stage.frameM = heightOf(wheelPath(0), stage);
  stage.frameMps = slopeOf(wheelPath(0), stage) * stage.speedMps;
  stage.liftM = liftHeightM(ratio);
  stage.liftMps = machine().liftMm * 1e-3 * 6 * ratio * (1 - ratio) * p.liftPerS;
}

export function heightOf(p: Path, s: Stage): f64 {
  return p.height0 * s.weight0 + p.height1 * s.weight1 + p.height2 * s.weight2 + p.height3 * s.weight3 + p.height4 * s.weight4;
}

export function slopeOf(p: Path, s: Stage): f64 {
  return p.height0 * s.slope0 + p.height1 * s.slope1 + p.height2 * s.slope2 + p.height3 * s.slope3 + p.height4 * s.slope4;
}

export function soilOf(t: Track, s: Stage): f64 {
  return t.soil0 * s.weight0 + t.soil1 * s.weight1 + t.soil2 * s.weight2 + t.soil3 * s.weight3 + t.soil4 * s.weight4;
}

/** Ripple of the tyre lugs, as height and slope. Each row has its own phase. */
export function lugHeight(properties: RowProperties, s: Stage): f64 {
  return machine().lugHeightMm * 1e-3 * (s.lugSine * properties.lugCosine + s.lugCosine * properties.lugSine);
}
export function lugSlope(properties: RowProperties, s: Stage): f64 {
  return derived().lugRadPerM * machine().lugHeightMm * 1e-3 * (s.lugCosine * properties.lugCosine - s.lugSine * properties.lugSine);
}
