import { Coefficients, LoopState, Parameters } from './generated/records';

export function clamp(value: f32, lowest: f32, highest: f32): f32 {
  const limited = value > highest ? highest : value;
  return limited < lowest ? lowest : limited;
}

/*
 * Limits as comparisons: a processor has no instruction for the minimum and maximum of WebAssembly, which also order NaN and -0.
 * NaN stays NaN here too.
 */

/** The value, but not less than `lowest`. */
export function limitMin(value: f32, lowest: f32): f32 {
  return value < lowest ? lowest : value;
}

/** The value, but not more than `highest`. */
export function limitMax(value: f32, highest: f32): f32 {
  return value > highest ? highest : value;
}

/**
 * One step of the load loop: a PI controller whose output, the set point, is limited in rate and range. The integral is kept
 * while it would push further into a limit (conditional integration: Åström and Hägglund, PID Controllers, 2nd ed., §3.5), and
 * for errors within integralDeadbandN; a limit delays the proportional part, but does not lose it.
 */
export function stepLoadLoop(loop: LoopState, errorN: f32, highestKpa: f32, p: Parameters, c: Coefficients): void {
  const integratedN = errorN - clamp(errorN, -p.integralDeadbandN, p.integralDeadbandN);
  const integralKpa = loop.integralKpa + c.integralKpaPerNTick * integratedN;
  const unlimitedKpa = p.loadProportionalKpaPerN * errorN + integralKpa;
  const reachedKpa = clamp(unlimitedKpa, loop.setPointKpa - c.setPointStepKpa, loop.setPointKpa + c.setPointStepKpa);
  loop.setPointKpa = clamp(reachedKpa, c.floorKpa, highestKpa);
  const isPushing = (unlimitedKpa - loop.setPointKpa) * errorN > 0;
  if (!isPushing) loop.integralKpa = integralKpa;
}

/** Resumes from the present set point, without a jump. */
export function resumeLoadLoop(loop: LoopState, errorN: f32, p: Parameters): void {
  loop.integralKpa = loop.setPointKpa - p.loadProportionalKpaPerN * errorN;
}
