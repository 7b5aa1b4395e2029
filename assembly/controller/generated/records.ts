// Written from shared/ by `npm run contract`. Do not edit.
// Contract 80e119b683f80a65.


/** Maximum number of rows of this build; `--use ROWS=24` makes a smaller one. */
export const ROWS_MAX: i32 = isDefined(ROWS) ? ROWS : 48;

/** Standard atmosphere, kPa (ISO 2533:1975). */
export const ATMOSPHERE_KPA: f32 = 101.325;

/** Time by which soilAheadN is ahead of the row, s, and the values of it that a row keeps for that time. */
export const PREVIEW_S: f32 = 0.4;
export const PREVIEW_SAMPLES: i32 = 8;

export const BANK_FAULTS: i32 = 13;
export const ROW_FAULTS: i32 = 29;

/** Every parameter, in the order of its number. 508 bytes. */
@unmanaged
@final
export class Parameters {
  /** Controller ticks per second; times are rounded to ticks; strokes, pulses and rest times are rounded up. Unit: hertz. Offset 0. */
  tickHz: u32;
  /** How pulses are derived from the load error. threshold: a valve stays open until the load is inside the deadband; cascade: a load loop sets the target of a pressure loop, for rows without an accumulator; predictive: pulses correct the predicted load. Unit: none. Offset 4. */
  strategy: u32;
  /** Largest valid target load. Unit: newton. Offset 8. */
  targetMaxN: f32;
  /** Time for the frame to lift or to lower; the motion of the rows relative to the frame is unknown until it has come down. Unit: second. Offset 12. */
  liftS: f32;
  /** Time for which the lift switch must be steady before a change counts, in both directions. Unit: millisecond. Offset 16. */
  liftDebounceMs: f32;
  /** ADC counts at the full sensor supply (the ADC is referenced to that supply). Unit: count. Offset 20. */
  adcFullScaleCounts: u32;
  /** Load at 10 % of the sensor supply. Unit: newton. Offset 24. */
  loadAtTenPercentN: f32;
  /** Load at 90 % of the sensor supply. Unit: newton. Offset 28. */
  loadAtNinetyPercentN: f32;
  /** Chamber pressure at 10 % of the sensor supply. Unit: kilopascal. Offset 32. */
  pressureAtTenPercentKpa: f32;
  /** Chamber pressure at 90 % of the sensor supply. Unit: kilopascal. Offset 36. */
  pressureAtNinetyPercentKpa: f32;
  /** Row accelerometer fitted. Unit: none. Offset 40. */
  accelerationFitted: u32;
  /** Rail pressure sensor fitted; off: railNominalKpa is used and the input ignored. Unit: none. Offset 44. */
  railFitted: u32;
  /** Oil temperature available; off: warm-oil flow is assumed and the input ignored. Unit: none. Offset 48. */
  temperatureFitted: u32;
  /** Ground speed available; off: the lug notch is off and the input ignored. Unit: none. Offset 52. */
  speedFitted: u32;
  /** Reservoir voltage measured; off: the input is ignored, and no stroke relies on the reservoir. Unit: none. Offset 56. */
  reservoirVoltageFitted: u32;
  /** Row acceleration at 10 % of the sensor supply, up positive. Unit: metrePerSecondSquared. Offset 60. */
  accelerationAtTenPercentMps2: f32;
  /** Row acceleration at 90 % of the sensor supply. Unit: metrePerSecondSquared. Offset 64. */
  accelerationAtNinetyPercentMps2: f32;
  /** Rail pressure at 10 % of the sensor supply. Unit: kilopascal. Offset 68. */
  railAtTenPercentKpa: f32;
  /** Rail pressure at 90 % of the sensor supply. Unit: kilopascal. Offset 72. */
  railAtNinetyPercentKpa: f32;
  /** Fraction of the sensor supply below which the signal is a short to ground. Unit: ratio. Offset 76. */
  shortRatio: f32;
  /** Fraction of the sensor supply above which the signal is an open circuit (input pulled up). Unit: ratio. Offset 80. */
  openRatio: f32;
  /** Margin outside 10 to 90 % of the sensor supply, beyond which a signal is out of range. Unit: ratio. Offset 84. */
  rangeMarginRatio: f32;
  /** Time without a change of the ADC counts after which a sensor is frozen, if a related signal has moved meanwhile; 0 turns the check off. Unit: millisecond. Offset 88. */
  frozenMs: f32;
  /** Fastest load change that the damped sensor can follow. Unit: newtonPerMillisecond. Offset 92. */
  loadRateNPerMs: f32;
  /** Fastest plausible change of chamber pressure. Unit: kilopascalPerMillisecond. Offset 96. */
  pressureRateKpaPerMs: f32;
  /** Fastest plausible change of acceleration. Unit: metrePerSecondSquaredPerMillisecond. Offset 100. */
  accelerationRateMps2PerMs: f32;
  /** Fastest plausible change of rail pressure. Unit: kilopascalPerMillisecond. Offset 104. */
  railRateKpaPerMs: f32;
  /** Time for which a channel is treated as invalid after an implausible jump. Unit: millisecond. Offset 108. */
  rateHoldMs: f32;
  /** Time after the frame has lifted before a re-zero of the load sensor starts. Unit: millisecond. Offset 112. */
  liftSettleMs: f32;
  /** Length of the window whose mean becomes the new zero. Unit: millisecond. Offset 116. */
  zeroWindowMs: f32;
  /** Largest spread (highest minus lowest load) of an accepted window. Unit: newton. Offset 120. */
  zeroSpreadN: f32;
  /** Largest accepted difference between a new zero and the last one. Unit: newton. Offset 124. */
  zeroStepN: f32;
  /** Largest plausible zero. Unit: newton. Offset 128. */
  zeroLimitN: f32;
  /** Corner frequency of the second-order low-pass on the load. Unit: hertz. Offset 132. */
  loadFilterHz: f32;
  /** Corner frequency of the second-order low-pass on the chamber pressure. Unit: hertz. Offset 136. */
  pressureFilterHz: f32;
  /** Notch filter on the load at the frequency of the tyre lugs, which follows ground speed. Unit: none. Offset 140. */
  lugNotch: u32;
  /** Distance between tyre lugs; the notch frequency is ground speed divided by this distance. Unit: metre. Offset 144. */
  lugPitchM: f32;
  /** Quality factor of the notch. Unit: ratio. Offset 148. */
  lugNotchQ: f32;
  /** Set point change per load error. Unit: kilopascalPerNewton. Offset 152. */
  loadProportionalKpaPerN: f32;
  /** Set point rate per load error. Unit: kilopascalPerNewtonSecond. Offset 156. */
  loadIntegralKpaPerNS: f32;
  /** Load errors up to this are not integrated, so that a row at rest does not hunt around its deadband. Unit: newton. Offset 160. */
  integralDeadbandN: f32;
  /** Fastest set point change. Unit: kilopascalPerSecond. Offset 164. */
  setPointRateKpaPerS: f32;
  /** Highest pressure set point. Unit: kilopascal. Offset 168. */
  setPointMaxKpa: f32;
  /** Mass of the row unit with half its seed, from which its inertia force is computed; used if an accelerometer is fitted. Unit: kilogram. Offset 172. */
  movingMassKg: f32;
  /** Corner frequency of the load sensor's lag. Unit: hertz. Offset 176. */
  loadLagHz: f32;
  /** Predictor weight: load minus the pressure contribution, 0.2 to 0.6 Hz. Unit: ratio. Offset 180. */
  loadTrend1Weight: f32;
  /** Predictor weight: load minus the pressure contribution, 0.6 to 2 Hz. Unit: ratio. Offset 184. */
  loadTrend2Weight: f32;
  /** Predictor weight: load minus the pressure contribution, 2 to 6 Hz. Unit: ratio. Offset 188. */
  loadTrend3Weight: f32;
  /** Predictor weight: load minus the pressure contribution, 6 to 12 Hz. Unit: ratio. Offset 192. */
  loadTrend4Weight: f32;
  /** Predictor weight: pressure change not explained by metered oil, expressed as load, 0.2 to 0.6 Hz. Unit: ratio. Offset 196. */
  pressureTrend1Weight: f32;
  /** Predictor weight: pressure change not explained by metered oil, expressed as load, 0.6 to 2 Hz. Unit: ratio. Offset 200. */
  pressureTrend2Weight: f32;
  /** Predictor weight: pressure change not explained by metered oil, expressed as load, 2 to 6 Hz. Unit: ratio. Offset 204. */
  pressureTrend3Weight: f32;
  /** Predictor weight: pressure change not explained by metered oil, expressed as load, 6 to 12 Hz. Unit: ratio. Offset 208. */
  pressureTrend4Weight: f32;
  /** Predictor weight: inertia force, up to 0.2 Hz. Unit: ratio. Offset 212. */
  inertia1Weight: f32;
  /** Predictor weight: inertia force, up to 0.6 Hz. Unit: ratio. Offset 216. */
  inertia2Weight: f32;
  /** Predictor weight: inertia force, up to 2 Hz. Unit: ratio. Offset 220. */
  inertia3Weight: f32;
  /** Predictor weight: inertia force, up to 6 Hz. Unit: ratio. Offset 224. */
  inertia4Weight: f32;
  /** Predictor weight: inertia force, up to 12 Hz. Unit: ratio. Offset 228. */
  inertia5Weight: f32;
  /** Predictor weight: without an accelerometer, load minus the pressure contribution, 0.2 to 0.6 Hz. Unit: ratio. Offset 232. */
  noAccelLoadTrend1Weight: f32;
  /** Predictor weight: without an accelerometer, load minus the pressure contribution, 0.6 to 2 Hz. Unit: ratio. Offset 236. */
  noAccelLoadTrend2Weight: f32;
  /** Predictor weight: without an accelerometer, load minus the pressure contribution, 2 to 6 Hz. Unit: ratio. Offset 240. */
  noAccelLoadTrend3Weight: f32;
  /** Predictor weight: without an accelerometer, load minus the pressure contribution, 6 to 12 Hz. Unit: ratio. Offset 244. */
  noAccelLoadTrend4Weight: f32;
  /** Predictor weight: without an accelerometer, pressure change not explained by metered oil, expressed as load, 0.2 to 0.6 Hz. Unit: ratio. Offset 248. */
  noAccelPressureTrend1Weight: f32;
  /** Predictor weight: without an accelerometer, pressure change not explained by metered oil, expressed as load, 0.6 to 2 Hz. Unit: ratio. Offset 252. */
  noAccelPressureTrend2Weight: f32;
  /** Predictor weight: without an accelerometer, pressure change not explained by metered oil, expressed as load, 2 to 6 Hz. Unit: ratio. Offset 256. */
  noAccelPressureTrend3Weight: f32;
  /** Predictor weight: without an accelerometer, pressure change not explained by metered oil, expressed as load, 6 to 12 Hz. Unit: ratio. Offset 260. */
  noAccelPressureTrend4Weight: f32;
  /** A map or a leading sensor tells each row what soil comes; off: the input is ignored. Unit: none. Offset 264. */
  soilAheadFitted: u32;
  /** Largest valid change of the opener force in soilAheadN, as a magnitude. Unit: newton. Offset 268. */
  soilAheadMaxN: f32;
  /** Part of the expected change that joins the prediction with full trust. Unit: ratio. Offset 272. */
  soilAheadWeight: f32;
  /** Fixed deadband, or a multiple of the error's noise. Unit: none. Offset 276. */
  deadbandMode: u32;
  /** Half width of the fixed deadband, expressed as load. Unit: newton. Offset 280. */
  deadbandN: f32;
  /** Deadband as a multiple of the error's standard deviation, in mode noise. Unit: ratio. Offset 284. */
  deadbandSigmas: f32;
  /** Smallest deadband in mode noise. Unit: newton. Offset 288. */
  deadbandMinN: f32;
  /** Largest deadband in mode noise. Unit: newton. Offset 292. */
  deadbandMaxN: f32;
  /** Pulses per minute and row, as a mean over the rows of the bank, above which all deadbands widen alike until the budget is kept. Unit: perMinute. Offset 296. */
  pulsesPerMinBudget: f32;
  /** Fraction of the deadband by which the error must be inside it before the correction ends. Unit: ratio. Offset 300. */
  hysteresisRatio: f32;
  /** Strategy predictive: fraction of the deadband that a pulse leaves uncorrected, which saves oil. Unit: ratio. Offset 304. */
  pulseEndRatio: f32;
  /** Time constant of the noise estimate. Unit: second. Offset 308. */
  noiseTimeS: f32;
  /** Piston area of the actuator. Unit: squareCentimetre. Offset 312. */
  capAreaCm2: f32;
  /** Down force at the row per actuator force. Unit: ratio. Offset 316. */
  linkageRatio: f32;
  /** Gas volume of the accumulator at precharge. Unit: millilitre. Offset 320. */
  accumulatorMl: f32;
  /** Precharge pressure, absolute. Unit: kilopascal. Offset 324. */
  prechargeAbsoluteKpa: f32;
  /** Polytropic exponent of the gas during a pulse. Unit: ratio. Offset 328. */
  gasExponent: f32;
  /** Time constant of heat exchange between gas and wall. Unit: second. Offset 332. */
  gasThermalS: f32;
  /** Oil volume in chamber and lines. Unit: millilitre. Offset 336. */
  chamberOilMl: f32;
  /** Bulk modulus of the oil, including entrained air. Unit: megapascal. Offset 340. */
  bulkModulusMpa: f32;
  /** Flow of one open valve at valveFlowDropKpa, warm oil. Unit: litrePerMinute. Offset 344. */
  valveFlowLpm: f32;
  /** Pressure drop at which valveFlowLpm is specified. Unit: kilopascal. Offset 348. */
  valveFlowDropKpa: f32;
  /** Rail pressure assumed while its sensor has a fault. Unit: kilopascal. Offset 352. */
  railNominalKpa: f32;
  /** Rail pressure below which railLow is reported. Unit: kilopascal. Offset 356. */
  railLowKpa: f32;
  /** Pressure in the return line. Unit: kilopascal. Offset 360. */
  returnKpa: f32;
  /** Valve flow at -15 °C as a fraction of the flow at +40 °C; linear in between. Unit: ratio. Offset 364. */
  coldFlowRatio: f32;
  /** Time for which a coil is driven for one stroke. Unit: millisecond. Offset 368. */
  strokeMs: f32;
  /** Time after one valve of a pair has closed before the other may open. Unit: millisecond. Offset 372. */
  deadMs: f32;
  /** Shortest time from opening to closing stroke; not below strokeMs. Unit: millisecond. Offset 376. */
  minPulseMs: f32;
  /** Longest time for which a valve stays open: a small valve needs about a second for a large change of the soil. Unit: millisecond. Offset 380. */
  maxPulseMs: f32;
  /** Time after a pulse before the pair may open again. Unit: millisecond. Offset 384. */
  restMs: f32;
  /** Time after a pulse before its pressure step is read. Unit: millisecond. Offset 388. */
  settleMs: f32;
  /** Learn each valve's flow from the pressure steps of its pulses. Unit: none. Offset 392. */
  gainLearning: u32;
  /** Forgetting factor of the learned gain, per pulse. Unit: ratio. Offset 396. */
  gainForgetting: f32;
  /** Smallest learned gain. Unit: ratio. Offset 400. */
  gainMin: f32;
  /** Largest learned gain. Unit: ratio. Offset 404. */
  gainMax: f32;
  /** Smallest expected pressure step from which a gain is learned. Unit: kilopascal. Offset 408. */
  learnMinKpa: f32;
  /** Detect missed strokes from the pressure and repeat them. Unit: none. Offset 412. */
  missedStrokeDetection: u32;
  /** With an accelerometer: unexplained pressure change, beyond the tolerated drift, that indicates a missed stroke. Unit: kilopascal. Offset 416. */
  missedKpa: f32;
  /** With an accelerometer: oil that a valve should have passed, or not, from which on the pressure proves that it is stuck; more than the motion of row and frame can displace. Unit: millilitre. Offset 420. */
  proofMl: f32;
  /** Without an accelerometer, when row motion is unknown: expected pressure change that did not come, above which an opening stroke may be missed (for closing strokes: suspectKpa). Unit: kilopascal. Offset 424. */
  missedNoAccelKpa: f32;
  /** Without an accelerometer: unexplained pressure change above which a closing stroke is repeated as a precaution. Unit: kilopascal. Offset 428. */
  suspectKpa: f32;
  /** Time after its closing stroke during which a valve is checked for a missed close. Unit: millisecond. Offset 432. */
  missedWindowMs: f32;
  /** Consecutive missed strokes after which a valve is stuck and its row holds. Unit: none. Offset 436. */
  strokeTries: u32;
  /** Interval of the closing strokes of a stuck valve. Unit: second. Offset 440. */
  retryS: f32;
  /** Flow through closed valves above which a leak is reported; 10 % of the metered flow is added to it (metering accuracy). Unit: millilitrePerMinute. Offset 444. */
  leakMlPerMin: f32;
  /** Largest plausible load without pressure: from the weight of the row alone, on soft soil; above it the load sensor reads too high. Unit: newton. Offset 448. */
  freeLoadMaxN: f32;
  /** Load reading below zero, as a magnitude, beyond which the load sensor reads too low: a negative load is not physical. Unit: newton. Offset 452. */
  belowZeroN: f32;
  /** Maximum number of coils of a bank that are driven at the same time. Unit: none. Offset 456. */
  strokesAtOnce: u32;
  /** Number of banks that share one harness and take turns, each in its time slot; 1: not shared. Unit: none. Offset 460. */
  slotCount: u32;
  /** This bank's time slot, from 0 to slotCount - 1; slots are counted from configure(), so the banks must start together. Unit: none. Offset 464. */
  slotPhase: u32;
  /** Time after which a closed valve gets another closing stroke (relatch); longer if relatching would otherwise use more than a quarter of the stroke queue. Unit: second. Offset 468. */
  relatchS: f32;
  /** Energy of one stroke. Unit: millijoule. Offset 472. */
  strokeMj: f32;
  /** Reservoir capacitor that feeds the coils; 0: the supply feeds them directly, and valves stay where they are when it is lost. Unit: microfarad. Offset 476. */
  reservoirUf: f32;
  /** Power that the reservoir supplies besides the coils; drawn while closing strokes wait for their turn. Unit: watt. Offset 480. */
  reservoirLoadW: f32;
  /** Lowest reservoir voltage at which a stroke is reliable. Unit: millivolt. Offset 484. */
  strokeMinMv: f32;
  /** Supply voltage below which no valve is opened and open valves are closed. Unit: millivolt. Offset 488. */
  supplyLowMv: f32;
  /** Supply voltage below which power is lost: only a reservoir pays for strokes then, and they close valves. Unit: millivolt. Offset 492. */
  supplyCriticalMv: f32;
  /** Chamber pressure on shut-down: off holds it, on vents it before the valves are closed; the same when power is lost and a reservoir pays for the strokes. Unit: none. Offset 496. */
  shutDownVent: u32;
  /** Chamber pressure at which venting ends. Unit: kilopascal. Offset 500. */
  ventToKpa: f32;
  /** Longest venting time. Unit: millisecond. Offset 504. */
  ventMs: f32;
}
export const PARAMETERS_BYTES: usize = 508;

/** Limits and conversion of one kind of analog input. 44 bytes. */
@unmanaged
@final
export class ChannelSetting {
  /** Slope of the conversion. Unit: none. Offset 0. */
  unitPerCount: f32;
  /** Value at 0 counts. Unit: none. Offset 4. */
  unitAtZero: f32;
  /** Counts below this are a short circuit. Unit: count. Offset 8. */
  shortCounts: u32;
  /** Counts above this are an open circuit. Unit: count. Offset 12. */
  openCounts: u32;
  /** Counts below this are out of range. Unit: count. Offset 16. */
  lowCounts: u32;
  /** Counts above this are out of range. Unit: count. Offset 20. */
  highCounts: u32;
  /** A larger change that reverses in the next tick does not come from the sensor. Unit: count. Offset 24. */
  flipCounts: u32;
  /** Largest plausible change per tick. Unit: count. Offset 28. */
  rateCounts: u32;
  /** Change up to which neither of the two needs to be checked. Unit: count. Offset 32. */
  steadyCounts: u32;
  /** Change of the first related signal that a working sensor shows. Unit: none. Offset 36. */
  related1: f32;
  /** Change of the second related signal that a working sensor shows. Unit: none. Offset 40. */
  related2: f32;
}
export const CHANNEL_SETTING_BYTES: usize = 44;

/** Values that configure() computes once from the parameters. 344 bytes. */
@unmanaged
@final
export class Coefficients {
  /** Length of a tick. Unit: millisecond. Offset 0. */
  tickMs: f32;
  /** Length of a tick. Unit: second. Offset 4. */
  tickS: f32;
  /** Load low-pass. Unit: ratio. Offset 8. */
  loadA1: f32;
  /** Load low-pass. Unit: ratio. Offset 12. */
  loadA2: f32;
  /** Load low-pass. Unit: ratio. Offset 16. */
  loadA3: f32;
  /** Pressure low-pass. Unit: ratio. Offset 20. */
  pressureA1: f32;
  /** Pressure low-pass. Unit: ratio. Offset 24. */
  pressureA2: f32;
  /** Pressure low-pass. Unit: ratio. Offset 28. */
  pressureA3: f32;
  /** Damping of the notch, 1/Q. Unit: ratio. Offset 32. */
  notchK: f32;
  /** Down force per chamber pressure. Unit: newtonPerKilopascal. Offset 36. */
  areaNPerKpa: f32;
  /** Set point change per load error and tick. Unit: kilopascalPerNewton. Offset 40. */
  integralKpaPerNTick: f32;
  /** Largest set point change per tick. Unit: kilopascal. Offset 44. */
  setPointStepKpa: f32;
  /** Pressure floor: no pulse lowers the pressure below precharge + 1 bar. Unit: kilopascal. Offset 48. */
  floorKpa: f32;
  /** Compliance of the oil alone. Unit: millilitrePerKilopascal. Offset 52. */
  oilMlPerKpa: f32;
  /** Gas compliance times absolute pressure squared, mL·kPa. Unit: none. Offset 56. */
  gasMlKpa: f32;
  /** Valve flow per square root of pressure drop, mL/(ms·√kPa). Unit: none. Offset 60. */
  flowMlPerMsRootKpa: f32;
  /** Weight of a new error in its slow mean. Unit: ratio. Offset 64. */
  slowWeight: f32;
  /** Weight of a new square in the variance. Unit: ratio. Offset 68. */
  noiseWeight: f32;
  /** Weight of a new value in the low-pass that models the load sensor's lag. Unit: ratio. Offset 72. */
  sensorWeight: f32;
  /** Weight of a new value in the predictor's low-pass 1. Unit: ratio. Offset 76. */
  band1Weight: f32;
  /** Weight of a new value in the predictor's low-pass 2. Unit: ratio. Offset 80. */
  band2Weight: f32;
  /** Weight of a new value in the predictor's low-pass 3. Unit: ratio. Offset 84. */
  band3Weight: f32;
  /** Weight of a new value in the predictor's low-pass 4. Unit: ratio. Offset 88. */
  band4Weight: f32;
  /** Weight of a new value in the predictor's low-pass 5. Unit: ratio. Offset 92. */
  band5Weight: f32;
  /** Weight of a new value in the detector's low-pass. Unit: ratio. Offset 96. */
  detectorWeight: f32;
  /** Fraction of the detector's velocity that decays each tick. Unit: ratio. Offset 100. */
  velocityDecay: f32;
  /** Oil displaced by row motion per tick, mL per m/s. Unit: none. Offset 104. */
  strokeVolumeMlPerMps: f32;
  /** Conversion from mL per tick to mL/min. Unit: none. Offset 108. */
  mlPerTickToMin: f32;
  /** Fraction of the excess temperature of the gas that is lost each tick. Unit: ratio. Offset 112. */
  gasWeight: f32;
  /** Fraction of a fast pressure change that disappears as the gas cools. Unit: ratio. Offset 116. */
  gasShare: f32;
  /** Weight of a new flow in the leak's slow mean. Unit: ratio. Offset 120. */
  leakWeight: f32;
  /** Weight of a new acceleration in its slow part. Unit: ratio. Offset 124. */
  slowAccelerationWeight: f32;
  /** Weight in the slow means of the comparison band. Unit: ratio. Offset 128. */
  bandFromWeight: f32;
  /** Weight in the low-pass of the comparison band. Unit: ratio. Offset 132. */
  bandToWeight: f32;
  /** Weight of new products in the comparison. Unit: ratio. Offset 136. */
  compareWeight: f32;
  /** Weight of a new drift in its slow mean. Unit: ratio. Offset 140. */
  frameWeight: f32;
  /** Fraction of the held mean that fades each tick. Unit: ratio. Offset 144. */
  frameForget: f32;
  /** Rate at which the shares of the neighbours are learned. Unit: ratio. Offset 148. */
  frameRate: f32;
  /** Square of the drift per tick below which nothing is learned, mL². Unit: none. Offset 152. */
  frameMinMl2: f32;
  /** Fraction of noiseKpa that is forgotten each tick. Unit: ratio. Offset 156. */
  noiseForget: f32;
  /** Half the reservoir's capacitance, mJ/V². Unit: none. Offset 160. */
  energyMjPerV2: f32;
  /** Energy in the reservoir at strokeMinMv. Unit: millijoule. Offset 164. */
  energyFloorMj: f32;
  /** Energy for a closing stroke that has to wait for its turn in the queue. Unit: millijoule. Offset 168. */
  closeMj: f32;
  /** Energy that the reservoir supplies besides the coils until the next time slot. Unit: millijoule. Offset 172. */
  waitMj: f32;
  /** strokeMs. Unit: tick. Offset 176. */
  strokeTicks: u32;
  /** deadMs. Unit: tick. Offset 180. */
  deadTicks: u32;
  /** minPulseMs, rounded up to a multiple of pulseStepTicks. Unit: tick. Offset 184. */
  minPulseTicks: u32;
  /** maxPulseMs, rounded down to a multiple of pulseStepTicks, but not below minPulseTicks. Unit: tick. Offset 188. */
  maxPulseTicks: u32;
  /** Pulse lengths are multiples of this: the cycle of a shared harness, otherwise 1. Unit: tick. Offset 192. */
  pulseStepTicks: u32;
  /** restMs. Unit: tick. Offset 196. */
  restTicks: u32;
  /** settleMs. Unit: tick. Offset 200. */
  settleTicks: u32;
  /** liftDebounceMs. Unit: tick. Offset 204. */
  liftDebounceTicks: u32;
  /** liftS. Unit: tick. Offset 208. */
  liftTicks: u32;
  /** Time after lowering in which the wheels touch the ground in any case. Unit: tick. Offset 212. */
  contactTicks: u32;
  /** Time for which a signal must show contact. Unit: tick. Offset 216. */
  touchTicks: u32;
  /** Weight of a new value in the low-passes of the search for an offset. Unit: ratio. Offset 220. */
  offsetWeight: f32;
  /** Gain that cancels the load sensor's lag. Unit: ratio. Offset 224. */
  offsetLead: f32;
  /** Shortest time at the bottom of a lift-off. Unit: tick. Offset 228. */
  flatTicks: u32;
  /** Longest time at the bottom of a lift-off. Unit: tick. Offset 232. */
  flatMaxTicks: u32;
  /** Time in which the load rises at the end of a lift-off. Unit: tick. Offset 236. */
  riseTicks: u32;
  /** Time for which a reading below zero must last. Unit: tick. Offset 240. */
  lowTicks: u32;
  /** liftS and liftSettleMs. Unit: tick. Offset 244. */
  liftSettleTicks: u32;
  /** zeroWindowMs. Unit: tick. Offset 248. */
  zeroWindowTicks: u32;
  /** frozenMs; 0 turns the check off. Unit: tick. Offset 252. */
  frozenTicks: u32;
  /** rateHoldMs. Unit: tick. Offset 256. */
  rateHoldTicks: u32;
  /** relatchS. Unit: tick. Offset 260. */
  relatchTicks: u32;
  /** missedWindowMs. Unit: tick. Offset 264. */
  missedWindowTicks: u32;
  /** Time after lowering until the frame has settled. Unit: tick. Offset 268. */
  frameSettleTicks: u32;
  /** Readings that seed the slow part of the acceleration. Unit: tick. Offset 272. */
  slowTicks: u32;
  /** Time between two comparisons of accelerometer, pressure and load. Unit: tick. Offset 276. */
  compareTicks: u32;
  /** Weight of a new pulse rate in its slow mean. Unit: ratio. Offset 280. */
  rateWeight: f32;
  /** Pulses between two comparisons to pulses per minute and row. Unit: none. Offset 284. */
  pulsesToPerMin: f32;
  /** Change of the deadbands per relative excess of the pulse rate and comparison. Unit: ratio. Offset 288. */
  budgetGain: f32;
  /** Number of readings in the averaging time of the set point. Unit: none. Offset 292. */
  setPointReadings: u32;
  /** Time without comparing after a gap. Unit: tick. Offset 296. */
  compareWaitTicks: u32;
  /** Time between two comparisons of the soil ahead with what came. Unit: tick. Offset 300. */
  previewTicks: u32;
  /** Time without comparing them after a gap. Unit: tick. Offset 304. */
  previewWaitTicks: u32;
  /** Time after a stroke for which the slow mean of the drift is held. Unit: tick. Offset 308. */
  frameHoldTicks: u32;
  /** Time after a close in which the drift of a missed one begins. Unit: tick. Offset 312. */
  earlyTicks: u32;
  /** Time from a repeated close to the start of its judgement. Unit: tick. Offset 316. */
  judgeFromTicks: u32;
  /** Time from a repeated close to its judgement. Unit: tick. Offset 320. */
  judgeToTicks: u32;
  /** Time for which the velocity is not used after an invalid acceleration. Unit: tick. Offset 324. */
  noVelocityTicks: u32;
  /** retryS. Unit: tick. Offset 328. */
  retryTicks: u32;
  /** ventMs. Unit: tick. Offset 332. */
  ventTicks: u32;
  /** Cycle time of all banks that share the harness. Unit: tick. Offset 336. */
  slotCycleTicks: u32;
  /** Start of this bank's time slot in that cycle. Unit: tick. Offset 340. */
  slotStartTicks: u32;
}
export const COEFFICIENTS_BYTES: usize = 344;

/** Times of a fault. 4 bytes. */
@unmanaged
@final
export class FaultSetting {
  /** Debounce time. Unit: tick. Offset 0. */
  debounceTicks: u16;
  /** Recovery time; 0: latched until restart. Unit: tick. Offset 2. */
  recoveryTicks: u16;
}
export const FAULT_SETTING_BYTES: usize = 4;

/** Inputs of a bank for one tick, without those of its rows. 20 bytes. */
@unmanaged
@final
export class BankInput {
  /** Target load of every row. Unit: newton. Offset 0. */
  targetLoadN: f32;
  /** Oil temperature. Unit: degreeCelsius. Offset 4. */
  oilTemperatureC: f32;
  /** Rail pressure, ratiometric. Unit: count. Offset 8. */
  railCounts: u16;
  /** Supply voltage at the bank. Unit: millivolt. Offset 10. */
  supplyMv: u16;
  /** Voltage of the reservoir capacitor that feeds the coils. Unit: millivolt. Offset 12. */
  reservoirMv: u16;
  /** Ground speed as on an ISO 11783 bus: 1 mm/s per bit; values above 64255 are not a speed. Unit: millimetrePerSecond. Offset 14. */
  groundSpeedMmPerS: u16;
  /** Lift switch: 0 lifted, otherwise lowered; debounced for liftDebounceMs. Unit: none. Offset 16. */
  lowered: u8;
  /** Operator's switch: 0 off, otherwise on. Unit: none. Offset 17. */
  enabled: u8;
  /** Early warning that power is about to be switched off: 0 no, otherwise yes. Unit: none. Offset 18. */
  shutDown: u8;
  /** Unused, 0. Unit: none. Offset 19. */
  spare: u8;
}
export const BANK_INPUT_BYTES: usize = 20;

/** Inputs of a row for one tick. 12 bytes. */
@unmanaged
@final
export class RowInput {
  /** Expected change of the opener's force from now to 0.4 s from now, positive: harder soil comes, and the wheels will carry less; NaN: nothing is known. Ignored unless soilAheadFitted. Unit: newton. Offset 0. */
  soilAheadN: f32;
  /** Gauge-wheel load, ratiometric. Unit: count. Offset 4. */
  loadCounts: u16;
  /** Chamber pressure, ratiometric. Unit: count. Offset 6. */
  pressureCounts: u16;
  /** Row accelerometer, ratiometric; ignored unless accelerationFitted. Unit: count. Offset 8. */
  accelerationCounts: u16;
  /** Row switch: 0 off, otherwise on. Unit: none. Offset 10. */
  enabled: u8;
  /** Unused, 0. Unit: none. Offset 11. */
  spare: u8;
}
export const ROW_INPUT_BYTES: usize = 12;

/** Outputs of a bank. 8 bytes. */
@unmanaged
@final
export class BankOutput {
  /** Bank faults that are set. Unit: bits. Offset 0. */
  faults: u32;
  /** Operating mode of the bank (refused: configure() refused a parameter). Unit: none. Offset 4. */
  mode: u8;
  /** 1 while every valve of the bank is believed to be closed, also between pulses while venting. Unit: none. Offset 5. */
  allClosed: u8;
  /** 1 while nothing is owed: every valve is believed to be closed and none is checked for a missed close, no stroke is in progress or waits, and the bank does not vent. Unit: none. Offset 6. */
  powerMayBeCut: u8;
  /** Unused, 0. Unit: none. Offset 7. */
  spare: u8;
}
export const BANK_OUTPUT_BYTES: usize = 8;

/** Outputs of a row. 8 bytes. */
@unmanaged
@final
export class RowOutput {
  /** Row faults that are set. Unit: bits. Offset 0. */
  faults: u32;
  /** Operating mode of the row (frozen: the load is invalid and the set point stays; lowering: the wheels have not touched the ground yet). Unit: none. Offset 4. */
  mode: u8;
  /** Coil order to the supply valve in this tick. Unit: none. Offset 5. */
  supplyOrder: u8;
  /** Coil order to the return valve in this tick. Unit: none. Offset 6. */
  returnOrder: u8;
  /** Unused, 0. Unit: none. Offset 7. */
  spare: u8;
}
export const ROW_OUTPUT_BYTES: usize = 8;

/** Intermediate values of a bank. 44 bytes. */
@unmanaged
@final
export class BankProbe {
  /** Target load in use: the last valid one. Unit: newton. Offset 0. */
  targetLoadN: f32;
  /** Rail pressure in use. Unit: kilopascal. Offset 4. */
  railKpa: f32;
  /** Valve flow at the present oil temperature as a fraction of the flow of warm oil. Unit: ratio. Offset 8. */
  flowRatio: f32;
  /** Lug frequency in use, 0 while the notch is off. Unit: hertz. Offset 12. */
  notchHz: f32;
  /** Factor by which the pulse budget widens all deadbands. Unit: ratio. Offset 16. */
  deadbandScale: f32;
  /** Energy for strokes in the reservoir capacitor, above strokeMinMv; 0 without a reservoir. Unit: millijoule. Offset 20. */
  energyMj: f32;
  /** Fault conditions of the bank that are present now, before debounce. Unit: bits. Offset 24. */
  conditions: u32;
  /** Strokes started since configure(). Unit: none. Offset 28. */
  strokes: u32;
  /** Closing strokes that wait in the queue. Unit: none. Offset 32. */
  closesWaiting: u16;
  /** Opening strokes that wait in the queue. Unit: none. Offset 34. */
  opensWaiting: u16;
  /** Valves believed to be open or in an unknown position. Unit: none. Offset 36. */
  openValves: u16;
  /** Closing strokes still needed by valves that are or may be open, excluding stuck valves. Unit: none. Offset 38. */
  closesNeeded: u16;
  /** Closed valves that are being checked for a missed close. Unit: none. Offset 40. */
  valvesChecked: u16;
  /** Coils driven in this tick. Unit: none. Offset 42. */
  strokesInFlight: u16;
}
export const BANK_PROBE_BYTES: usize = 44;

/** Intermediate values of a row. 172 bytes. */
@unmanaged
@final
export class RowProbe {
  /** Load before zero and filter. Unit: newton. Offset 0. */
  loadRawN: f32;
  /** Zero in use. Unit: newton. Offset 4. */
  zeroN: f32;
  /** Load after zero, median, notch and low-pass. Unit: newton. Offset 8. */
  loadN: f32;
  /** Chamber pressure after the median. Unit: kilopascal. Offset 12. */
  pressureRawKpa: f32;
  /** Chamber pressure after the low-pass. Unit: kilopascal. Offset 16. */
  pressureKpa: f32;
  /** Row acceleration, 0 if not fitted. Unit: metrePerSecondSquared. Offset 20. */
  accelerationMps2: f32;
  /** Part of the disturbance in the prediction that is expected from the soil ahead. Unit: newton. Offset 24. */
  soilExpectedN: f32;
  /** Trust in the soil ahead: 0 none, 1 full. Unit: ratio. Offset 28. */
  soilAheadTrust: f32;
  /** Pressure set point of the load loop. Unit: kilopascal. Offset 32. */
  setPointKpa: f32;
  /** Target minus load. Unit: newton. Offset 36. */
  loadErrorN: f32;
  /** Control error that is compared with the deadband: load error, pressure error expressed as load, or predicted load error. Unit: newton. Offset 40. */
  errorN: f32;
  /** Standard deviation of the control error about its slow mean. Unit: newton. Offset 44. */
  noiseN: f32;
  /** Deadband in use. Unit: newton. Offset 48. */
  deadbandN: f32;
  /** Present load with wheel bounce removed: initial value of the prediction. Unit: newton. Offset 52. */
  presentN: f32;
  /** Predicted mean load over the prediction horizon if no valve moves. Unit: newton. Offset 56. */
  predictedN: f32;
  /** Accumulated pressure change from the oil that the valves of the row metered, with an arbitrary offset. Unit: kilopascal. Offset 60. */
  meteredKpa: f32;
  /** Pressure change per tick while the supply valve is open. Unit: kilopascal. Offset 64. */
  supplyStepKpa: f32;
  /** Pressure change per tick while the return valve is open, positive. Unit: kilopascal. Offset 68. */
  returnStepKpa: f32;
  /** Cumulative sum of a pressure rise that neither metered oil nor row motion explains: it indicates a valve that is not in its believed position. Unit: kilopascal. Offset 72. */
  cusumUpKpa: f32;
  /** Cumulative sum of a pressure fall that neither metered oil nor row motion explains. Unit: kilopascal. Offset 76. */
  cusumDownKpa: f32;
  /** Flow into the closed chamber, estimated from the pressure; negative: flow out of it. Unit: millilitrePerMinute. Offset 80. */
  leakMlPerMin: f32;
  /** Low-passed chamber pressure; steps from metered oil bypass the low-pass. Unit: kilopascal. Offset 84. */
  smoothKpa: f32;
  /** Load minus the pressure contribution: component in band 1. Unit: newton. Offset 88. */
  loadTrend1N: f32;
  /** Load minus the pressure contribution: component in band 2. Unit: newton. Offset 92. */
  loadTrend2N: f32;
  /** Load minus the pressure contribution: component in band 3. Unit: newton. Offset 96. */
  loadTrend3N: f32;
  /** Load minus the pressure contribution: component in band 4. Unit: newton. Offset 100. */
  loadTrend4N: f32;
  /** Pressure change not explained by metered oil, expressed as load: component in band 1. Unit: newton. Offset 104. */
  pressureTrend1N: f32;
  /** Pressure change not explained by metered oil, expressed as load: component in band 2. Unit: newton. Offset 108. */
  pressureTrend2N: f32;
  /** Pressure change not explained by metered oil, expressed as load: component in band 3. Unit: newton. Offset 112. */
  pressureTrend3N: f32;
  /** Pressure change not explained by metered oil, expressed as load: component in band 4. Unit: newton. Offset 116. */
  pressureTrend4N: f32;
  /** Inertia force of the row after low-pass 1. Unit: newton. Offset 120. */
  inertia1N: f32;
  /** Inertia force of the row after low-pass 2. Unit: newton. Offset 124. */
  inertia2N: f32;
  /** Inertia force of the row after low-pass 3. Unit: newton. Offset 128. */
  inertia3N: f32;
  /** Inertia force of the row after low-pass 4. Unit: newton. Offset 132. */
  inertia4N: f32;
  /** Inertia force of the row after low-pass 5. Unit: newton. Offset 136. */
  inertia5N: f32;
  /** Compliance of the actuator at this pressure. Unit: millilitrePerKilopascal. Offset 140. */
  compliance: f32;
  /** Pulse length requested with the last wish. Unit: millisecond. Offset 144. */
  pulseMs: f32;
  /** Learned gain of the supply valve. Unit: ratio. Offset 148. */
  supplyGain: f32;
  /** Learned gain of the return valve. Unit: ratio. Offset 152. */
  returnGain: f32;
  /** Fault conditions of the row that are present now, before debounce. Unit: bits. Offset 156. */
  conditions: u32;
  /** Time for which the row's open valve has been open. Unit: tick. Offset 160. */
  openTicks: u16;
  /** Time for which the row's oldest request has waited in the queue. Unit: tick. Offset 162. */
  waitTicks: u16;
  /** Time for which the stroke that ends the row's pulse has waited in the queue. Unit: tick. Offset 164. */
  closeWaitTicks: u16;
  /** Unused, 0. Unit: none. Offset 166. */
  spare: u16;
  /** Pressure change requested by the strategy. Unit: none. Offset 168. */
  wish: u8;
  /** Believed position of the supply valve. Unit: none. Offset 169. */
  supplyBelief: u8;
  /** Believed position of the return valve. Unit: none. Offset 170. */
  returnBelief: u8;
  /** Result of the last re-zero. Unit: none. Offset 171. */
  zeroResult: u8;
}
export const ROW_PROBE_BYTES: usize = 172;

/** State of a bank. 60 bytes. */
@unmanaged
@final
export class BankState {
  /** Number of rows passed to configure(). Unit: none. Offset 0. */
  rowCount: u32;
  /** Last valid target. Unit: newton. Offset 4. */
  targetLoadN: f32;
  /** Tangent of half the notch's angle per tick. Unit: ratio. Offset 8. */
  notchG: f32;
  /** Slow mean of the pulse rate of a row. Unit: perMinute. Offset 12. */
  pulsesPerMin: f32;
  /** Factor by which the pulse budget widens all deadbands. Unit: ratio. Offset 16. */
  deadbandScale: f32;
  /** Strokes started. Unit: none. Offset 20. */
  strokes: u32;
  /** Pulses started since the pulse rate was last updated. Unit: none. Offset 24. */
  pulses: u32;
  /** Time since the shut-down request or the loss of power; saturates. Unit: tick. Offset 28. */
  shutDownTicks: u32;
  /** Time for which the lift switch has differed from lowered; saturates. Unit: tick. Offset 32. */
  liftTicks: u32;
  /** Position in the cycle in which rows compare their signals. Unit: tick. Offset 36. */
  compareTicks: u32;
  /** Time for which oil has flowed through supply valves, summed over the rows. Unit: tick. Offset 40. */
  supplyTicks: u32;
  /** Position in the cycle in which rows compare the soil ahead with what came. Unit: tick. Offset 44. */
  previewTicks: u32;
  /** Time since lowering; saturates. Unit: tick. Offset 48. */
  loweredTicks: u16;
  /** Position in the cycle of the banks that share a harness. Unit: tick. Offset 50. */
  slotTicks: u16;
  /** 1 after configure() refused a parameter. Unit: none. Offset 52. */
  refused: u8;
  /** Operating mode of the bank (refused: configure() refused a parameter). Unit: none. Offset 53. */
  mode: u8;
  /** 1 once every valve that is not stuck has been closed after start. Unit: none. Offset 54. */
  started: u8;
  /** 1 while power is lost and no reservoir pays for strokes. Unit: none. Offset 55. */
  inhibited: u8;
  /** Lift switch after debounce: 1 lowered. Unit: none. Offset 56. */
  lowered: u8;
  /** 1 once the lift switch has been read. Unit: none. Offset 57. */
  hasLift: u8;
  /** 1 while chambers are vented. Unit: none. Offset 58. */
  venting: u8;
  /** 1 while the oil of open valves can show in the pressures. Unit: none. Offset 59. */
  shown: u8;
}
export const BANK_STATE_BYTES: usize = 60;

/** State of an analog input's checks. 32 bytes. */
@unmanaged
@final
export class ChannelState {
  /** Last valid value, in the channel's unit. Unit: none. Offset 0. */
  value: f32;
  /** First related signal when the ADC counts last changed. Unit: none. Offset 4. */
  related1: f32;
  /** Second related signal when the ADC counts last changed. Unit: none. Offset 8. */
  related2: f32;
  /** Last change of the ADC counts. Unit: count. Offset 12. */
  changeCounts: i32;
  /** Last ADC counts. Unit: count. Offset 16. */
  counts: u16;
  /** Time for which the ADC counts have not changed; saturates. Unit: tick. Offset 18. */
  sameTicks: u16;
  /** Remaining time for which the channel is treated as invalid after a jump. Unit: tick. Offset 20. */
  rateTicks: u16;
  /** 1 once a reading was in range. Unit: none. Offset 22. */
  hasReading: u8;
  /** 1 while the value may be used. Unit: none. Offset 23. */
  valid: u8;
  /** 1 once the channel's filters have been seeded. Unit: none. Offset 24. */
  seeded: u8;
  /** Number of consecutive ticks in which no check has failed; saturates at 2. Unit: tick. Offset 25. */
  cleanTicks: u8;
  /** Last ADC counts in range. Unit: count. Offset 26. */
  inRangeCounts: u16;
  /** Number of consecutive ticks in which the ADC counts have made a large change and reversed it. Unit: none. Offset 28. */
  flips: u8;
  /** Result of the last range check: Short, Open, Range or 0. Unit: bits. Offset 29. */
  rangeCheck: u8;
  /** 1 once the sensor was found to be frozen, until its ADC counts change. Unit: none. Offset 30. */
  frozen: u8;
  /** 1 while no check of range and change fails or is held. Unit: none. Offset 31. */
  steady: u8;
}
export const CHANNEL_STATE_BYTES: usize = 32;

/** State of the load sensor's re-zero at each lift. 32 bytes. */
@unmanaged
@final
export class ZeroState {
  /** Zero in use. Unit: newton. Offset 0. */
  zeroN: f32;
  /** First load of the window. Unit: newton. Offset 4. */
  firstN: f32;
  /** Sum of the window's differences from the first load. Unit: newton. Offset 8. */
  sumN: f32;
  /** Lowest load of the window. Unit: newton. Offset 12. */
  lowestN: f32;
  /** Highest load of the window. Unit: newton. Offset 16. */
  highestN: f32;
  /** Ticks in the window so far. Unit: tick. Offset 20. */
  ticks: u16;
  /** Time since the lift; saturates. Unit: tick. Offset 22. */
  waitTicks: u16;
  /** Number of windows refused during this lift; saturates. Unit: none. Offset 24. */
  refusals: u16;
  /** Result of the last window. Unit: none. Offset 26. */
  result: u8;
  /** Result of the last lift with a full window, or of the present one once it is certain. Unit: none. Offset 27. */
  reported: u8;
  /** 1 once a zero was accepted during this lift. Unit: none. Offset 28. */
  accepted: u8;
  /** 1 once a zero was accepted during any lift. Unit: none. Offset 29. */
  hasZero: u8;
  /** Unused, 0. Unit: none. Offset 30. */
  spare: u16;
}
export const ZERO_STATE_BYTES: usize = 32;

/** State of the search for the load sensor's offset. 32 bytes. */
@unmanaged
@final
export class OffsetState {
  /** Load after the low-pass. Unit: newton. Offset 0. */
  lowPassN: f32;
  /** Load without the sensor's lag. Unit: newton. Offset 4. */
  wheelN: f32;
  /** Load from which wheelN has not moved away. Unit: newton. Offset 8. */
  levelN: f32;
  /** Level of the last flat stretch, if the load rises from it now. Unit: newton. Offset 12. */
  flatN: f32;
  /** Reading with the wheels off the ground, by the last lift-offs. Unit: newton. Offset 16. */
  liftOffN: f32;
  /** Offset found, 0 if none. Unit: newton. Offset 20. */
  offsetN: f32;
  /** Time for which the load has stayed at its level; saturates. Unit: tick. Offset 24. */
  flatTicks: u16;
  /** Remaining time in which the load must have risen. Unit: tick. Offset 26. */
  riseTicks: u16;
  /** Time for which the sensor has read below zero; saturates. Unit: tick. Offset 28. */
  lowTicks: u16;
  /** Number of lift-offs that agree; saturates. Unit: none. Offset 30. */
  liftOffs: u8;
  /** Unused, 0. Unit: none. Offset 31. */
  spare: u8;
}
export const OFFSET_STATE_BYTES: usize = 32;

/** State of the detection of ground contact after a lift. 6 bytes. */
@unmanaged
@final
export class ContactState {
  /** Remaining time after lowering until the wheels are taken to be on the ground in any case. Unit: tick. Offset 0. */
  remainingTicks: u16;
  /** Time for which the load or the acceleration has shown contact. Unit: tick. Offset 2. */
  touchTicks: u16;
  /** 1 from a lift until the wheels touch the ground again. Unit: none. Offset 4. */
  hanging: u8;
  /** Unused, 0. Unit: none. Offset 5. */
  spare: u8;
}
export const CONTACT_STATE_BYTES: usize = 6;

/** State of a median of 3. 8 bytes. */
@unmanaged
@final
export class MedianState {
  /** Value two ticks ago. Unit: none. Offset 0. */
  older: f32;
  /** Value one tick ago. Unit: none. Offset 4. */
  old: f32;
}
export const MEDIAN_STATE_BYTES: usize = 8;

/** State of a second-order filter: two integrators. 8 bytes. */
@unmanaged
@final
export class SecondOrderState {
  /** First integrator. Unit: none. Offset 0. */
  first: f32;
  /** Second integrator. Unit: none. Offset 4. */
  second: f32;
}
export const SECOND_ORDER_STATE_BYTES: usize = 8;

/** State of a row's load loop and deadband. 24 bytes. */
@unmanaged
@final
export class LoopState {
  /** Pressure set point. Unit: kilopascal. Offset 0. */
  setPointKpa: f32;
  /** Integral part of the load loop. Unit: kilopascal. Offset 4. */
  integralKpa: f32;
  /** Slow mean of the control error. Unit: newton. Offset 8. */
  slowErrorN: f32;
  /** Variance of the control error about its slow mean, N². Unit: none. Offset 12. */
  varianceN2: f32;
  /** Planned length of the present or next pulse. Unit: tick. Offset 16. */
  plannedTicks: u16;
  /** Number of readings in the mean of the set point so far; saturates. Unit: none. Offset 18. */
  setReadings: u16;
  /** 1 if the load loop ran in the last tick. Unit: none. Offset 20. */
  running: u8;
  /** Direction of the correction in progress, which ends once the error is inside the hysteresis. Unit: none. Offset 21. */
  acting: u8;
  /** 1 if the last tick had a control error. Unit: none. Offset 22. */
  hasError: u8;
  /** 1 after the floor stopped a lowering pulse. Unit: none. Offset 23. */
  atFloor: u8;
}
export const LOOP_STATE_BYTES: usize = 24;

/** State of a row's predictor: low-passes, slowest first. 76 bytes. */
@unmanaged
@final
export class PredictorState {
  /** Pressure change from metered oil. Unit: kilopascal. Offset 0. */
  meteredKpa: f32;
  /** Pressure, delayed by the load sensor's lag. Unit: kilopascal. Offset 4. */
  sensedPressureKpa: f32;
  /** Inertia force, delayed by the load sensor's lag. Unit: newton. Offset 8. */
  sensedInertiaN: f32;
  /** Load minus the pressure contribution, low-pass 1. Unit: newton. Offset 12. */
  load1N: f32;
  /** Load minus the pressure contribution, low-pass 2. Unit: newton. Offset 16. */
  load2N: f32;
  /** Load minus the pressure contribution, low-pass 3. Unit: newton. Offset 20. */
  load3N: f32;
  /** Load minus the pressure contribution, low-pass 4. Unit: newton. Offset 24. */
  load4N: f32;
  /** Load minus the pressure contribution, low-pass 5. Unit: newton. Offset 28. */
  load5N: f32;
  /** Pressure change not explained by metered oil, expressed as load, low-pass 1. Unit: newton. Offset 32. */
  pressure1N: f32;
  /** Pressure change not explained by metered oil, expressed as load, low-pass 2. Unit: newton. Offset 36. */
  pressure2N: f32;
  /** Pressure change not explained by metered oil, expressed as load, low-pass 3. Unit: newton. Offset 40. */
  pressure3N: f32;
  /** Pressure change not explained by metered oil, expressed as load, low-pass 4. Unit: newton. Offset 44. */
  pressure4N: f32;
  /** Pressure change not explained by metered oil, expressed as load, low-pass 5. Unit: newton. Offset 48. */
  pressure5N: f32;
  /** Inertia force, low-pass 1. Unit: newton. Offset 52. */
  inertia1N: f32;
  /** Inertia force, low-pass 2. Unit: newton. Offset 56. */
  inertia2N: f32;
  /** Inertia force, low-pass 3. Unit: newton. Offset 60. */
  inertia3N: f32;
  /** Inertia force, low-pass 4. Unit: newton. Offset 64. */
  inertia4N: f32;
  /** Inertia force, low-pass 5. Unit: newton. Offset 68. */
  inertia5N: f32;
  /** 1 if the last tick had a valid pressure. Unit: none. Offset 72. */
  hasPressure: u16;
  /** 1 if the last tick had a valid load. Unit: none. Offset 74. */
  hasLoad: u16;
}
export const PREDICTOR_STATE_BYTES: usize = 76;

/** State of a band-pass. 12 bytes. */
@unmanaged
@final
export class BandState {
  /** Low-pass. Unit: none. Offset 0. */
  low: f32;
  /** First slow mean. Unit: none. Offset 4. */
  slow: f32;
  /** Second slow mean. Unit: none. Offset 8. */
  slower: f32;
}
export const BAND_STATE_BYTES: usize = 12;

/** State of a row's accelerometer and of its comparison with pressure and load. 56 bytes. */
@unmanaged
@final
export class MotionState {
  /** Slow part of the acceleration. Unit: metrePerSecondSquared. Offset 0. */
  slowMps2: f32;
  /** Pressure change per expected one, 1 while it is near that. Unit: ratio. Offset 4. */
  slope: f32;
  /** Acceleration over reading. Unit: ratio. Offset 8. */
  scale: f32;
  /** Gas in the accumulator over its nominal amount. Unit: ratio. Offset 12. */
  gasRatio: f32;
  /** Sum of the velocity since the last comparison, m/s per tick. Unit: none. Offset 16. */
  travel: f32;
  /** The detector's residual at the last comparison. Unit: kilopascal. Offset 20. */
  residualKpa: f32;
  /** Mean square of the motion, kPa². Unit: none. Offset 24. */
  motion2: f32;
  /** Mean square of the pressure change, kPa². Unit: none. Offset 28. */
  pressure2: f32;
  /** Mean product of both, kPa². Unit: none. Offset 32. */
  motionPressure: f32;
  /** Mean square of the inertia force, N². Unit: none. Offset 36. */
  inertia2: f32;
  /** Mean product of inertia force and load, N². Unit: none. Offset 40. */
  inertiaLoad: f32;
  /** Mean square of the load, N². Unit: none. Offset 44. */
  load2: f32;
  /** Remaining time without comparing after a gap. Unit: tick. Offset 48. */
  waitTicks: u16;
  /** Readings in the slow part so far; saturates. Unit: tick. Offset 50. */
  seedTicks: u16;
  /** 1 while the accelerometer contradicts the pressure. Unit: none. Offset 52. */
  isDoubtful: u8;
  /** 1 while the load contradicts accelerometer and pressure. Unit: none. Offset 53. */
  isLoadDoubtful: u8;
  /** Unused, 0. Unit: none. Offset 54. */
  spare: u16;
}
export const MOTION_STATE_BYTES: usize = 56;

/** State of what a row knows of the soil ahead, and of its comparison with what came. 100 bytes. */
@unmanaged
@final
export class PreviewState {
  /** Soil ahead after the same lag as the load sensor's. Unit: newton. Offset 0. */
  sensedN: f32;
  /** The same after a low-pass. Unit: newton. Offset 4. */
  smoothN: f32;
  /** The predictor's disturbance after the same low-pass, without the soil ahead. Unit: newton. Offset 8. */
  disturbanceN: f32;
  /** Trust in the soil ahead: 0 none, 1 full. Unit: ratio. Offset 12. */
  trust: f32;
  /** Mean square of the expected change, N². Unit: none. Offset 16. */
  expected2: f32;
  /** Mean square of the change of the disturbance, N². Unit: none. Offset 20. */
  change2: f32;
  /** Mean product of both, N². Unit: none. Offset 24. */
  expectedChange: f32;
  /** Expected change, the oldest first: 1. Unit: newton. Offset 28. */
  expected1N: f32;
  /** Expected change, the oldest first: 2. Unit: newton. Offset 32. */
  expected2N: f32;
  /** Expected change, the oldest first: 3. Unit: newton. Offset 36. */
  expected3N: f32;
  /** Expected change, the oldest first: 4. Unit: newton. Offset 40. */
  expected4N: f32;
  /** Expected change, the oldest first: 5. Unit: newton. Offset 44. */
  expected5N: f32;
  /** Expected change, the oldest first: 6. Unit: newton. Offset 48. */
  expected6N: f32;
  /** Expected change, the oldest first: 7. Unit: newton. Offset 52. */
  expected7N: f32;
  /** Expected change, the oldest first: 8. Unit: newton. Offset 56. */
  expected8N: f32;
  /** Disturbance, the oldest first: 1. Unit: newton. Offset 60. */
  disturbance1N: f32;
  /** Disturbance, the oldest first: 2. Unit: newton. Offset 64. */
  disturbance2N: f32;
  /** Disturbance, the oldest first: 3. Unit: newton. Offset 68. */
  disturbance3N: f32;
  /** Disturbance, the oldest first: 4. Unit: newton. Offset 72. */
  disturbance4N: f32;
  /** Disturbance, the oldest first: 5. Unit: newton. Offset 76. */
  disturbance5N: f32;
  /** Disturbance, the oldest first: 6. Unit: newton. Offset 80. */
  disturbance6N: f32;
  /** Disturbance, the oldest first: 7. Unit: newton. Offset 84. */
  disturbance7N: f32;
  /** Disturbance, the oldest first: 8. Unit: newton. Offset 88. */
  disturbance8N: f32;
  /** Remaining time for which the soil ahead is invalid after an invalid value. Unit: tick. Offset 92. */
  heldTicks: u16;
  /** Remaining time without comparing after a gap. Unit: tick. Offset 94. */
  waitTicks: u16;
  /** 1 while the load does not follow the soil ahead. Unit: none. Offset 96. */
  isWrong: u16;
  /** Unused, 0. Unit: none. Offset 98. */
  spare: u16;
}
export const PREVIEW_STATE_BYTES: usize = 100;

/** State of a row's detector, which detects missed strokes and leaks from the pressure. 104 bytes. */
@unmanaged
@final
export class DetectorState {
  /** Row velocity from the accelerometer, high-passed. Unit: metrePerSecond. Offset 0. */
  velocityMps: f32;
  /** Slow mean of that velocity. Unit: metrePerSecond. Offset 4. */
  slowMps: f32;
  /** Velocity after the same low-pass as the pressure. Unit: metrePerSecond. Offset 8. */
  smoothMps: f32;
  /** Pressure change not explained by metered oil, low-passed. Unit: kilopascal. Offset 12. */
  residualKpa: f32;
  /** Cumulative sum for a pressure rise. Unit: kilopascal. Offset 16. */
  cusumUpKpa: f32;
  /** Cumulative sum for a pressure fall. Unit: kilopascal. Offset 20. */
  cusumDownKpa: f32;
  /** Pressure change from row motion in this tick. Unit: kilopascal. Offset 24. */
  motionKpa: f32;
  /** Change of the residual since the start of the last pulse, without the effect of row motion. Unit: kilopascal. Offset 28. */
  residualStepKpa: f32;
  /** Drift per tick by the motion of the frame. Unit: kilopascal. Offset 32. */
  frameKpa: f32;
  /** Drift per tick as oil, for the neighbours. Unit: millilitre. Offset 36. */
  frameMl: f32;
  /** Share of the first neighbour in the motion of the frame. Unit: ratio. Offset 40. */
  firstWeight: f32;
  /** Share of the second neighbour. Unit: ratio. Offset 44. */
  secondWeight: f32;
  /** Highest recent sum without a missed stroke. Unit: kilopascal. Offset 48. */
  noiseKpa: f32;
  /** Cumulative sum of a rise, as oil, that is not restarted by pulses. Unit: millilitre. Offset 52. */
  rawUpMl: f32;
  /** Cumulative sum of a fall, as oil, that is not restarted by pulses. Unit: millilitre. Offset 56. */
  rawDownMl: f32;
  /** Evidence per tick against the doubted valve before it was closed again. Unit: kilopascal. Offset 60. */
  doubtRateKpa: f32;
  /** Drift during the doubt as oil, in the direction of the doubted valve's. Unit: millilitre. Offset 64. */
  movedMl: f32;
  /** Oil that the doubted valve would have passed if it were open. Unit: millilitre. Offset 68. */
  owedMl: f32;
  /** Evidence after the repeated close. Unit: kilopascal. Offset 72. */
  judgedKpa: f32;
  /** Pressure that the gas would have at wall temperature. Unit: kilopascal. Offset 76. */
  slowKpa: f32;
  /** Slow mean of the flow into the closed chamber. Unit: millilitrePerMinute. Offset 80. */
  leakMlPerMin: f32;
  /** Slow mean of the metered oil, both directions. Unit: millilitrePerMinute. Offset 84. */
  meteredMlPerMin: f32;
  /** Remaining time for which the velocity is not used. Unit: tick. Offset 88. */
  noVelocityTicks: u16;
  /** Time since cusumUpKpa was last 0. Unit: tick. Offset 90. */
  upTicks: u16;
  /** Time since cusumDownKpa was last 0. Unit: tick. Offset 92. */
  downTicks: u16;
  /** 1 if the last tick had a valid pressure. Unit: none. Offset 94. */
  hasPressure: u16;
  /** Time with closed valves since both raw sums were last 0. Unit: tick. Offset 96. */
  rawTicks: u16;
  /** Kind of missed stroke that the sums are to detect. Unit: none. Offset 98. */
  mode: u8;
  /** Valve whose missed stroke was found in this tick. Unit: none. Offset 99. */
  missedValve: u8;
  /** 1 once the frame has settled after lowering. Unit: none. Offset 100. */
  frameSettled: u8;
  /** Valve that may have missed its last close and is being judged. Unit: none. Offset 101. */
  doubt: u8;
  /** 1 if the drift of the doubted valve began too long after its close. Unit: none. Offset 102. */
  isDoubtLate: u8;
  /** Unused, 0. Unit: none. Offset 103. */
  spare: u8;
}
export const DETECTOR_STATE_BYTES: usize = 104;

/** State of a row's valve pair. 24 bytes. */
@unmanaged
@final
export class PairState {
  /** Distance of the error from the deadband: the queue serves the largest first. Unit: newton. Offset 0. */
  needN: f32;
  /** Expected pressure change per open tick of the pulse for the present wish, at gain 1. Unit: kilopascal. Offset 4. */
  stepKpaPerTick: f32;
  /** Expected pressure change of the last pulse at gain 1, as a magnitude. Unit: kilopascal. Offset 8. */
  expectedKpa: f32;
  /** Remaining rest time after the last pulse. Unit: tick. Offset 12. */
  restTicks: u16;
  /** Remaining dead time after the last close. Unit: tick. Offset 14. */
  deadTicks: u16;
  /** Remaining time until the pressure step of the last pulse is read. Unit: tick. Offset 16. */
  settleTicks: u16;
  /** Wish for which the open valve was opened, hold if none is open. Unit: none. Offset 18. */
  openWish: u8;
  /** Wish of the pulse from which the gain is to be learned. Unit: none. Offset 19. */
  learnWish: u8;
  /** Wish of the pulse whose oil flows: from the end of its opening stroke to the end of its closing stroke. Unit: none. Offset 20. */
  flowWish: u8;
  /** 1 if the present or last pulse seems to pass no oil and has not been judged. Unit: none. Offset 21. */
  suspectPulse: u8;
  /** Unused, 0. Unit: none. Offset 22. */
  spare: u16;
}
export const PAIR_STATE_BYTES: usize = 24;

/** State of a latching valve as the controller believes it. 32 bytes. */
@unmanaged
@final
export class ValveState {
  /** Learned flow divided by configured flow. Unit: ratio. Offset 0. */
  gain: f32;
  /** Covariance of the learned gain, 1/kPa². Unit: none. Offset 4. */
  covariance: f32;
  /** Oil that the consecutive pulses should have passed that passed none. Unit: millilitre. Offset 8. */
  missedMl: f32;
  /** Time since the last stroke; saturates. Unit: tick. Offset 12. */
  quietTicks: u32;
  /** Time since the opening stroke began; saturates. Unit: tick. Offset 16. */
  openTicks: u16;
  /** Remaining time of the present stroke. Unit: tick. Offset 18. */
  coilTicks: u16;
  /** Time for which the request has waited; saturates. Unit: tick. Offset 20. */
  waitTicks: u16;
  /** Number of repeats of the last closing stroke on suspicion; saturates. Unit: none. Offset 22. */
  repeats: u16;
  /** Believed position. Unit: none. Offset 24. */
  belief: u8;
  /** Present stroke. Unit: none. Offset 25. */
  coil: u8;
  /** Stroke requested from the queue. Unit: none. Offset 26. */
  request: u8;
  /** Consecutive missed opening strokes. Unit: none. Offset 27. */
  missedOpens: u8;
  /** Where the valve is stuck. Unit: none. Offset 28. */
  stuck: u8;
  /** 1 while such a repeat is requested. Unit: none. Offset 29. */
  suspected: u8;
  /** Unused, 0. Unit: none. Offset 30. */
  spare: u16;
}
export const VALVE_STATE_BYTES: usize = 32;

/** Faults of a bank or of a row. 8 bytes. */
@unmanaged
@final
export class FaultState {
  /** Faults that are set. Unit: bits. Offset 0. */
  faults: u32;
  /** Faults whose timer is running. Unit: bits. Offset 4. */
  pending: u32;
}
export const FAULT_STATE_BYTES: usize = 8;

/** Debounce and recovery timer of a fault. 2 bytes. */
@unmanaged
@final
export class FaultTimer {
  /** Time for which condition and fault have differed. Unit: tick. Offset 0. */
  ticks: u16;
}
export const FAULT_TIMER_BYTES: usize = 2;

// Memory map: parameters, derived, inputs, outputs, probes, the bank's state, then one block of state per row.

export const PARAMETERS_AT: usize = 16;
export const CHANNEL_SETTING_AT: usize = PARAMETERS_AT + PARAMETERS_BYTES * (1);
export const COEFFICIENTS_AT: usize = CHANNEL_SETTING_AT + CHANNEL_SETTING_BYTES * (4);
export const BANK_FAULT_SETTING_AT: usize = COEFFICIENTS_AT + COEFFICIENTS_BYTES * (1);
export const ROW_FAULT_SETTING_AT: usize = BANK_FAULT_SETTING_AT + FAULT_SETTING_BYTES * (BANK_FAULTS);
export const ACCEPTED_PARAMETERS_AT: usize = ROW_FAULT_SETTING_AT + FAULT_SETTING_BYTES * (ROW_FAULTS);
export const BANK_INPUT_AT: usize = ACCEPTED_PARAMETERS_AT + PARAMETERS_BYTES * (1);
export const ROW_INPUT_AT: usize = BANK_INPUT_AT + BANK_INPUT_BYTES * (1);
export const BANK_OUTPUT_AT: usize = ROW_INPUT_AT + ROW_INPUT_BYTES * (ROWS_MAX * 1);
export const ROW_OUTPUT_AT: usize = BANK_OUTPUT_AT + BANK_OUTPUT_BYTES * (1);
export const BANK_PROBE_AT: usize = ROW_OUTPUT_AT + ROW_OUTPUT_BYTES * (ROWS_MAX * 1);
export const ROW_PROBE_AT: usize = BANK_PROBE_AT + BANK_PROBE_BYTES * (1);
export const BANK_STATE_AT: usize = ROW_PROBE_AT + ROW_PROBE_BYTES * (ROWS_MAX * 1);
export const RAIL_STATE_AT: usize = BANK_STATE_AT + BANK_STATE_BYTES * (1);
export const BANK_FAULTS_AT: usize = RAIL_STATE_AT + CHANNEL_STATE_BYTES * (1);
export const BANK_FAULT_TIMER_AT: usize = BANK_FAULTS_AT + FAULT_STATE_BYTES * (1);
export const CHANNEL_STATE_AT: usize = (BANK_FAULT_TIMER_AT + FAULT_TIMER_BYTES * (BANK_FAULTS) + 3) & ~3;
export const ZERO_STATE_AT: usize = CHANNEL_STATE_AT + CHANNEL_STATE_BYTES * (3);
export const OFFSET_STATE_AT: usize = ZERO_STATE_AT + ZERO_STATE_BYTES * (1);
export const CONTACT_STATE_AT: usize = OFFSET_STATE_AT + OFFSET_STATE_BYTES * (1);
export const LOAD_MEDIAN_AT: usize = (CONTACT_STATE_AT + CONTACT_STATE_BYTES * (1) + 3) & ~3;
export const PRESSURE_MEDIAN_AT: usize = LOAD_MEDIAN_AT + MEDIAN_STATE_BYTES * (1);
export const LUG_NOTCH_AT: usize = PRESSURE_MEDIAN_AT + MEDIAN_STATE_BYTES * (1);
export const LOAD_LOW_PASS_AT: usize = LUG_NOTCH_AT + SECOND_ORDER_STATE_BYTES * (1);
export const PRESSURE_LOW_PASS_AT: usize = LOAD_LOW_PASS_AT + SECOND_ORDER_STATE_BYTES * (1);
export const LOOP_STATE_AT: usize = PRESSURE_LOW_PASS_AT + SECOND_ORDER_STATE_BYTES * (1);
export const PREDICTOR_AT: usize = LOOP_STATE_AT + LOOP_STATE_BYTES * (1);
export const MOTION_BAND_AT: usize = PREDICTOR_AT + PREDICTOR_STATE_BYTES * (1);
export const PRESSURE_BAND_AT: usize = MOTION_BAND_AT + BAND_STATE_BYTES * (1);
export const INERTIA_BAND_AT: usize = PRESSURE_BAND_AT + BAND_STATE_BYTES * (1);
export const LOAD_BAND_AT: usize = INERTIA_BAND_AT + BAND_STATE_BYTES * (1);
export const MOTION_AT: usize = LOAD_BAND_AT + BAND_STATE_BYTES * (1);
export const PREVIEW_AT: usize = MOTION_AT + MOTION_STATE_BYTES * (1);
export const DETECTOR_AT: usize = PREVIEW_AT + PREVIEW_STATE_BYTES * (1);
export const PAIR_STATE_AT: usize = DETECTOR_AT + DETECTOR_STATE_BYTES * (1);
export const VALVE_STATE_AT: usize = PAIR_STATE_AT + PAIR_STATE_BYTES * (1);
export const ROW_FAULTS_AT: usize = VALVE_STATE_AT + VALVE_STATE_BYTES * (2);
export const ROW_FAULT_TIMER_AT: usize = ROW_FAULTS_AT + FAULT_STATE_BYTES * (1);

/** State of the rows, one block per row. */
export const ROW_STATE_AT: usize = CHANNEL_STATE_AT;
export const ROW_STATE_BYTES: usize = 772;
/** First byte after the last record. */
export const RECORDS_END: usize = ROW_STATE_AT + ROW_STATE_BYTES * ROWS_MAX;

export function parameters(): Parameters {
  return changetype<Parameters>(PARAMETERS_AT);
}

export function channelSetting(index: i32): ChannelSetting {
  return changetype<ChannelSetting>(CHANNEL_SETTING_AT + <usize>index * CHANNEL_SETTING_BYTES);
}

export function coefficients(): Coefficients {
  return changetype<Coefficients>(COEFFICIENTS_AT);
}

export function bankFaultSetting(index: i32): FaultSetting {
  return changetype<FaultSetting>(BANK_FAULT_SETTING_AT + <usize>index * FAULT_SETTING_BYTES);
}

export function rowFaultSetting(index: i32): FaultSetting {
  return changetype<FaultSetting>(ROW_FAULT_SETTING_AT + <usize>index * FAULT_SETTING_BYTES);
}

export function acceptedParameters(): Parameters {
  return changetype<Parameters>(ACCEPTED_PARAMETERS_AT);
}

export function bankInput(): BankInput {
  return changetype<BankInput>(BANK_INPUT_AT);
}

export function rowInput(index: i32): RowInput {
  return changetype<RowInput>(ROW_INPUT_AT + <usize>index * ROW_INPUT_BYTES);
}

export function bankOutput(): BankOutput {
  return changetype<BankOutput>(BANK_OUTPUT_AT);
}

export function rowOutput(index: i32): RowOutput {
  return changetype<RowOutput>(ROW_OUTPUT_AT + <usize>index * ROW_OUTPUT_BYTES);
}

export function bankProbe(): BankProbe {
  return changetype<BankProbe>(BANK_PROBE_AT);
}

export function rowProbe(index: i32): RowProbe {
  return changetype<RowProbe>(ROW_PROBE_AT + <usize>index * ROW_PROBE_BYTES);
}

export function bankState(): BankState {
  return changetype<BankState>(BANK_STATE_AT);
}

export function railState(): ChannelState {
  return changetype<ChannelState>(RAIL_STATE_AT);
}

export function bankFaults(): FaultState {
  return changetype<FaultState>(BANK_FAULTS_AT);
}

export function bankFaultTimer(index: i32): FaultTimer {
  return changetype<FaultTimer>(BANK_FAULT_TIMER_AT + <usize>index * FAULT_TIMER_BYTES);
}

/** `which`: of those of the row, from 0. */
export function channelState(row: i32, which: i32): ChannelState {
  return changetype<ChannelState>(CHANNEL_STATE_AT + <usize>row * ROW_STATE_BYTES + <usize>which * CHANNEL_STATE_BYTES);
}

export function zeroState(row: i32): ZeroState {
  return changetype<ZeroState>(ZERO_STATE_AT + <usize>row * ROW_STATE_BYTES);
}

export function offsetState(row: i32): OffsetState {
  return changetype<OffsetState>(OFFSET_STATE_AT + <usize>row * ROW_STATE_BYTES);
}

export function contactState(row: i32): ContactState {
  return changetype<ContactState>(CONTACT_STATE_AT + <usize>row * ROW_STATE_BYTES);
}

export function loadMedian(row: i32): MedianState {
  return changetype<MedianState>(LOAD_MEDIAN_AT + <usize>row * ROW_STATE_BYTES);
}

export function pressureMedian(row: i32): MedianState {
  return changetype<MedianState>(PRESSURE_MEDIAN_AT + <usize>row * ROW_STATE_BYTES);
}

export function lugNotch(row: i32): SecondOrderState {
  return changetype<SecondOrderState>(LUG_NOTCH_AT + <usize>row * ROW_STATE_BYTES);
}

export function loadLowPass(row: i32): SecondOrderState {
  return changetype<SecondOrderState>(LOAD_LOW_PASS_AT + <usize>row * ROW_STATE_BYTES);
}

export function pressureLowPass(row: i32): SecondOrderState {
  return changetype<SecondOrderState>(PRESSURE_LOW_PASS_AT + <usize>row * ROW_STATE_BYTES);
}

export function loopState(row: i32): LoopState {
  return changetype<LoopState>(LOOP_STATE_AT + <usize>row * ROW_STATE_BYTES);
}

export function predictor(row: i32): PredictorState {
  return changetype<PredictorState>(PREDICTOR_AT + <usize>row * ROW_STATE_BYTES);
}

export function motionBand(row: i32): BandState {
  return changetype<BandState>(MOTION_BAND_AT + <usize>row * ROW_STATE_BYTES);
}

export function pressureBand(row: i32): BandState {
  return changetype<BandState>(PRESSURE_BAND_AT + <usize>row * ROW_STATE_BYTES);
}

export function inertiaBand(row: i32): BandState {
  return changetype<BandState>(INERTIA_BAND_AT + <usize>row * ROW_STATE_BYTES);
}

export function loadBand(row: i32): BandState {
  return changetype<BandState>(LOAD_BAND_AT + <usize>row * ROW_STATE_BYTES);
}

export function motion(row: i32): MotionState {
  return changetype<MotionState>(MOTION_AT + <usize>row * ROW_STATE_BYTES);
}

export function preview(row: i32): PreviewState {
  return changetype<PreviewState>(PREVIEW_AT + <usize>row * ROW_STATE_BYTES);
}

export function detector(row: i32): DetectorState {
  return changetype<DetectorState>(DETECTOR_AT + <usize>row * ROW_STATE_BYTES);
}

export function pairState(row: i32): PairState {
  return changetype<PairState>(PAIR_STATE_AT + <usize>row * ROW_STATE_BYTES);
}

/** `which`: of those of the row, from 0. */
export function valveState(row: i32, which: i32): ValveState {
  return changetype<ValveState>(VALVE_STATE_AT + <usize>row * ROW_STATE_BYTES + <usize>which * VALVE_STATE_BYTES);
}

export function rowFaults(row: i32): FaultState {
  return changetype<FaultState>(ROW_FAULTS_AT + <usize>row * ROW_STATE_BYTES);
}

/** `which`: of those of the row, from 0. */
export function rowFaultTimer(row: i32, which: i32): FaultTimer {
  return changetype<FaultTimer>(ROW_FAULT_TIMER_AT + <usize>row * ROW_STATE_BYTES + <usize>which * FAULT_TIMER_BYTES);
}
