import { clamp } from './constants';
import { ATMOSPHERE_PA, Derived, Machine, Rates, RowProperties } from './generated/records';

/** Compression over which contact damping builds up, m: a wheel that barely touches must not stick. */
const CONTACT_M: f64 = 0.002;
/** Compression at which the opener is at its set depth, m. */
const STANDING_M: f64 = 0.003;
/** Added to the ground speed in the opener's speed term, m/s. */
const SOIL_MPS: f64 = 0.3;
/** Speed scale over which dry friction changes sign, m/s. */
const FRICTION_MPS: f64 = 0.01;
/** Damping of the stops, N·s/m. */
const STOP_NS_PER_M: f64 = 3000;

/** Load of the gauge wheels: a spring and a damper that can only push. @param deltaM compression */
function wheelLoad(r: Rates, deltaM: f64, rateMps: f64, properties: RowProperties, m: Machine): f64 {
  if (!(deltaM > 0)) return 0;
  const springN = properties.contactNPerM * r.stiffnessRatio * deltaM;
  return Math.max(0, springN + m.contactNsPerM * r.dampingRatio * Math.min(1, deltaM / CONTACT_M) * rateMps);
}

/** Depth of the opener below the surface, m: it is fixed to the row, and the wheels' compression lets it sink. */
export function depthAt(deltaM: f64, m: Machine): f64 {
  return m.seedDepthMm * 1e-3 - STANDING_M + deltaM;
}

/** Force of the soil on the opener: grows with depth and with the sinking speed. */
function openerForce(r: Rates, deltaM: f64, sinkMps: f64, m: Machine): f64 {
  const depthM = m.seedDepthMm * 1e-3;
  const depth = clamp(depthAt(deltaM, m) / depthM, 0, 2);
  return Math.max(0, r.soilN * depth * (1 + sinkMps / (r.groundSpeedMps + SOIL_MPS)));
}

/** Force of the travel stops, up positive; they can only push. */
function stopForce(travelM: f64, speedMps: f64, m: Machine): f64 {
  const below = -m.travelDownMm * 1e-3 - travelM;
  if (below > 0) return Math.max(0, m.stopNPerM * below - STOP_NS_PER_M * speedMps);
  const above = travelM - m.travelUpMm * 1e-3;
  return above > 0 ? -Math.max(0, m.stopNPerM * above + STOP_NS_PER_M * speedMps) : 0;
}

/** Down force at the row per cylinder force; it varies with the angle of the arms. */
export function ratioAt(travelM: f64, d: Derived): f64 {
  return d.ratio0 + travelM * (d.ratio1 + travelM * d.ratio2);
}

/**
 * Computes the forces on a row and its acceleration. Heights are positive up. `r` already holds ground and frame.
 *
 *   m·z̈ = wheels + opener + closing wheels + stops + friction − m·g − down force
 *   down force = cylinder − lift spring − rebound damping
 */
export function rowForces(
  r: Rates,
  heightM: f64,
  speedMps: f64,
  pressurePa: f64,
  properties: RowProperties,
  gravityMps2: f64,
  m: Machine,
  d: Derived,
): void {
  const deltaM = r.groundM - heightM;
  const sinkMps = r.groundMps - speedMps;
  const travelM = heightM - r.frameM;
  const relativeMps = speedMps - r.frameMps;
  r.wheelN = wheelLoad(r, deltaM, sinkMps, properties, m);
  r.openerN = openerForce(r, deltaM, sinkMps, m);
  r.closingN = m.closingN * clamp((m.closingReachMm * 1e-3 + deltaM) / (m.closingSoftMm * 1e-3), 0, 1);
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
  r.speedMps2 = (upN - r.downN) / properties.massKg - gravityMps2;
}
