import { ATMOSPHERE_KPA, Coefficients } from './generated/records';

/**
 * Absolute pressure by which the gas is judged, kPa. Below precharge the bladder fills its shell and only the oil gives way, by less
 * than the motion of the row displaces: the pressure is then either at precharge or next to nothing, and oil that is added counts
 * from precharge on.
 */
function gasKpa(pressureKpa: f32, prechargeAbsoluteKpa: f32): f32 {
  const absoluteKpa = pressureKpa + ATMOSPHERE_KPA;
  return absoluteKpa > prechargeAbsoluteKpa ? absoluteKpa : prechargeAbsoluteKpa;
}

/**
 * Compliance of the actuator, mL/kPa, at a gauge pressure: oil V/β, and the accumulator's gas V_g/(n·p) with V_g = V_0·p_0/p (Rabie,
 * Fluid Power Engineering, eq 2.49 ff. for both).
 */
export function complianceAt(pressureKpa: f32, prechargeAbsoluteKpa: f32, gasMlKpa: f32, oilMlPerKpa: f32): f32 {
  const kpa = gasKpa(pressureKpa, prechargeAbsoluteKpa);
  return oilMlPerKpa + gasMlKpa / (kpa * kpa);
}

/** Mean of complianceAt() between two pressures above precharge, exact: the gas's part 1/p² has the mean 1/(p1·p2). */
export function complianceBetween(fromKpa: f32, toKpa: f32, prechargeAbsoluteKpa: f32, gasMlKpa: f32, oilMlPerKpa: f32): f32 {
  return oilMlPerKpa + gasMlKpa / (gasKpa(fromKpa, prechargeAbsoluteKpa) * gasKpa(toKpa, prechargeAbsoluteKpa));
}

/** Flow of one open valve, mL/ms, by the orifice equation Q = K·sqrt(Δp); 0 for a negative drop. */
export function flowAt(dropKpa: f32, flowRatio: f32, c: Coefficients): f32 {
  if (!(dropKpa > 0)) return 0;
  return c.flowMlPerMsRootKpa * sqrt<f32>(dropKpa) * flowRatio;
}

/** Pressure change per tick of an open valve, kPa. */
export function stepPerTick(flowMlPerMs: f32, complianceMlPerKpa: f32, c: Coefficients): f32 {
  return (flowMlPerMs * c.tickMs) / complianceMlPerKpa;
}

/**
 * Length of the pulse that changes the pressure by `changeKpa`, a magnitude: on a shared harness the nearest one that ends in the
 * bank's own time slot. 0 if the valve cannot do it, or if even the shortest pulse would change it more than twice as much.
 */
export function pulseTicks(changeKpa: f32, stepKpaPerTick: f32, c: Coefficients): u16 {
  const ticks = changeKpa / stepKpaPerTick;
  if (!(stepKpaPerTick > 0) || !(ticks >= 0.5 * <f32>c.minPulseTicks)) return 0;
  const steps = nearest<f32>(min<f32>(ticks, <f32>c.maxPulseTicks) / <f32>c.pulseStepTicks);
  return <u16>max<u32>(c.minPulseTicks, <u32>steps * c.pulseStepTicks);
}
