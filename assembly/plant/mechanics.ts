import { ATMOSPHERE_PA, clamp } from './constants';
import { Derived, Machine, Rates, RowMade } from './generated/records';

/** Contact damping comes in over this much compression, m: a wheel that only just touches does not pull. */
const CONTACT_M: f64 = 0.002;
/** Compression at which the opener stands at its set depth, m. */
const STANDING_M: f64 = 0.003;
/** Speed that is added to the ground speed in the opener's speed term, m/s. */
const SOIL_MPS: f64 = 0.3;
/** Closing wheels leave the ground when the row is lifted this much, and have come down over the second length, m. */
const CLOSING_REACH_M: f64 = 0.06;
const CLOSING_SOFT_M: f64 = 0.04;
/** Speed over which dry friction turns, m/s. */
const FRICTION_MPS: f64 = 0.01;
/** Damping of the stops, N·s/m. */
const STOP_NS_PER_M: f64 = 3000;

/** Load of the gauge wheels: spring and damper, which can only push. δ is the compression, m. */
function wheelLoad(deltaM: f64, rateMps: f64, made: RowMade, m: Machine): f64 {
  if (!(deltaM > 0)) return 0;
  return Math.max(0, made.contactNPerM * deltaM + m.contactNsPerM * Math.min(1, deltaM / CONTACT_M) * rateMps);
}

/** Force of the soil on the opener: with depth, and with the speed at which it is pressed in. */
function openerForce(r: Rates, deltaM: f64, sinkMps: f64, m: Machine): f64 {
  const depthM = m.seedDepthMm * 1e-3;
  const depth = clamp((depthM - STANDING_M + deltaM) / depthM, 0, 2);
  return Math.max(0, r.soilN * depth * (1 + sinkMps / (r.groundSpeedMps + SOIL_MPS)));
}

/** Force of the travel's stops, up positive; they only push. */
function stopForce(travelM: f64, speedMps: f64, m: Machine): f64 {
  const below = -m.travelDownMm * 1e-3 - travelM;
  if (below > 0) return Math.max(0, m.stopNPerM * below - STOP_NS_PER_M * speedMps);
  const above = travelM - m.travelUpMm * 1e-3;
  return above > 0 ? -Math.max(0, m.stopNPerM * above + STOP_NS_PER_M * speedMps) : 0;
}

/** Down force at the row per force of the cylinder, which varies with the arms' angle. */
export function ratioAt(travelM: f64, d: Derived): f64 {
  return d.ratio0 + travelM * (d.ratio1 + travelM * d.ratio2);
}

/**
 * Forces on a row and its acceleration. Heights are positive up; ground and frame are in the rates already.
 *
 *   m·z̈ = wheels + opener + closing wheels + stops + friction − m·g − down force
 *   down force = cylinder − lift spring − rebound damping
 */
export function moveRow(
  r: Rates,
  heightM: f64,
  speedMps: f64,
  pressurePa: f64,
  made: RowMade,
  gravityMps2: f64,
  m: Machine,
  d: Derived,
): void {
  const deltaM = r.groundM - heightM;
  const sinkMps = r.groundMps - speedMps;
  const travelM = heightM - r.frameM;
  const relativeMps = speedMps - r.frameMps;
  r.wheelN = wheelLoad(deltaM, sinkMps, made, m);
  r.openerN = openerForce(r, deltaM, sinkMps, m);
  r.closingN = m.closingN * clamp((CLOSING_REACH_M + deltaM) / CLOSING_SOFT_M, 0, 1);
  r.cylinderN = (pressurePa - ATMOSPHERE_PA) * d.areaM2 * ratioAt(travelM, d);
  r.springN = m.liftN - m.liftNPerM * travelM;
  const damping = relativeMps < 0 ? d.rebound : d.rebound * m.reboundUpRatio;
  r.reboundN = -damping * relativeMps * Math.abs(relativeMps);
  r.reboundW = -r.reboundN * relativeMps;
  r.frictionN = (-m.frictionN * relativeMps) / Math.sqrt(relativeMps * relativeMps + FRICTION_MPS * FRICTION_MPS);
  r.stopN = stopForce(travelM, relativeMps, m);
  r.downN = r.cylinderN - r.springN - r.reboundN;
  const upN = r.wheelN + r.openerN + r.closingN + r.frictionN + r.stopN;
  r.heightMps = speedMps;
  r.speedMps2 = (upN - r.downN) / made.massKg - gravityMps2;
}
