import { derived, field, Moment, machine, PROFILE_STEP_M, plant, RowMade, Track, track } from './generated/records';

/*
 * What the ground and the frame are like at a moment within the step under way. Points are joined by Catmull–Rom splines:
 * their weights are the same for all rows, so that a row's height is a product of five numbers.
 */

/** Weights of the four points about the place u (0 to 1) between the middle two. */
function setWeights(moment: Moment, shift: usize, u: f64): void {
  const height = changetype<usize>(moment) + offsetof<Moment>('weight0');
  const slope = changetype<usize>(moment) + offsetof<Moment>('slope0');
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

/** Lift of the frame for a share of its time: it starts and ends gently. */
function liftOf(ratio: f64): f64 {
  return machine().liftMm * 1e-3 * ratio * ratio * (3 - 2 * ratio);
}

/** @param fraction of the step under way, 0 to 1 */
export function setMoment(moment: Moment, fraction: f64): void {
  const p = plant();
  const d = derived();
  const elapsed = fraction * d.stepS;
  moment.speedMps = p.speedMps + p.accelerationMps2 * elapsed;
  moment.wayM = p.wayM + elapsed * (p.speedMps + 0.5 * p.accelerationMps2 * elapsed);
  const place = moment.wayM / PROFILE_STEP_M - p.point;
  const shift: usize = place >= 1 ? 1 : 0;
  setWeights(moment, shift, place - <f64>shift);
  const angle = d.lugRadPerM * moment.wayM;
  moment.lugSine = Math.sin(angle);
  moment.lugCosine = Math.cos(angle);
  const ratio = p.liftRatio + p.liftPerS * elapsed;
  moment.frameM = heightOf(track(0), moment) + liftOf(ratio);
  const liftMps = machine().liftMm * 1e-3 * 6 * ratio * (1 - ratio) * p.liftPerS;
  moment.frameMps = slopeOf(track(0), moment) * moment.speedMps + liftMps;
}

export function heightOf(t: Track, m: Moment): f64 {
  return t.height0 * m.weight0 + t.height1 * m.weight1 + t.height2 * m.weight2 + t.height3 * m.weight3 + t.height4 * m.weight4;
}

export function slopeOf(t: Track, m: Moment): f64 {
  return t.height0 * m.slope0 + t.height1 * m.slope1 + t.height2 * m.slope2 + t.height3 * m.slope3 + t.height4 * m.slope4;
}

export function soilOf(t: Track, m: Moment): f64 {
  return t.soil0 * m.weight0 + t.soil1 * m.weight1 + t.soil2 * m.weight2 + t.soil3 * m.weight3 + t.soil4 * m.weight4;
}

/** Ripple of the tyre's lugs, as height and slope. Each row's tyre stands otherwise. */
export function lugHeight(made: RowMade, m: Moment): f64 {
  return machine().lugHeightMm * 1e-3 * (m.lugSine * made.lugCosine + m.lugCosine * made.lugSine);
}
export function lugSlope(made: RowMade, m: Moment): f64 {
  return derived().lugRadPerM * machine().lugHeightMm * 1e-3 * (m.lugCosine * made.lugCosine - m.lugSine * made.lugSine);
}

/** Where a row is on its stone: 0 begin, 1 end; outside of that, off it. */
function onStone(t: Track, m: Moment): f64 {
  return (m.wayM - t.stoneM) / (field().stoneLengthMm * 1e-3);
}

/** A stone as the path of a wheel: half a sine, shared by the equaliser. */
export function stoneHeight(t: Track, m: Moment): f64 {
  const share = onStone(t, m);
  if (share < 0 || share > 1 || field().stoneEveryM === 0) return 0;
  return machine().equaliserRatio * field().stoneHeightMm * 1e-3 * Math.sin(Math.PI * share);
}
export function stoneSlope(t: Track, m: Moment): f64 {
  const share = onStone(t, m);
  if (share < 0 || share > 1 || field().stoneEveryM === 0) return 0;
  return ((machine().equaliserRatio * field().stoneHeightMm * Math.PI) / field().stoneLengthMm) * Math.cos(Math.PI * share);
}
