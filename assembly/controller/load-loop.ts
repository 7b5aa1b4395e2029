import { Coefficients, LoopState, Parameters } from './generated/records';

export function clamp(value: f32, lowest: f32, highest: f32): f32 {
  return max<f32>(lowest, min<f32>(highest, value));
}

/**
 * One step of the load loop: a PI controller whose output, the set point, is limited in rate and range. The integral stands
 * still while it would push further against a limit (conditional integration: Åström and Hägglund, PID Controllers, 2nd ed.,
 * §3.5), and for errors within integralDeadbandN; the proportional part is
 * never lost to a limit, only late.
 */
export function stepLoadLoop(loop: LoopState, errorN: f32, highestKpa: f32, p: Parameters, c: Coefficients): void {
  const driftN = errorN - clamp(errorN, -p.integralDeadbandN, p.integralDeadbandN);
  const integralKpa = loop.integralKpa + c.integralKpaPerNTick * driftN;
  const wantedKpa = p.loadProportionalKpaPerN * errorN + integralKpa;
  const reachedKpa = clamp(wantedKpa, loop.setPointKpa - c.setPointStepKpa, loop.setPointKpa + c.setPointStepKpa);
  loop.setPointKpa = clamp(reachedKpa, c.floorKpa, highestKpa);
  const isPushing = (wantedKpa - loop.setPointKpa) * errorN > 0;
  if (!isPushing) loop.integralKpa = integralKpa;
}

/** Work goes on from the set point that stands, without a jump. */
export function resumeLoadLoop(loop: LoopState, errorN: f32, p: Parameters): void {
  loop.integralKpa = loop.setPointKpa - p.loadProportionalKpaPerN * errorN;
}
