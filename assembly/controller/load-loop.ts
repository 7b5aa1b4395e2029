import { Coefficients, Parameters } from './generated/records';

export function clamp(value: f32, lowest: f32, highest: f32): f32 {
  return max<f32>(lowest, min<f32>(highest, value));
}

/**
 * One step of the load loop: a PI controller in incremental form (Åström and Murray, Feedback Systems, 2nd ed., §11.4).
 * What is limited is the set point itself, so nothing can wind up behind a limit, and the rate limit is one clamp.
 */
export function nextSetPoint(setPointKpa: f32, errorN: f32, lastErrorN: f32, highestKpa: f32, p: Parameters, c: Coefficients): f32 {
  const wantedKpa = p.loadProportionalKpaPerN * (errorN - lastErrorN) + c.integralKpaPerNTick * errorN;
  const stepKpa = clamp(wantedKpa, -c.setPointStepKpa, c.setPointStepKpa);
  return clamp(setPointKpa + stepKpa, c.floorKpa, highestKpa);
}
