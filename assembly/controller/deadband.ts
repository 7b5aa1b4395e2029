import { Wish } from './generated/enums';
import { BankState, Coefficients, LoopState, Parameters } from './generated/records';
import { clamp } from './load-loop';

/** The noise estimate ignores what changes more slowly than this: that is error to be corrected, not noise. */
export const SLOW_ERROR_HZ: f32 = 0.3;

/** Updates the control error's slow mean and its variance about that mean, both as exponential averages. */
export function updateNoise(loop: LoopState, errorN: f32, c: Coefficients): void {
  loop.slowErrorN += c.slowWeight * (errorN - loop.slowErrorN);
  const distanceN = errorN - loop.slowErrorN;
  loop.varianceN2 += c.noiseWeight * (distanceN * distanceN - loop.varianceN2);
}

/** Half width of the deadband, N. */
export function deadbandOf(noiseN: f32, p: Parameters): f32 {
  if (p.deadbandMode === 0) return p.deadbandN;
  return clamp(p.deadbandSigmas * noiseN, p.deadbandMinN, p.deadbandMaxN);
}

/**
 * Deadband with hysteresis: acting begins outside the deadband and ends inside its inner edge `innerN`. NaN results in Hold,
 * because all comparisons are written so that NaN fails them.
 */
export function nextActing(acting: u8, errorN: f32, deadbandN: f32, innerN: f32): u8 {
  const raiseAboveN = acting === Wish.Raise ? innerN : deadbandN;
  const lowerAboveN = acting === Wish.Lower ? innerN : deadbandN;
  if (errorN > raiseAboveN) return Wish.Raise;
  return -errorN > lowerAboveN ? Wish.Lower : Wish.Hold;
}

/** Averaging time of the pulse rate, and time in which the deadbands follow it, s: some soil patches, and half of them. */
export const RATE_TIME_S: f32 = 20;
export const BUDGET_TIME_S: f32 = 10;
/** Most by which the budget widens the deadbands. */
const SCALE_MAX: f32 = 4;

/**
 * Keeps the pulses of a bank to their budget. All rows share one factor, so that a pulse is worth as much in each: a row on rough
 * ground still pulses more than one on smooth ground. Within the budget the factor is 1. Call it at every comparison of signals.
 */
export function followBudget(bank: BankState, p: Parameters, c: Coefficients): void {
  bank.pulsesPerMin += c.rateWeight * (<f32>bank.pulses * c.pulsesToPerMin - bank.pulsesPerMin);
  bank.pulses = 0;
  const excess = bank.pulsesPerMin / p.pulsesPerMinBudget - 1;
  bank.deadbandScale = clamp(bank.deadbandScale * (1 + c.budgetGain * excess), 1, SCALE_MAX);
}
