import { RowFault } from './generated/enums';
import { Coefficients, Parameters, PREVIEW_SAMPLES, PreviewState } from './generated/records';
import { clamp } from './load-loop';
import { disturbanceOf } from './predictor';
import { Row } from './row-records';
import { countDown } from './time';

/*
 * The soil ahead. What a map expects joins the disturbance as if the load sensor already felt it, so that the predictor's trends see
 * a patch once: when it is announced. It goes through the sensor's lag and a low-pass, which centre it in the prediction's 0.35 s.
 *
 *   disturbance of the prediction = d − weight · trust · lag(soil ahead)
 *
 * A map may be wrong. Trust is learned from the past: the change of d over PREVIEW_S has to follow what was expected before.
 *
 *   slope = Σ expected · change / Σ expected²        correlation² = (Σ expected · change)² / (Σ expected² · Σ change²)
 *
 * Trust is the slope, up to 1, if the two correlate. Only expectations that are large enough count, so that even soil, in which
 * noise is all there is, neither gives trust nor takes it.
 */

/** Time after a gap without comparing, beyond the preview's own, s: the low-passes settle. */
export const PREVIEW_WAIT_S: f32 = 0.5;
/** Smallest expectation that is compared, squared, N²: about the size of what the disturbance does anyway on class D. */
const EXPECTED2_MIN: f32 = 2500;
/** Weight of a new comparison in the means: 3 s of large expectations, which are about six soil patches. */
const COMPARE_WEIGHT: f32 = 1.0 / 60;
/** A change counts up to this multiple of the expectation: a stone lifts the wheels, whatever the soil does. */
const CHANGE_MAX: f32 = 2;
/** Added to both mean squares, N²: the first comparisons alone do not give trust. */
const PRIOR2: f32 = 2500;
/** Squared correlation up to which there is no trust, and from which on it is full. A right map on class D reaches 0.75. */
const CORRELATION2_FROM: f32 = 0.2;
const CORRELATION2_TO: f32 = 0.45;
/** Mean square of the expectations from which on a map without trust is reported, N²; and the trust that ends the report. */
const JUDGED2: f32 = 10000;
const TRUST_BACK: f32 = 0.3;

/** Checks the soil ahead, and says what the comparison found. Comparisons are written so that NaN fails them. */
export function soilAheadConditions(row: Row, p: Parameters, c: Coefficients): u32 {
  if (p.soilAheadFitted === 0) return 0;
  const preview = row.preview;
  const isInvalid = !(abs<f32>(row.input.soilAheadN) <= p.soilAheadMaxN);
  // Values that are now valid, now not are no soil.
  preview.heldTicks = isInvalid ? <u16>c.rateHoldTicks : countDown(preview.heldTicks);
  const wrong: u32 = preview.isWrong !== 0 ? RowFault.SoilAheadWrong : 0;
  return preview.heldTicks !== 0 ? wrong | RowFault.SoilAheadInvalid : wrong;
}

/** Follows the soil ahead. While it is invalid, nothing is expected. */
export function followSoilAhead(row: Row, p: Parameters, c: Coefficients): void {
  const preview = row.preview;
  const isValid = (row.activeFaults & RowFault.SoilAheadInvalid) === 0;
  if (!isValid) preview.waitTicks = <u16>c.previewWaitTicks;
  preview.sensedN += c.sensorWeight * ((isValid ? row.input.soilAheadN : 0) - preview.sensedN);
  preview.smoothN += c.band3Weight * (preview.sensedN - preview.smoothN);
  row.probe.soilExpectedN = -p.soilAheadWeight * preview.trust * preview.smoothN;
}

/** Appends a value to samples of which the first is the oldest, and returns that one. */
function push(at: usize, value: f32): f32 {
  const oldest = load<f32>(at);
  for (let index: usize = 0; index < <usize>PREVIEW_SAMPLES - 1; index++) store<f32>(at + (index << 2), load<f32>(at + ((index + 1) << 2)));
  store<f32>(at + ((<usize>PREVIEW_SAMPLES - 1) << 2), value);
  return oldest;
}

function updateTrust(preview: PreviewState): void {
  const product = preview.expectedChange;
  const expected2 = preview.expected2 + PRIOR2;
  const correlation2 = (product * product) / (expected2 * (preview.change2 + PRIOR2));
  const share = clamp((correlation2 - CORRELATION2_FROM) / (CORRELATION2_TO - CORRELATION2_FROM), 0, 1);
  preview.trust = share * clamp(product / expected2, 0, 1);
  if (preview.trust === 0 && preview.expected2 > JUDGED2) preview.isWrong = 1;
  if (preview.trust > TRUST_BACK) preview.isWrong = 0;
}

/** One tick of the comparison. @param isDue the row compares in this tick */
export function compareSoilAhead(row: Row, isDue: bool, c: Coefficients): void {
  const preview = row.preview;
  const predictor = row.predictor;
  const probe = row.probe;
  const d = disturbanceOf(predictor, probe.loadRawN - probe.zeroN, c);
  if (predictor.hasLoad === 0) preview.waitTicks = <u16>c.previewWaitTicks;
  preview.waitTicks = countDown(preview.waitTicks);
  preview.disturbanceN += c.band3Weight * (d - preview.disturbanceN);
  probe.soilAheadTrust = preview.trust;
  if (!isDue) return;
  const at = changetype<usize>(preview);
  const expected = push(at + offsetof<PreviewState>('expected1N'), -preview.smoothN);
  const before = push(at + offsetof<PreviewState>('disturbance1N'), preview.disturbanceN);
  if (preview.waitTicks !== 0 || expected * expected < EXPECTED2_MIN) return;
  const limitN = CHANGE_MAX * abs<f32>(expected);
  const change = clamp(preview.disturbanceN - before, -limitN, limitN);
  preview.expected2 += COMPARE_WEIGHT * (expected * expected - preview.expected2);
  preview.change2 += COMPARE_WEIGHT * (change * change - preview.change2);
  preview.expectedChange += COMPARE_WEIGHT * (expected * change - preview.expectedChange);
  updateTrust(preview);
}
