/* Written from shared/ by `npm run contract`. Do not edit. */

#ifndef LATCHBENCH_H
#define LATCHBENCH_H
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
#define LB_STATIC_ASSERT static_assert
#else
#define LB_STATIC_ASSERT _Static_assert
#endif

#define LB_CONTRACT_HASH "80e119b683f80a65"
#define LB_ROWS_MAX 48
#define LB_MEMORY_BYTES 65536
#define LB_RECORDS_END 48192

/* Every parameter, in the order of its number. */
typedef struct {
  uint32_t tickHz; /* Controller ticks per second; times are rounded to ticks; strokes, pulses and rest times are rounded up [hertz] */
  uint32_t strategy; /* How pulses are derived from the load error. threshold: a valve stays open until the load is inside the deadband; cascade: a load loop sets the target of a pressure loop, for rows without an accumulator; predictive: pulses correct the predicted load [none] */
  float targetMaxN; /* Largest valid target load [newton] */
  float liftS; /* Time for the frame to lift or to lower; the motion of the rows relative to the frame is unknown until it has come down [second] */
  float liftDebounceMs; /* Time for which the lift switch must be steady before a change counts, in both directions [millisecond] */
  uint32_t adcFullScaleCounts; /* ADC counts at the full sensor supply (the ADC is referenced to that supply) [count] */
  float loadAtTenPercentN; /* Load at 10 % of the sensor supply [newton] */
  float loadAtNinetyPercentN; /* Load at 90 % of the sensor supply [newton] */
  float pressureAtTenPercentKpa; /* Chamber pressure at 10 % of the sensor supply [kilopascal] */
  float pressureAtNinetyPercentKpa; /* Chamber pressure at 90 % of the sensor supply [kilopascal] */
  uint32_t accelerationFitted; /* Row accelerometer fitted [none] */
  uint32_t railFitted; /* Rail pressure sensor fitted; off: railNominalKpa is used and the input ignored [none] */
  uint32_t temperatureFitted; /* Oil temperature available; off: warm-oil flow is assumed and the input ignored [none] */
  uint32_t speedFitted; /* Ground speed available; off: the lug notch is off and the input ignored [none] */
  uint32_t reservoirVoltageFitted; /* Reservoir voltage measured; off: the input is ignored, and no stroke relies on the reservoir [none] */
  float accelerationAtTenPercentMps2; /* Row acceleration at 10 % of the sensor supply, up positive [metrePerSecondSquared] */
  float accelerationAtNinetyPercentMps2; /* Row acceleration at 90 % of the sensor supply [metrePerSecondSquared] */
  float railAtTenPercentKpa; /* Rail pressure at 10 % of the sensor supply [kilopascal] */
  float railAtNinetyPercentKpa; /* Rail pressure at 90 % of the sensor supply [kilopascal] */
  float shortRatio; /* Fraction of the sensor supply below which the signal is a short to ground [ratio] */
  float openRatio; /* Fraction of the sensor supply above which the signal is an open circuit (input pulled up) [ratio] */
  float rangeMarginRatio; /* Margin outside 10 to 90 % of the sensor supply, beyond which a signal is out of range [ratio] */
  float frozenMs; /* Time without a change of the ADC counts after which a sensor is frozen, if a related signal has moved meanwhile; 0 turns the check off [millisecond] */
  float loadRateNPerMs; /* Fastest load change that the damped sensor can follow [newtonPerMillisecond] */
  float pressureRateKpaPerMs; /* Fastest plausible change of chamber pressure [kilopascalPerMillisecond] */
  float accelerationRateMps2PerMs; /* Fastest plausible change of acceleration [metrePerSecondSquaredPerMillisecond] */
  float railRateKpaPerMs; /* Fastest plausible change of rail pressure [kilopascalPerMillisecond] */
  float rateHoldMs; /* Time for which a channel is treated as invalid after an implausible jump [millisecond] */
  float liftSettleMs; /* Time after the frame has lifted before a re-zero of the load sensor starts [millisecond] */
  float zeroWindowMs; /* Length of the window whose mean becomes the new zero [millisecond] */
  float zeroSpreadN; /* Largest spread (highest minus lowest load) of an accepted window [newton] */
  float zeroStepN; /* Largest accepted difference between a new zero and the last one [newton] */
  float zeroLimitN; /* Largest plausible zero [newton] */
  float loadFilterHz; /* Corner frequency of the second-order low-pass on the load [hertz] */
  float pressureFilterHz; /* Corner frequency of the second-order low-pass on the chamber pressure [hertz] */
  uint32_t lugNotch; /* Notch filter on the load at the frequency of the tyre lugs, which follows ground speed [none] */
  float lugPitchM; /* Distance between tyre lugs; the notch frequency is ground speed divided by this distance [metre] */
  float lugNotchQ; /* Quality factor of the notch [ratio] */
  float loadProportionalKpaPerN; /* Set point change per load error [kilopascalPerNewton] */
  float loadIntegralKpaPerNS; /* Set point rate per load error [kilopascalPerNewtonSecond] */
  float integralDeadbandN; /* Load errors up to this are not integrated, so that a row at rest does not hunt around its deadband [newton] */
  float setPointRateKpaPerS; /* Fastest set point change [kilopascalPerSecond] */
  float setPointMaxKpa; /* Highest pressure set point [kilopascal] */
  float movingMassKg; /* Mass of the row unit with half its seed, from which its inertia force is computed; used if an accelerometer is fitted [kilogram] */
  float loadLagHz; /* Corner frequency of the load sensor's lag [hertz] */
  float loadTrend1Weight; /* Predictor weight: load minus the pressure contribution, 0.2 to 0.6 Hz [ratio] */
  float loadTrend2Weight; /* Predictor weight: load minus the pressure contribution, 0.6 to 2 Hz [ratio] */
  float loadTrend3Weight; /* Predictor weight: load minus the pressure contribution, 2 to 6 Hz [ratio] */
  float loadTrend4Weight; /* Predictor weight: load minus the pressure contribution, 6 to 12 Hz [ratio] */
  float pressureTrend1Weight; /* Predictor weight: pressure change not explained by metered oil, expressed as load, 0.2 to 0.6 Hz [ratio] */
  float pressureTrend2Weight; /* Predictor weight: pressure change not explained by metered oil, expressed as load, 0.6 to 2 Hz [ratio] */
  float pressureTrend3Weight; /* Predictor weight: pressure change not explained by metered oil, expressed as load, 2 to 6 Hz [ratio] */
  float pressureTrend4Weight; /* Predictor weight: pressure change not explained by metered oil, expressed as load, 6 to 12 Hz [ratio] */
  float inertia1Weight; /* Predictor weight: inertia force, up to 0.2 Hz [ratio] */
  float inertia2Weight; /* Predictor weight: inertia force, up to 0.6 Hz [ratio] */
  float inertia3Weight; /* Predictor weight: inertia force, up to 2 Hz [ratio] */
  float inertia4Weight; /* Predictor weight: inertia force, up to 6 Hz [ratio] */
  float inertia5Weight; /* Predictor weight: inertia force, up to 12 Hz [ratio] */
  float noAccelLoadTrend1Weight; /* Predictor weight: without an accelerometer, load minus the pressure contribution, 0.2 to 0.6 Hz [ratio] */
  float noAccelLoadTrend2Weight; /* Predictor weight: without an accelerometer, load minus the pressure contribution, 0.6 to 2 Hz [ratio] */
  float noAccelLoadTrend3Weight; /* Predictor weight: without an accelerometer, load minus the pressure contribution, 2 to 6 Hz [ratio] */
  float noAccelLoadTrend4Weight; /* Predictor weight: without an accelerometer, load minus the pressure contribution, 6 to 12 Hz [ratio] */
  float noAccelPressureTrend1Weight; /* Predictor weight: without an accelerometer, pressure change not explained by metered oil, expressed as load, 0.2 to 0.6 Hz [ratio] */
  float noAccelPressureTrend2Weight; /* Predictor weight: without an accelerometer, pressure change not explained by metered oil, expressed as load, 0.6 to 2 Hz [ratio] */
  float noAccelPressureTrend3Weight; /* Predictor weight: without an accelerometer, pressure change not explained by metered oil, expressed as load, 2 to 6 Hz [ratio] */
  float noAccelPressureTrend4Weight; /* Predictor weight: without an accelerometer, pressure change not explained by metered oil, expressed as load, 6 to 12 Hz [ratio] */
  uint32_t soilAheadFitted; /* A map or a leading sensor tells each row what soil comes; off: the input is ignored [none] */
  float soilAheadMaxN; /* Largest valid change of the opener force in soilAheadN, as a magnitude [newton] */
  float soilAheadWeight; /* Part of the expected change that joins the prediction with full trust [ratio] */
  uint32_t deadbandMode; /* Fixed deadband, or a multiple of the error's noise [none] */
  float deadbandN; /* Half width of the fixed deadband, expressed as load [newton] */
  float deadbandSigmas; /* Deadband as a multiple of the error's standard deviation, in mode noise [ratio] */
  float deadbandMinN; /* Smallest deadband in mode noise [newton] */
  float deadbandMaxN; /* Largest deadband in mode noise [newton] */
  float pulsesPerMinBudget; /* Pulses per minute and row, as a mean over the rows of the bank, above which all deadbands widen alike until the budget is kept [perMinute] */
  float hysteresisRatio; /* Fraction of the deadband by which the error must be inside it before the correction ends [ratio] */
  float pulseEndRatio; /* Strategy predictive: fraction of the deadband that a pulse leaves uncorrected, which saves oil [ratio] */
  float noiseTimeS; /* Time constant of the noise estimate [second] */
  float capAreaCm2; /* Piston area of the actuator [squareCentimetre] */
  float linkageRatio; /* Down force at the row per actuator force [ratio] */
  float accumulatorMl; /* Gas volume of the accumulator at precharge [millilitre] */
  float prechargeAbsoluteKpa; /* Precharge pressure, absolute [kilopascal] */
  float gasExponent; /* Polytropic exponent of the gas during a pulse [ratio] */
  float gasThermalS; /* Time constant of heat exchange between gas and wall [second] */
  float chamberOilMl; /* Oil volume in chamber and lines [millilitre] */
  float bulkModulusMpa; /* Bulk modulus of the oil, including entrained air [megapascal] */
  float valveFlowLpm; /* Flow of one open valve at valveFlowDropKpa, warm oil [litrePerMinute] */
  float valveFlowDropKpa; /* Pressure drop at which valveFlowLpm is specified [kilopascal] */
  float railNominalKpa; /* Rail pressure assumed while its sensor has a fault [kilopascal] */
  float railLowKpa; /* Rail pressure below which railLow is reported [kilopascal] */
  float returnKpa; /* Pressure in the return line [kilopascal] */
  float coldFlowRatio; /* Valve flow at -15 °C as a fraction of the flow at +40 °C; linear in between [ratio] */
  float strokeMs; /* Time for which a coil is driven for one stroke [millisecond] */
  float deadMs; /* Time after one valve of a pair has closed before the other may open [millisecond] */
  float minPulseMs; /* Shortest time from opening to closing stroke; not below strokeMs [millisecond] */
  float maxPulseMs; /* Longest time for which a valve stays open: a small valve needs about a second for a large change of the soil [millisecond] */
  float restMs; /* Time after a pulse before the pair may open again [millisecond] */
  float settleMs; /* Time after a pulse before its pressure step is read [millisecond] */
  uint32_t gainLearning; /* Learn each valve's flow from the pressure steps of its pulses [none] */
  float gainForgetting; /* Forgetting factor of the learned gain, per pulse [ratio] */
  float gainMin; /* Smallest learned gain [ratio] */
  float gainMax; /* Largest learned gain [ratio] */
  float learnMinKpa; /* Smallest expected pressure step from which a gain is learned [kilopascal] */
  uint32_t missedStrokeDetection; /* Detect missed strokes from the pressure and repeat them [none] */
  float missedKpa; /* With an accelerometer: unexplained pressure change, beyond the tolerated drift, that indicates a missed stroke [kilopascal] */
  float proofMl; /* With an accelerometer: oil that a valve should have passed, or not, from which on the pressure proves that it is stuck; more than the motion of row and frame can displace [millilitre] */
  float missedNoAccelKpa; /* Without an accelerometer, when row motion is unknown: expected pressure change that did not come, above which an opening stroke may be missed (for closing strokes: suspectKpa) [kilopascal] */
  float suspectKpa; /* Without an accelerometer: unexplained pressure change above which a closing stroke is repeated as a precaution [kilopascal] */
  float missedWindowMs; /* Time after its closing stroke during which a valve is checked for a missed close [millisecond] */
  uint32_t strokeTries; /* Consecutive missed strokes after which a valve is stuck and its row holds [none] */
  float retryS; /* Interval of the closing strokes of a stuck valve [second] */
  float leakMlPerMin; /* Flow through closed valves above which a leak is reported; 10 % of the metered flow is added to it (metering accuracy) [millilitrePerMinute] */
  float freeLoadMaxN; /* Largest plausible load without pressure: from the weight of the row alone, on soft soil; above it the load sensor reads too high [newton] */
  float belowZeroN; /* Load reading below zero, as a magnitude, beyond which the load sensor reads too low: a negative load is not physical [newton] */
  uint32_t strokesAtOnce; /* Maximum number of coils of a bank that are driven at the same time [none] */
  uint32_t slotCount; /* Number of banks that share one harness and take turns, each in its time slot; 1: not shared [none] */
  uint32_t slotPhase; /* This bank's time slot, from 0 to slotCount - 1; slots are counted from configure(), so the banks must start together [none] */
  float relatchS; /* Time after which a closed valve gets another closing stroke (relatch); longer if relatching would otherwise use more than a quarter of the stroke queue [second] */
  float strokeMj; /* Energy of one stroke [millijoule] */
  float reservoirUf; /* Reservoir capacitor that feeds the coils; 0: the supply feeds them directly, and valves stay where they are when it is lost [microfarad] */
  float reservoirLoadW; /* Power that the reservoir supplies besides the coils; drawn while closing strokes wait for their turn [watt] */
  float strokeMinMv; /* Lowest reservoir voltage at which a stroke is reliable [millivolt] */
  float supplyLowMv; /* Supply voltage below which no valve is opened and open valves are closed [millivolt] */
  float supplyCriticalMv; /* Supply voltage below which power is lost: only a reservoir pays for strokes then, and they close valves [millivolt] */
  uint32_t shutDownVent; /* Chamber pressure on shut-down: off holds it, on vents it before the valves are closed; the same when power is lost and a reservoir pays for the strokes [none] */
  float ventToKpa; /* Chamber pressure at which venting ends [kilopascal] */
  float ventMs; /* Longest venting time [millisecond] */
} LbParameters;
LB_STATIC_ASSERT(sizeof(LbParameters) == 508, "Parameters");
LB_STATIC_ASSERT(offsetof(LbParameters, tickHz) == 0, "Parameters.tickHz");
LB_STATIC_ASSERT(offsetof(LbParameters, strategy) == 4, "Parameters.strategy");
LB_STATIC_ASSERT(offsetof(LbParameters, targetMaxN) == 8, "Parameters.targetMaxN");
LB_STATIC_ASSERT(offsetof(LbParameters, liftS) == 12, "Parameters.liftS");
LB_STATIC_ASSERT(offsetof(LbParameters, liftDebounceMs) == 16, "Parameters.liftDebounceMs");
LB_STATIC_ASSERT(offsetof(LbParameters, adcFullScaleCounts) == 20, "Parameters.adcFullScaleCounts");
LB_STATIC_ASSERT(offsetof(LbParameters, loadAtTenPercentN) == 24, "Parameters.loadAtTenPercentN");
LB_STATIC_ASSERT(offsetof(LbParameters, loadAtNinetyPercentN) == 28, "Parameters.loadAtNinetyPercentN");
LB_STATIC_ASSERT(offsetof(LbParameters, pressureAtTenPercentKpa) == 32, "Parameters.pressureAtTenPercentKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, pressureAtNinetyPercentKpa) == 36, "Parameters.pressureAtNinetyPercentKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, accelerationFitted) == 40, "Parameters.accelerationFitted");
LB_STATIC_ASSERT(offsetof(LbParameters, railFitted) == 44, "Parameters.railFitted");
LB_STATIC_ASSERT(offsetof(LbParameters, temperatureFitted) == 48, "Parameters.temperatureFitted");
LB_STATIC_ASSERT(offsetof(LbParameters, speedFitted) == 52, "Parameters.speedFitted");
LB_STATIC_ASSERT(offsetof(LbParameters, reservoirVoltageFitted) == 56, "Parameters.reservoirVoltageFitted");
LB_STATIC_ASSERT(offsetof(LbParameters, accelerationAtTenPercentMps2) == 60, "Parameters.accelerationAtTenPercentMps2");
LB_STATIC_ASSERT(offsetof(LbParameters, accelerationAtNinetyPercentMps2) == 64, "Parameters.accelerationAtNinetyPercentMps2");
LB_STATIC_ASSERT(offsetof(LbParameters, railAtTenPercentKpa) == 68, "Parameters.railAtTenPercentKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, railAtNinetyPercentKpa) == 72, "Parameters.railAtNinetyPercentKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, shortRatio) == 76, "Parameters.shortRatio");
LB_STATIC_ASSERT(offsetof(LbParameters, openRatio) == 80, "Parameters.openRatio");
LB_STATIC_ASSERT(offsetof(LbParameters, rangeMarginRatio) == 84, "Parameters.rangeMarginRatio");
LB_STATIC_ASSERT(offsetof(LbParameters, frozenMs) == 88, "Parameters.frozenMs");
LB_STATIC_ASSERT(offsetof(LbParameters, loadRateNPerMs) == 92, "Parameters.loadRateNPerMs");
LB_STATIC_ASSERT(offsetof(LbParameters, pressureRateKpaPerMs) == 96, "Parameters.pressureRateKpaPerMs");
LB_STATIC_ASSERT(offsetof(LbParameters, accelerationRateMps2PerMs) == 100, "Parameters.accelerationRateMps2PerMs");
LB_STATIC_ASSERT(offsetof(LbParameters, railRateKpaPerMs) == 104, "Parameters.railRateKpaPerMs");
LB_STATIC_ASSERT(offsetof(LbParameters, rateHoldMs) == 108, "Parameters.rateHoldMs");
LB_STATIC_ASSERT(offsetof(LbParameters, liftSettleMs) == 112, "Parameters.liftSettleMs");
LB_STATIC_ASSERT(offsetof(LbParameters, zeroWindowMs) == 116, "Parameters.zeroWindowMs");
LB_STATIC_ASSERT(offsetof(LbParameters, zeroSpreadN) == 120, "Parameters.zeroSpreadN");
LB_STATIC_ASSERT(offsetof(LbParameters, zeroStepN) == 124, "Parameters.zeroStepN");
LB_STATIC_ASSERT(offsetof(LbParameters, zeroLimitN) == 128, "Parameters.zeroLimitN");
LB_STATIC_ASSERT(offsetof(LbParameters, loadFilterHz) == 132, "Parameters.loadFilterHz");
LB_STATIC_ASSERT(offsetof(LbParameters, pressureFilterHz) == 136, "Parameters.pressureFilterHz");
LB_STATIC_ASSERT(offsetof(LbParameters, lugNotch) == 140, "Parameters.lugNotch");
LB_STATIC_ASSERT(offsetof(LbParameters, lugPitchM) == 144, "Parameters.lugPitchM");
LB_STATIC_ASSERT(offsetof(LbParameters, lugNotchQ) == 148, "Parameters.lugNotchQ");
LB_STATIC_ASSERT(offsetof(LbParameters, loadProportionalKpaPerN) == 152, "Parameters.loadProportionalKpaPerN");
LB_STATIC_ASSERT(offsetof(LbParameters, loadIntegralKpaPerNS) == 156, "Parameters.loadIntegralKpaPerNS");
LB_STATIC_ASSERT(offsetof(LbParameters, integralDeadbandN) == 160, "Parameters.integralDeadbandN");
LB_STATIC_ASSERT(offsetof(LbParameters, setPointRateKpaPerS) == 164, "Parameters.setPointRateKpaPerS");
LB_STATIC_ASSERT(offsetof(LbParameters, setPointMaxKpa) == 168, "Parameters.setPointMaxKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, movingMassKg) == 172, "Parameters.movingMassKg");
LB_STATIC_ASSERT(offsetof(LbParameters, loadLagHz) == 176, "Parameters.loadLagHz");
LB_STATIC_ASSERT(offsetof(LbParameters, loadTrend1Weight) == 180, "Parameters.loadTrend1Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, loadTrend2Weight) == 184, "Parameters.loadTrend2Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, loadTrend3Weight) == 188, "Parameters.loadTrend3Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, loadTrend4Weight) == 192, "Parameters.loadTrend4Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, pressureTrend1Weight) == 196, "Parameters.pressureTrend1Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, pressureTrend2Weight) == 200, "Parameters.pressureTrend2Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, pressureTrend3Weight) == 204, "Parameters.pressureTrend3Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, pressureTrend4Weight) == 208, "Parameters.pressureTrend4Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, inertia1Weight) == 212, "Parameters.inertia1Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, inertia2Weight) == 216, "Parameters.inertia2Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, inertia3Weight) == 220, "Parameters.inertia3Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, inertia4Weight) == 224, "Parameters.inertia4Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, inertia5Weight) == 228, "Parameters.inertia5Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, noAccelLoadTrend1Weight) == 232, "Parameters.noAccelLoadTrend1Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, noAccelLoadTrend2Weight) == 236, "Parameters.noAccelLoadTrend2Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, noAccelLoadTrend3Weight) == 240, "Parameters.noAccelLoadTrend3Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, noAccelLoadTrend4Weight) == 244, "Parameters.noAccelLoadTrend4Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, noAccelPressureTrend1Weight) == 248, "Parameters.noAccelPressureTrend1Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, noAccelPressureTrend2Weight) == 252, "Parameters.noAccelPressureTrend2Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, noAccelPressureTrend3Weight) == 256, "Parameters.noAccelPressureTrend3Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, noAccelPressureTrend4Weight) == 260, "Parameters.noAccelPressureTrend4Weight");
LB_STATIC_ASSERT(offsetof(LbParameters, soilAheadFitted) == 264, "Parameters.soilAheadFitted");
LB_STATIC_ASSERT(offsetof(LbParameters, soilAheadMaxN) == 268, "Parameters.soilAheadMaxN");
LB_STATIC_ASSERT(offsetof(LbParameters, soilAheadWeight) == 272, "Parameters.soilAheadWeight");
LB_STATIC_ASSERT(offsetof(LbParameters, deadbandMode) == 276, "Parameters.deadbandMode");
LB_STATIC_ASSERT(offsetof(LbParameters, deadbandN) == 280, "Parameters.deadbandN");
LB_STATIC_ASSERT(offsetof(LbParameters, deadbandSigmas) == 284, "Parameters.deadbandSigmas");
LB_STATIC_ASSERT(offsetof(LbParameters, deadbandMinN) == 288, "Parameters.deadbandMinN");
LB_STATIC_ASSERT(offsetof(LbParameters, deadbandMaxN) == 292, "Parameters.deadbandMaxN");
LB_STATIC_ASSERT(offsetof(LbParameters, pulsesPerMinBudget) == 296, "Parameters.pulsesPerMinBudget");
LB_STATIC_ASSERT(offsetof(LbParameters, hysteresisRatio) == 300, "Parameters.hysteresisRatio");
LB_STATIC_ASSERT(offsetof(LbParameters, pulseEndRatio) == 304, "Parameters.pulseEndRatio");
LB_STATIC_ASSERT(offsetof(LbParameters, noiseTimeS) == 308, "Parameters.noiseTimeS");
LB_STATIC_ASSERT(offsetof(LbParameters, capAreaCm2) == 312, "Parameters.capAreaCm2");
LB_STATIC_ASSERT(offsetof(LbParameters, linkageRatio) == 316, "Parameters.linkageRatio");
LB_STATIC_ASSERT(offsetof(LbParameters, accumulatorMl) == 320, "Parameters.accumulatorMl");
LB_STATIC_ASSERT(offsetof(LbParameters, prechargeAbsoluteKpa) == 324, "Parameters.prechargeAbsoluteKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, gasExponent) == 328, "Parameters.gasExponent");
LB_STATIC_ASSERT(offsetof(LbParameters, gasThermalS) == 332, "Parameters.gasThermalS");
LB_STATIC_ASSERT(offsetof(LbParameters, chamberOilMl) == 336, "Parameters.chamberOilMl");
LB_STATIC_ASSERT(offsetof(LbParameters, bulkModulusMpa) == 340, "Parameters.bulkModulusMpa");
LB_STATIC_ASSERT(offsetof(LbParameters, valveFlowLpm) == 344, "Parameters.valveFlowLpm");
LB_STATIC_ASSERT(offsetof(LbParameters, valveFlowDropKpa) == 348, "Parameters.valveFlowDropKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, railNominalKpa) == 352, "Parameters.railNominalKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, railLowKpa) == 356, "Parameters.railLowKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, returnKpa) == 360, "Parameters.returnKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, coldFlowRatio) == 364, "Parameters.coldFlowRatio");
LB_STATIC_ASSERT(offsetof(LbParameters, strokeMs) == 368, "Parameters.strokeMs");
LB_STATIC_ASSERT(offsetof(LbParameters, deadMs) == 372, "Parameters.deadMs");
LB_STATIC_ASSERT(offsetof(LbParameters, minPulseMs) == 376, "Parameters.minPulseMs");
LB_STATIC_ASSERT(offsetof(LbParameters, maxPulseMs) == 380, "Parameters.maxPulseMs");
LB_STATIC_ASSERT(offsetof(LbParameters, restMs) == 384, "Parameters.restMs");
LB_STATIC_ASSERT(offsetof(LbParameters, settleMs) == 388, "Parameters.settleMs");
LB_STATIC_ASSERT(offsetof(LbParameters, gainLearning) == 392, "Parameters.gainLearning");
LB_STATIC_ASSERT(offsetof(LbParameters, gainForgetting) == 396, "Parameters.gainForgetting");
LB_STATIC_ASSERT(offsetof(LbParameters, gainMin) == 400, "Parameters.gainMin");
LB_STATIC_ASSERT(offsetof(LbParameters, gainMax) == 404, "Parameters.gainMax");
LB_STATIC_ASSERT(offsetof(LbParameters, learnMinKpa) == 408, "Parameters.learnMinKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, missedStrokeDetection) == 412, "Parameters.missedStrokeDetection");
LB_STATIC_ASSERT(offsetof(LbParameters, missedKpa) == 416, "Parameters.missedKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, proofMl) == 420, "Parameters.proofMl");
LB_STATIC_ASSERT(offsetof(LbParameters, missedNoAccelKpa) == 424, "Parameters.missedNoAccelKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, suspectKpa) == 428, "Parameters.suspectKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, missedWindowMs) == 432, "Parameters.missedWindowMs");
LB_STATIC_ASSERT(offsetof(LbParameters, strokeTries) == 436, "Parameters.strokeTries");
LB_STATIC_ASSERT(offsetof(LbParameters, retryS) == 440, "Parameters.retryS");
LB_STATIC_ASSERT(offsetof(LbParameters, leakMlPerMin) == 444, "Parameters.leakMlPerMin");
LB_STATIC_ASSERT(offsetof(LbParameters, freeLoadMaxN) == 448, "Parameters.freeLoadMaxN");
LB_STATIC_ASSERT(offsetof(LbParameters, belowZeroN) == 452, "Parameters.belowZeroN");
LB_STATIC_ASSERT(offsetof(LbParameters, strokesAtOnce) == 456, "Parameters.strokesAtOnce");
LB_STATIC_ASSERT(offsetof(LbParameters, slotCount) == 460, "Parameters.slotCount");
LB_STATIC_ASSERT(offsetof(LbParameters, slotPhase) == 464, "Parameters.slotPhase");
LB_STATIC_ASSERT(offsetof(LbParameters, relatchS) == 468, "Parameters.relatchS");
LB_STATIC_ASSERT(offsetof(LbParameters, strokeMj) == 472, "Parameters.strokeMj");
LB_STATIC_ASSERT(offsetof(LbParameters, reservoirUf) == 476, "Parameters.reservoirUf");
LB_STATIC_ASSERT(offsetof(LbParameters, reservoirLoadW) == 480, "Parameters.reservoirLoadW");
LB_STATIC_ASSERT(offsetof(LbParameters, strokeMinMv) == 484, "Parameters.strokeMinMv");
LB_STATIC_ASSERT(offsetof(LbParameters, supplyLowMv) == 488, "Parameters.supplyLowMv");
LB_STATIC_ASSERT(offsetof(LbParameters, supplyCriticalMv) == 492, "Parameters.supplyCriticalMv");
LB_STATIC_ASSERT(offsetof(LbParameters, shutDownVent) == 496, "Parameters.shutDownVent");
LB_STATIC_ASSERT(offsetof(LbParameters, ventToKpa) == 500, "Parameters.ventToKpa");
LB_STATIC_ASSERT(offsetof(LbParameters, ventMs) == 504, "Parameters.ventMs");

/* Limits and conversion of one kind of analog input. */
typedef struct {
  float unitPerCount; /* Slope of the conversion [none] */
  float unitAtZero; /* Value at 0 counts [none] */
  uint32_t shortCounts; /* Counts below this are a short circuit [count] */
  uint32_t openCounts; /* Counts above this are an open circuit [count] */
  uint32_t lowCounts; /* Counts below this are out of range [count] */
  uint32_t highCounts; /* Counts above this are out of range [count] */
  uint32_t flipCounts; /* A larger change that reverses in the next tick does not come from the sensor [count] */
  uint32_t rateCounts; /* Largest plausible change per tick [count] */
  uint32_t steadyCounts; /* Change up to which neither of the two needs to be checked [count] */
  float related1; /* Change of the first related signal that a working sensor shows [none] */
  float related2; /* Change of the second related signal that a working sensor shows [none] */
} LbChannelSetting;
LB_STATIC_ASSERT(sizeof(LbChannelSetting) == 44, "ChannelSetting");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, unitPerCount) == 0, "ChannelSetting.unitPerCount");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, unitAtZero) == 4, "ChannelSetting.unitAtZero");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, shortCounts) == 8, "ChannelSetting.shortCounts");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, openCounts) == 12, "ChannelSetting.openCounts");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, lowCounts) == 16, "ChannelSetting.lowCounts");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, highCounts) == 20, "ChannelSetting.highCounts");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, flipCounts) == 24, "ChannelSetting.flipCounts");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, rateCounts) == 28, "ChannelSetting.rateCounts");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, steadyCounts) == 32, "ChannelSetting.steadyCounts");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, related1) == 36, "ChannelSetting.related1");
LB_STATIC_ASSERT(offsetof(LbChannelSetting, related2) == 40, "ChannelSetting.related2");

/* Values that configure() computes once from the parameters. */
typedef struct {
  float tickMs; /* Length of a tick [millisecond] */
  float tickS; /* Length of a tick [second] */
  float loadA1; /* Load low-pass [ratio] */
  float loadA2; /* Load low-pass [ratio] */
  float loadA3; /* Load low-pass [ratio] */
  float pressureA1; /* Pressure low-pass [ratio] */
  float pressureA2; /* Pressure low-pass [ratio] */
  float pressureA3; /* Pressure low-pass [ratio] */
  float notchK; /* Damping of the notch, 1/Q [ratio] */
  float areaNPerKpa; /* Down force per chamber pressure [newtonPerKilopascal] */
  float integralKpaPerNTick; /* Set point change per load error and tick [kilopascalPerNewton] */
  float setPointStepKpa; /* Largest set point change per tick [kilopascal] */
  float floorKpa; /* Pressure floor: no pulse lowers the pressure below precharge + 1 bar [kilopascal] */
  float oilMlPerKpa; /* Compliance of the oil alone [millilitrePerKilopascal] */
  float gasMlKpa; /* Gas compliance times absolute pressure squared, mL·kPa [none] */
  float flowMlPerMsRootKpa; /* Valve flow per square root of pressure drop, mL/(ms·√kPa) [none] */
  float slowWeight; /* Weight of a new error in its slow mean [ratio] */
  float noiseWeight; /* Weight of a new square in the variance [ratio] */
  float sensorWeight; /* Weight of a new value in the low-pass that models the load sensor's lag [ratio] */
  float band1Weight; /* Weight of a new value in the predictor's low-pass 1 [ratio] */
  float band2Weight; /* Weight of a new value in the predictor's low-pass 2 [ratio] */
  float band3Weight; /* Weight of a new value in the predictor's low-pass 3 [ratio] */
  float band4Weight; /* Weight of a new value in the predictor's low-pass 4 [ratio] */
  float band5Weight; /* Weight of a new value in the predictor's low-pass 5 [ratio] */
  float detectorWeight; /* Weight of a new value in the detector's low-pass [ratio] */
  float velocityDecay; /* Fraction of the detector's velocity that decays each tick [ratio] */
  float strokeVolumeMlPerMps; /* Oil displaced by row motion per tick, mL per m/s [none] */
  float mlPerTickToMin; /* Conversion from mL per tick to mL/min [none] */
  float gasWeight; /* Fraction of the excess temperature of the gas that is lost each tick [ratio] */
  float gasShare; /* Fraction of a fast pressure change that disappears as the gas cools [ratio] */
  float leakWeight; /* Weight of a new flow in the leak's slow mean [ratio] */
  float slowAccelerationWeight; /* Weight of a new acceleration in its slow part [ratio] */
  float bandFromWeight; /* Weight in the slow means of the comparison band [ratio] */
  float bandToWeight; /* Weight in the low-pass of the comparison band [ratio] */
  float compareWeight; /* Weight of new products in the comparison [ratio] */
  float frameWeight; /* Weight of a new drift in its slow mean [ratio] */
  float frameForget; /* Fraction of the held mean that fades each tick [ratio] */
  float frameRate; /* Rate at which the shares of the neighbours are learned [ratio] */
  float frameMinMl2; /* Square of the drift per tick below which nothing is learned, mL² [none] */
  float noiseForget; /* Fraction of noiseKpa that is forgotten each tick [ratio] */
  float energyMjPerV2; /* Half the reservoir's capacitance, mJ/V² [none] */
  float energyFloorMj; /* Energy in the reservoir at strokeMinMv [millijoule] */
  float closeMj; /* Energy for a closing stroke that has to wait for its turn in the queue [millijoule] */
  float waitMj; /* Energy that the reservoir supplies besides the coils until the next time slot [millijoule] */
  uint32_t strokeTicks; /* strokeMs [tick] */
  uint32_t deadTicks; /* deadMs [tick] */
  uint32_t minPulseTicks; /* minPulseMs, rounded up to a multiple of pulseStepTicks [tick] */
  uint32_t maxPulseTicks; /* maxPulseMs, rounded down to a multiple of pulseStepTicks, but not below minPulseTicks [tick] */
  uint32_t pulseStepTicks; /* Pulse lengths are multiples of this: the cycle of a shared harness, otherwise 1 [tick] */
  uint32_t restTicks; /* restMs [tick] */
  uint32_t settleTicks; /* settleMs [tick] */
  uint32_t liftDebounceTicks; /* liftDebounceMs [tick] */
  uint32_t liftTicks; /* liftS [tick] */
  uint32_t contactTicks; /* Time after lowering in which the wheels touch the ground in any case [tick] */
  uint32_t touchTicks; /* Time for which a signal must show contact [tick] */
  float offsetWeight; /* Weight of a new value in the low-passes of the search for an offset [ratio] */
  float offsetLead; /* Gain that cancels the load sensor's lag [ratio] */
  uint32_t flatTicks; /* Shortest time at the bottom of a lift-off [tick] */
  uint32_t flatMaxTicks; /* Longest time at the bottom of a lift-off [tick] */
  uint32_t riseTicks; /* Time in which the load rises at the end of a lift-off [tick] */
  uint32_t lowTicks; /* Time for which a reading below zero must last [tick] */
  uint32_t liftSettleTicks; /* liftS and liftSettleMs [tick] */
  uint32_t zeroWindowTicks; /* zeroWindowMs [tick] */
  uint32_t frozenTicks; /* frozenMs; 0 turns the check off [tick] */
  uint32_t rateHoldTicks; /* rateHoldMs [tick] */
  uint32_t relatchTicks; /* relatchS [tick] */
  uint32_t missedWindowTicks; /* missedWindowMs [tick] */
  uint32_t frameSettleTicks; /* Time after lowering until the frame has settled [tick] */
  uint32_t slowTicks; /* Readings that seed the slow part of the acceleration [tick] */
  uint32_t compareTicks; /* Time between two comparisons of accelerometer, pressure and load [tick] */
  float rateWeight; /* Weight of a new pulse rate in its slow mean [ratio] */
  float pulsesToPerMin; /* Pulses between two comparisons to pulses per minute and row [none] */
  float budgetGain; /* Change of the deadbands per relative excess of the pulse rate and comparison [ratio] */
  uint32_t setPointReadings; /* Number of readings in the averaging time of the set point [none] */
  uint32_t compareWaitTicks; /* Time without comparing after a gap [tick] */
  uint32_t previewTicks; /* Time between two comparisons of the soil ahead with what came [tick] */
  uint32_t previewWaitTicks; /* Time without comparing them after a gap [tick] */
  uint32_t frameHoldTicks; /* Time after a stroke for which the slow mean of the drift is held [tick] */
  uint32_t earlyTicks; /* Time after a close in which the drift of a missed one begins [tick] */
  uint32_t judgeFromTicks; /* Time from a repeated close to the start of its judgement [tick] */
  uint32_t judgeToTicks; /* Time from a repeated close to its judgement [tick] */
  uint32_t noVelocityTicks; /* Time for which the velocity is not used after an invalid acceleration [tick] */
  uint32_t retryTicks; /* retryS [tick] */
  uint32_t ventTicks; /* ventMs [tick] */
  uint32_t slotCycleTicks; /* Cycle time of all banks that share the harness [tick] */
  uint32_t slotStartTicks; /* Start of this bank's time slot in that cycle [tick] */
} LbCoefficients;
LB_STATIC_ASSERT(sizeof(LbCoefficients) == 344, "Coefficients");
LB_STATIC_ASSERT(offsetof(LbCoefficients, tickMs) == 0, "Coefficients.tickMs");
LB_STATIC_ASSERT(offsetof(LbCoefficients, tickS) == 4, "Coefficients.tickS");
LB_STATIC_ASSERT(offsetof(LbCoefficients, loadA1) == 8, "Coefficients.loadA1");
LB_STATIC_ASSERT(offsetof(LbCoefficients, loadA2) == 12, "Coefficients.loadA2");
LB_STATIC_ASSERT(offsetof(LbCoefficients, loadA3) == 16, "Coefficients.loadA3");
LB_STATIC_ASSERT(offsetof(LbCoefficients, pressureA1) == 20, "Coefficients.pressureA1");
LB_STATIC_ASSERT(offsetof(LbCoefficients, pressureA2) == 24, "Coefficients.pressureA2");
LB_STATIC_ASSERT(offsetof(LbCoefficients, pressureA3) == 28, "Coefficients.pressureA3");
LB_STATIC_ASSERT(offsetof(LbCoefficients, notchK) == 32, "Coefficients.notchK");
LB_STATIC_ASSERT(offsetof(LbCoefficients, areaNPerKpa) == 36, "Coefficients.areaNPerKpa");
LB_STATIC_ASSERT(offsetof(LbCoefficients, integralKpaPerNTick) == 40, "Coefficients.integralKpaPerNTick");
LB_STATIC_ASSERT(offsetof(LbCoefficients, setPointStepKpa) == 44, "Coefficients.setPointStepKpa");
LB_STATIC_ASSERT(offsetof(LbCoefficients, floorKpa) == 48, "Coefficients.floorKpa");
LB_STATIC_ASSERT(offsetof(LbCoefficients, oilMlPerKpa) == 52, "Coefficients.oilMlPerKpa");
LB_STATIC_ASSERT(offsetof(LbCoefficients, gasMlKpa) == 56, "Coefficients.gasMlKpa");
LB_STATIC_ASSERT(offsetof(LbCoefficients, flowMlPerMsRootKpa) == 60, "Coefficients.flowMlPerMsRootKpa");
LB_STATIC_ASSERT(offsetof(LbCoefficients, slowWeight) == 64, "Coefficients.slowWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, noiseWeight) == 68, "Coefficients.noiseWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, sensorWeight) == 72, "Coefficients.sensorWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, band1Weight) == 76, "Coefficients.band1Weight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, band2Weight) == 80, "Coefficients.band2Weight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, band3Weight) == 84, "Coefficients.band3Weight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, band4Weight) == 88, "Coefficients.band4Weight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, band5Weight) == 92, "Coefficients.band5Weight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, detectorWeight) == 96, "Coefficients.detectorWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, velocityDecay) == 100, "Coefficients.velocityDecay");
LB_STATIC_ASSERT(offsetof(LbCoefficients, strokeVolumeMlPerMps) == 104, "Coefficients.strokeVolumeMlPerMps");
LB_STATIC_ASSERT(offsetof(LbCoefficients, mlPerTickToMin) == 108, "Coefficients.mlPerTickToMin");
LB_STATIC_ASSERT(offsetof(LbCoefficients, gasWeight) == 112, "Coefficients.gasWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, gasShare) == 116, "Coefficients.gasShare");
LB_STATIC_ASSERT(offsetof(LbCoefficients, leakWeight) == 120, "Coefficients.leakWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, slowAccelerationWeight) == 124, "Coefficients.slowAccelerationWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, bandFromWeight) == 128, "Coefficients.bandFromWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, bandToWeight) == 132, "Coefficients.bandToWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, compareWeight) == 136, "Coefficients.compareWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, frameWeight) == 140, "Coefficients.frameWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, frameForget) == 144, "Coefficients.frameForget");
LB_STATIC_ASSERT(offsetof(LbCoefficients, frameRate) == 148, "Coefficients.frameRate");
LB_STATIC_ASSERT(offsetof(LbCoefficients, frameMinMl2) == 152, "Coefficients.frameMinMl2");
LB_STATIC_ASSERT(offsetof(LbCoefficients, noiseForget) == 156, "Coefficients.noiseForget");
LB_STATIC_ASSERT(offsetof(LbCoefficients, energyMjPerV2) == 160, "Coefficients.energyMjPerV2");
LB_STATIC_ASSERT(offsetof(LbCoefficients, energyFloorMj) == 164, "Coefficients.energyFloorMj");
LB_STATIC_ASSERT(offsetof(LbCoefficients, closeMj) == 168, "Coefficients.closeMj");
LB_STATIC_ASSERT(offsetof(LbCoefficients, waitMj) == 172, "Coefficients.waitMj");
LB_STATIC_ASSERT(offsetof(LbCoefficients, strokeTicks) == 176, "Coefficients.strokeTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, deadTicks) == 180, "Coefficients.deadTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, minPulseTicks) == 184, "Coefficients.minPulseTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, maxPulseTicks) == 188, "Coefficients.maxPulseTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, pulseStepTicks) == 192, "Coefficients.pulseStepTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, restTicks) == 196, "Coefficients.restTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, settleTicks) == 200, "Coefficients.settleTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, liftDebounceTicks) == 204, "Coefficients.liftDebounceTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, liftTicks) == 208, "Coefficients.liftTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, contactTicks) == 212, "Coefficients.contactTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, touchTicks) == 216, "Coefficients.touchTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, offsetWeight) == 220, "Coefficients.offsetWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, offsetLead) == 224, "Coefficients.offsetLead");
LB_STATIC_ASSERT(offsetof(LbCoefficients, flatTicks) == 228, "Coefficients.flatTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, flatMaxTicks) == 232, "Coefficients.flatMaxTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, riseTicks) == 236, "Coefficients.riseTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, lowTicks) == 240, "Coefficients.lowTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, liftSettleTicks) == 244, "Coefficients.liftSettleTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, zeroWindowTicks) == 248, "Coefficients.zeroWindowTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, frozenTicks) == 252, "Coefficients.frozenTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, rateHoldTicks) == 256, "Coefficients.rateHoldTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, relatchTicks) == 260, "Coefficients.relatchTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, missedWindowTicks) == 264, "Coefficients.missedWindowTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, frameSettleTicks) == 268, "Coefficients.frameSettleTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, slowTicks) == 272, "Coefficients.slowTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, compareTicks) == 276, "Coefficients.compareTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, rateWeight) == 280, "Coefficients.rateWeight");
LB_STATIC_ASSERT(offsetof(LbCoefficients, pulsesToPerMin) == 284, "Coefficients.pulsesToPerMin");
LB_STATIC_ASSERT(offsetof(LbCoefficients, budgetGain) == 288, "Coefficients.budgetGain");
LB_STATIC_ASSERT(offsetof(LbCoefficients, setPointReadings) == 292, "Coefficients.setPointReadings");
LB_STATIC_ASSERT(offsetof(LbCoefficients, compareWaitTicks) == 296, "Coefficients.compareWaitTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, previewTicks) == 300, "Coefficients.previewTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, previewWaitTicks) == 304, "Coefficients.previewWaitTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, frameHoldTicks) == 308, "Coefficients.frameHoldTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, earlyTicks) == 312, "Coefficients.earlyTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, judgeFromTicks) == 316, "Coefficients.judgeFromTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, judgeToTicks) == 320, "Coefficients.judgeToTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, noVelocityTicks) == 324, "Coefficients.noVelocityTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, retryTicks) == 328, "Coefficients.retryTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, ventTicks) == 332, "Coefficients.ventTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, slotCycleTicks) == 336, "Coefficients.slotCycleTicks");
LB_STATIC_ASSERT(offsetof(LbCoefficients, slotStartTicks) == 340, "Coefficients.slotStartTicks");

/* Times of a fault. */
typedef struct {
  uint16_t debounceTicks; /* Debounce time [tick] */
  uint16_t recoveryTicks; /* Recovery time; 0: latched until restart [tick] */
} LbFaultSetting;
LB_STATIC_ASSERT(sizeof(LbFaultSetting) == 4, "FaultSetting");
LB_STATIC_ASSERT(offsetof(LbFaultSetting, debounceTicks) == 0, "FaultSetting.debounceTicks");
LB_STATIC_ASSERT(offsetof(LbFaultSetting, recoveryTicks) == 2, "FaultSetting.recoveryTicks");

/* Inputs of a bank for one tick, without those of its rows. */
typedef struct {
  float targetLoadN; /* Target load of every row [newton] */
  float oilTemperatureC; /* Oil temperature [degreeCelsius] */
  uint16_t railCounts; /* Rail pressure, ratiometric [count] */
  uint16_t supplyMv; /* Supply voltage at the bank [millivolt] */
  uint16_t reservoirMv; /* Voltage of the reservoir capacitor that feeds the coils [millivolt] */
  uint16_t groundSpeedMmPerS; /* Ground speed as on an ISO 11783 bus: 1 mm/s per bit; values above 64255 are not a speed [millimetrePerSecond] */
  uint8_t lowered; /* Lift switch: 0 lifted, otherwise lowered; debounced for liftDebounceMs [none] */
  uint8_t enabled; /* Operator's switch: 0 off, otherwise on [none] */
  uint8_t shutDown; /* Early warning that power is about to be switched off: 0 no, otherwise yes [none] */
  uint8_t spare; /* Unused, 0 [none] */
} LbBankInput;
LB_STATIC_ASSERT(sizeof(LbBankInput) == 20, "BankInput");
LB_STATIC_ASSERT(offsetof(LbBankInput, targetLoadN) == 0, "BankInput.targetLoadN");
LB_STATIC_ASSERT(offsetof(LbBankInput, oilTemperatureC) == 4, "BankInput.oilTemperatureC");
LB_STATIC_ASSERT(offsetof(LbBankInput, railCounts) == 8, "BankInput.railCounts");
LB_STATIC_ASSERT(offsetof(LbBankInput, supplyMv) == 10, "BankInput.supplyMv");
LB_STATIC_ASSERT(offsetof(LbBankInput, reservoirMv) == 12, "BankInput.reservoirMv");
LB_STATIC_ASSERT(offsetof(LbBankInput, groundSpeedMmPerS) == 14, "BankInput.groundSpeedMmPerS");
LB_STATIC_ASSERT(offsetof(LbBankInput, lowered) == 16, "BankInput.lowered");
LB_STATIC_ASSERT(offsetof(LbBankInput, enabled) == 17, "BankInput.enabled");
LB_STATIC_ASSERT(offsetof(LbBankInput, shutDown) == 18, "BankInput.shutDown");
LB_STATIC_ASSERT(offsetof(LbBankInput, spare) == 19, "BankInput.spare");

/* Inputs of a row for one tick. */
typedef struct {
  float soilAheadN; /* Expected change of the opener's force from now to 0.4 s from now, positive: harder soil comes, and the wheels will carry less; NaN: nothing is known. Ignored unless soilAheadFitted [newton] */
  uint16_t loadCounts; /* Gauge-wheel load, ratiometric [count] */
  uint16_t pressureCounts; /* Chamber pressure, ratiometric [count] */
  uint16_t accelerationCounts; /* Row accelerometer, ratiometric; ignored unless accelerationFitted [count] */
  uint8_t enabled; /* Row switch: 0 off, otherwise on [none] */
  uint8_t spare; /* Unused, 0 [none] */
} LbRowInput;
LB_STATIC_ASSERT(sizeof(LbRowInput) == 12, "RowInput");
LB_STATIC_ASSERT(offsetof(LbRowInput, soilAheadN) == 0, "RowInput.soilAheadN");
LB_STATIC_ASSERT(offsetof(LbRowInput, loadCounts) == 4, "RowInput.loadCounts");
LB_STATIC_ASSERT(offsetof(LbRowInput, pressureCounts) == 6, "RowInput.pressureCounts");
LB_STATIC_ASSERT(offsetof(LbRowInput, accelerationCounts) == 8, "RowInput.accelerationCounts");
LB_STATIC_ASSERT(offsetof(LbRowInput, enabled) == 10, "RowInput.enabled");
LB_STATIC_ASSERT(offsetof(LbRowInput, spare) == 11, "RowInput.spare");

/* Outputs of a bank. */
typedef struct {
  uint32_t faults; /* Bank faults that are set [bits] */
  uint8_t mode; /* Operating mode of the bank (refused: configure() refused a parameter) [none] */
  uint8_t allClosed; /* 1 while every valve of the bank is believed to be closed, also between pulses while venting [none] */
  uint8_t powerMayBeCut; /* 1 while nothing is owed: every valve is believed to be closed and none is checked for a missed close, no stroke is in progress or waits, and the bank does not vent [none] */
  uint8_t spare; /* Unused, 0 [none] */
} LbBankOutput;
LB_STATIC_ASSERT(sizeof(LbBankOutput) == 8, "BankOutput");
LB_STATIC_ASSERT(offsetof(LbBankOutput, faults) == 0, "BankOutput.faults");
LB_STATIC_ASSERT(offsetof(LbBankOutput, mode) == 4, "BankOutput.mode");
LB_STATIC_ASSERT(offsetof(LbBankOutput, allClosed) == 5, "BankOutput.allClosed");
LB_STATIC_ASSERT(offsetof(LbBankOutput, powerMayBeCut) == 6, "BankOutput.powerMayBeCut");
LB_STATIC_ASSERT(offsetof(LbBankOutput, spare) == 7, "BankOutput.spare");

/* Outputs of a row. */
typedef struct {
  uint32_t faults; /* Row faults that are set [bits] */
  uint8_t mode; /* Operating mode of the row (frozen: the load is invalid and the set point stays; lowering: the wheels have not touched the ground yet) [none] */
  uint8_t supplyOrder; /* Coil order to the supply valve in this tick [none] */
  uint8_t returnOrder; /* Coil order to the return valve in this tick [none] */
  uint8_t spare; /* Unused, 0 [none] */
} LbRowOutput;
LB_STATIC_ASSERT(sizeof(LbRowOutput) == 8, "RowOutput");
LB_STATIC_ASSERT(offsetof(LbRowOutput, faults) == 0, "RowOutput.faults");
LB_STATIC_ASSERT(offsetof(LbRowOutput, mode) == 4, "RowOutput.mode");
LB_STATIC_ASSERT(offsetof(LbRowOutput, supplyOrder) == 5, "RowOutput.supplyOrder");
LB_STATIC_ASSERT(offsetof(LbRowOutput, returnOrder) == 6, "RowOutput.returnOrder");
LB_STATIC_ASSERT(offsetof(LbRowOutput, spare) == 7, "RowOutput.spare");

/* Intermediate values of a bank. */
typedef struct {
  float targetLoadN; /* Target load in use: the last valid one [newton] */
  float railKpa; /* Rail pressure in use [kilopascal] */
  float flowRatio; /* Valve flow at the present oil temperature as a fraction of the flow of warm oil [ratio] */
  float notchHz; /* Lug frequency in use, 0 while the notch is off [hertz] */
  float deadbandScale; /* Factor by which the pulse budget widens all deadbands [ratio] */
  float energyMj; /* Energy for strokes in the reservoir capacitor, above strokeMinMv; 0 without a reservoir [millijoule] */
  uint32_t conditions; /* Fault conditions of the bank that are present now, before debounce [bits] */
  uint32_t strokes; /* Strokes started since configure() [none] */
  uint16_t closesWaiting; /* Closing strokes that wait in the queue [none] */
  uint16_t opensWaiting; /* Opening strokes that wait in the queue [none] */
  uint16_t openValves; /* Valves believed to be open or in an unknown position [none] */
  uint16_t closesNeeded; /* Closing strokes still needed by valves that are or may be open, excluding stuck valves [none] */
  uint16_t valvesChecked; /* Closed valves that are being checked for a missed close [none] */
  uint16_t strokesInFlight; /* Coils driven in this tick [none] */
} LbBankProbe;
LB_STATIC_ASSERT(sizeof(LbBankProbe) == 44, "BankProbe");
LB_STATIC_ASSERT(offsetof(LbBankProbe, targetLoadN) == 0, "BankProbe.targetLoadN");
LB_STATIC_ASSERT(offsetof(LbBankProbe, railKpa) == 4, "BankProbe.railKpa");
LB_STATIC_ASSERT(offsetof(LbBankProbe, flowRatio) == 8, "BankProbe.flowRatio");
LB_STATIC_ASSERT(offsetof(LbBankProbe, notchHz) == 12, "BankProbe.notchHz");
LB_STATIC_ASSERT(offsetof(LbBankProbe, deadbandScale) == 16, "BankProbe.deadbandScale");
LB_STATIC_ASSERT(offsetof(LbBankProbe, energyMj) == 20, "BankProbe.energyMj");
LB_STATIC_ASSERT(offsetof(LbBankProbe, conditions) == 24, "BankProbe.conditions");
LB_STATIC_ASSERT(offsetof(LbBankProbe, strokes) == 28, "BankProbe.strokes");
LB_STATIC_ASSERT(offsetof(LbBankProbe, closesWaiting) == 32, "BankProbe.closesWaiting");
LB_STATIC_ASSERT(offsetof(LbBankProbe, opensWaiting) == 34, "BankProbe.opensWaiting");
LB_STATIC_ASSERT(offsetof(LbBankProbe, openValves) == 36, "BankProbe.openValves");
LB_STATIC_ASSERT(offsetof(LbBankProbe, closesNeeded) == 38, "BankProbe.closesNeeded");
LB_STATIC_ASSERT(offsetof(LbBankProbe, valvesChecked) == 40, "BankProbe.valvesChecked");
LB_STATIC_ASSERT(offsetof(LbBankProbe, strokesInFlight) == 42, "BankProbe.strokesInFlight");

/* Intermediate values of a row. */
typedef struct {
  float loadRawN; /* Load before zero and filter [newton] */
  float zeroN; /* Zero in use [newton] */
  float loadN; /* Load after zero, median, notch and low-pass [newton] */
  float pressureRawKpa; /* Chamber pressure after the median [kilopascal] */
  float pressureKpa; /* Chamber pressure after the low-pass [kilopascal] */
  float accelerationMps2; /* Row acceleration, 0 if not fitted [metrePerSecondSquared] */
  float soilExpectedN; /* Part of the disturbance in the prediction that is expected from the soil ahead [newton] */
  float soilAheadTrust; /* Trust in the soil ahead: 0 none, 1 full [ratio] */
  float setPointKpa; /* Pressure set point of the load loop [kilopascal] */
  float loadErrorN; /* Target minus load [newton] */
  float errorN; /* Control error that is compared with the deadband: load error, pressure error expressed as load, or predicted load error [newton] */
  float noiseN; /* Standard deviation of the control error about its slow mean [newton] */
  float deadbandN; /* Deadband in use [newton] */
  float presentN; /* Present load with wheel bounce removed: initial value of the prediction [newton] */
  float predictedN; /* Predicted mean load over the prediction horizon if no valve moves [newton] */
  float meteredKpa; /* Accumulated pressure change from the oil that the valves of the row metered, with an arbitrary offset [kilopascal] */
  float supplyStepKpa; /* Pressure change per tick while the supply valve is open [kilopascal] */
  float returnStepKpa; /* Pressure change per tick while the return valve is open, positive [kilopascal] */
  float cusumUpKpa; /* Cumulative sum of a pressure rise that neither metered oil nor row motion explains: it indicates a valve that is not in its believed position [kilopascal] */
  float cusumDownKpa; /* Cumulative sum of a pressure fall that neither metered oil nor row motion explains [kilopascal] */
  float leakMlPerMin; /* Flow into the closed chamber, estimated from the pressure; negative: flow out of it [millilitrePerMinute] */
  float smoothKpa; /* Low-passed chamber pressure; steps from metered oil bypass the low-pass [kilopascal] */
  float loadTrend1N; /* Load minus the pressure contribution: component in band 1 [newton] */
  float loadTrend2N; /* Load minus the pressure contribution: component in band 2 [newton] */
  float loadTrend3N; /* Load minus the pressure contribution: component in band 3 [newton] */
  float loadTrend4N; /* Load minus the pressure contribution: component in band 4 [newton] */
  float pressureTrend1N; /* Pressure change not explained by metered oil, expressed as load: component in band 1 [newton] */
  float pressureTrend2N; /* Pressure change not explained by metered oil, expressed as load: component in band 2 [newton] */
  float pressureTrend3N; /* Pressure change not explained by metered oil, expressed as load: component in band 3 [newton] */
  float pressureTrend4N; /* Pressure change not explained by metered oil, expressed as load: component in band 4 [newton] */
  float inertia1N; /* Inertia force of the row after low-pass 1 [newton] */
  float inertia2N; /* Inertia force of the row after low-pass 2 [newton] */
  float inertia3N; /* Inertia force of the row after low-pass 3 [newton] */
  float inertia4N; /* Inertia force of the row after low-pass 4 [newton] */
  float inertia5N; /* Inertia force of the row after low-pass 5 [newton] */
  float compliance; /* Compliance of the actuator at this pressure [millilitrePerKilopascal] */
  float pulseMs; /* Pulse length requested with the last wish [millisecond] */
  float supplyGain; /* Learned gain of the supply valve [ratio] */
  float returnGain; /* Learned gain of the return valve [ratio] */
  uint32_t conditions; /* Fault conditions of the row that are present now, before debounce [bits] */
  uint16_t openTicks; /* Time for which the row's open valve has been open [tick] */
  uint16_t waitTicks; /* Time for which the row's oldest request has waited in the queue [tick] */
  uint16_t closeWaitTicks; /* Time for which the stroke that ends the row's pulse has waited in the queue [tick] */
  uint16_t spare; /* Unused, 0 [none] */
  uint8_t wish; /* Pressure change requested by the strategy [none] */
  uint8_t supplyBelief; /* Believed position of the supply valve [none] */
  uint8_t returnBelief; /* Believed position of the return valve [none] */
  uint8_t zeroResult; /* Result of the last re-zero [none] */
} LbRowProbe;
LB_STATIC_ASSERT(sizeof(LbRowProbe) == 172, "RowProbe");
LB_STATIC_ASSERT(offsetof(LbRowProbe, loadRawN) == 0, "RowProbe.loadRawN");
LB_STATIC_ASSERT(offsetof(LbRowProbe, zeroN) == 4, "RowProbe.zeroN");
LB_STATIC_ASSERT(offsetof(LbRowProbe, loadN) == 8, "RowProbe.loadN");
LB_STATIC_ASSERT(offsetof(LbRowProbe, pressureRawKpa) == 12, "RowProbe.pressureRawKpa");
LB_STATIC_ASSERT(offsetof(LbRowProbe, pressureKpa) == 16, "RowProbe.pressureKpa");
LB_STATIC_ASSERT(offsetof(LbRowProbe, accelerationMps2) == 20, "RowProbe.accelerationMps2");
LB_STATIC_ASSERT(offsetof(LbRowProbe, soilExpectedN) == 24, "RowProbe.soilExpectedN");
LB_STATIC_ASSERT(offsetof(LbRowProbe, soilAheadTrust) == 28, "RowProbe.soilAheadTrust");
LB_STATIC_ASSERT(offsetof(LbRowProbe, setPointKpa) == 32, "RowProbe.setPointKpa");
LB_STATIC_ASSERT(offsetof(LbRowProbe, loadErrorN) == 36, "RowProbe.loadErrorN");
LB_STATIC_ASSERT(offsetof(LbRowProbe, errorN) == 40, "RowProbe.errorN");
LB_STATIC_ASSERT(offsetof(LbRowProbe, noiseN) == 44, "RowProbe.noiseN");
LB_STATIC_ASSERT(offsetof(LbRowProbe, deadbandN) == 48, "RowProbe.deadbandN");
LB_STATIC_ASSERT(offsetof(LbRowProbe, presentN) == 52, "RowProbe.presentN");
LB_STATIC_ASSERT(offsetof(LbRowProbe, predictedN) == 56, "RowProbe.predictedN");
LB_STATIC_ASSERT(offsetof(LbRowProbe, meteredKpa) == 60, "RowProbe.meteredKpa");
LB_STATIC_ASSERT(offsetof(LbRowProbe, supplyStepKpa) == 64, "RowProbe.supplyStepKpa");
LB_STATIC_ASSERT(offsetof(LbRowProbe, returnStepKpa) == 68, "RowProbe.returnStepKpa");
LB_STATIC_ASSERT(offsetof(LbRowProbe, cusumUpKpa) == 72, "RowProbe.cusumUpKpa");
LB_STATIC_ASSERT(offsetof(LbRowProbe, cusumDownKpa) == 76, "RowProbe.cusumDownKpa");
LB_STATIC_ASSERT(offsetof(LbRowProbe, leakMlPerMin) == 80, "RowProbe.leakMlPerMin");
LB_STATIC_ASSERT(offsetof(LbRowProbe, smoothKpa) == 84, "RowProbe.smoothKpa");
LB_STATIC_ASSERT(offsetof(LbRowProbe, loadTrend1N) == 88, "RowProbe.loadTrend1N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, loadTrend2N) == 92, "RowProbe.loadTrend2N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, loadTrend3N) == 96, "RowProbe.loadTrend3N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, loadTrend4N) == 100, "RowProbe.loadTrend4N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, pressureTrend1N) == 104, "RowProbe.pressureTrend1N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, pressureTrend2N) == 108, "RowProbe.pressureTrend2N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, pressureTrend3N) == 112, "RowProbe.pressureTrend3N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, pressureTrend4N) == 116, "RowProbe.pressureTrend4N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, inertia1N) == 120, "RowProbe.inertia1N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, inertia2N) == 124, "RowProbe.inertia2N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, inertia3N) == 128, "RowProbe.inertia3N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, inertia4N) == 132, "RowProbe.inertia4N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, inertia5N) == 136, "RowProbe.inertia5N");
LB_STATIC_ASSERT(offsetof(LbRowProbe, compliance) == 140, "RowProbe.compliance");
LB_STATIC_ASSERT(offsetof(LbRowProbe, pulseMs) == 144, "RowProbe.pulseMs");
LB_STATIC_ASSERT(offsetof(LbRowProbe, supplyGain) == 148, "RowProbe.supplyGain");
LB_STATIC_ASSERT(offsetof(LbRowProbe, returnGain) == 152, "RowProbe.returnGain");
LB_STATIC_ASSERT(offsetof(LbRowProbe, conditions) == 156, "RowProbe.conditions");
LB_STATIC_ASSERT(offsetof(LbRowProbe, openTicks) == 160, "RowProbe.openTicks");
LB_STATIC_ASSERT(offsetof(LbRowProbe, waitTicks) == 162, "RowProbe.waitTicks");
LB_STATIC_ASSERT(offsetof(LbRowProbe, closeWaitTicks) == 164, "RowProbe.closeWaitTicks");
LB_STATIC_ASSERT(offsetof(LbRowProbe, spare) == 166, "RowProbe.spare");
LB_STATIC_ASSERT(offsetof(LbRowProbe, wish) == 168, "RowProbe.wish");
LB_STATIC_ASSERT(offsetof(LbRowProbe, supplyBelief) == 169, "RowProbe.supplyBelief");
LB_STATIC_ASSERT(offsetof(LbRowProbe, returnBelief) == 170, "RowProbe.returnBelief");
LB_STATIC_ASSERT(offsetof(LbRowProbe, zeroResult) == 171, "RowProbe.zeroResult");

/* State of a bank. */
typedef struct {
  uint32_t rowCount; /* Number of rows passed to configure() [none] */
  float targetLoadN; /* Last valid target [newton] */
  float notchG; /* Tangent of half the notch's angle per tick [ratio] */
  float pulsesPerMin; /* Slow mean of the pulse rate of a row [perMinute] */
  float deadbandScale; /* Factor by which the pulse budget widens all deadbands [ratio] */
  uint32_t strokes; /* Strokes started [none] */
  uint32_t pulses; /* Pulses started since the pulse rate was last updated [none] */
  uint32_t shutDownTicks; /* Time since the shut-down request or the loss of power; saturates [tick] */
  uint32_t liftTicks; /* Time for which the lift switch has differed from lowered; saturates [tick] */
  uint32_t compareTicks; /* Position in the cycle in which rows compare their signals [tick] */
  uint32_t supplyTicks; /* Time for which oil has flowed through supply valves, summed over the rows [tick] */
  uint32_t previewTicks; /* Position in the cycle in which rows compare the soil ahead with what came [tick] */
  uint16_t loweredTicks; /* Time since lowering; saturates [tick] */
  uint16_t slotTicks; /* Position in the cycle of the banks that share a harness [tick] */
  uint8_t refused; /* 1 after configure() refused a parameter [none] */
  uint8_t mode; /* Operating mode of the bank (refused: configure() refused a parameter) [none] */
  uint8_t started; /* 1 once every valve that is not stuck has been closed after start [none] */
  uint8_t inhibited; /* 1 while power is lost and no reservoir pays for strokes [none] */
  uint8_t lowered; /* Lift switch after debounce: 1 lowered [none] */
  uint8_t hasLift; /* 1 once the lift switch has been read [none] */
  uint8_t venting; /* 1 while chambers are vented [none] */
  uint8_t shown; /* 1 while the oil of open valves can show in the pressures [none] */
} LbBankState;
LB_STATIC_ASSERT(sizeof(LbBankState) == 60, "BankState");
LB_STATIC_ASSERT(offsetof(LbBankState, rowCount) == 0, "BankState.rowCount");
LB_STATIC_ASSERT(offsetof(LbBankState, targetLoadN) == 4, "BankState.targetLoadN");
LB_STATIC_ASSERT(offsetof(LbBankState, notchG) == 8, "BankState.notchG");
LB_STATIC_ASSERT(offsetof(LbBankState, pulsesPerMin) == 12, "BankState.pulsesPerMin");
LB_STATIC_ASSERT(offsetof(LbBankState, deadbandScale) == 16, "BankState.deadbandScale");
LB_STATIC_ASSERT(offsetof(LbBankState, strokes) == 20, "BankState.strokes");
LB_STATIC_ASSERT(offsetof(LbBankState, pulses) == 24, "BankState.pulses");
LB_STATIC_ASSERT(offsetof(LbBankState, shutDownTicks) == 28, "BankState.shutDownTicks");
LB_STATIC_ASSERT(offsetof(LbBankState, liftTicks) == 32, "BankState.liftTicks");
LB_STATIC_ASSERT(offsetof(LbBankState, compareTicks) == 36, "BankState.compareTicks");
LB_STATIC_ASSERT(offsetof(LbBankState, supplyTicks) == 40, "BankState.supplyTicks");
LB_STATIC_ASSERT(offsetof(LbBankState, previewTicks) == 44, "BankState.previewTicks");
LB_STATIC_ASSERT(offsetof(LbBankState, loweredTicks) == 48, "BankState.loweredTicks");
LB_STATIC_ASSERT(offsetof(LbBankState, slotTicks) == 50, "BankState.slotTicks");
LB_STATIC_ASSERT(offsetof(LbBankState, refused) == 52, "BankState.refused");
LB_STATIC_ASSERT(offsetof(LbBankState, mode) == 53, "BankState.mode");
LB_STATIC_ASSERT(offsetof(LbBankState, started) == 54, "BankState.started");
LB_STATIC_ASSERT(offsetof(LbBankState, inhibited) == 55, "BankState.inhibited");
LB_STATIC_ASSERT(offsetof(LbBankState, lowered) == 56, "BankState.lowered");
LB_STATIC_ASSERT(offsetof(LbBankState, hasLift) == 57, "BankState.hasLift");
LB_STATIC_ASSERT(offsetof(LbBankState, venting) == 58, "BankState.venting");
LB_STATIC_ASSERT(offsetof(LbBankState, shown) == 59, "BankState.shown");

/* State of an analog input's checks. */
typedef struct {
  float value; /* Last valid value, in the channel's unit [none] */
  float related1; /* First related signal when the ADC counts last changed [none] */
  float related2; /* Second related signal when the ADC counts last changed [none] */
  int32_t changeCounts; /* Last change of the ADC counts [count] */
  uint16_t counts; /* Last ADC counts [count] */
  uint16_t sameTicks; /* Time for which the ADC counts have not changed; saturates [tick] */
  uint16_t rateTicks; /* Remaining time for which the channel is treated as invalid after a jump [tick] */
  uint8_t hasReading; /* 1 once a reading was in range [none] */
  uint8_t valid; /* 1 while the value may be used [none] */
  uint8_t seeded; /* 1 once the channel's filters have been seeded [none] */
  uint8_t cleanTicks; /* Number of consecutive ticks in which no check has failed; saturates at 2 [tick] */
  uint16_t inRangeCounts; /* Last ADC counts in range [count] */
  uint8_t flips; /* Number of consecutive ticks in which the ADC counts have made a large change and reversed it [none] */
  uint8_t rangeCheck; /* Result of the last range check: Short, Open, Range or 0 [bits] */
  uint8_t frozen; /* 1 once the sensor was found to be frozen, until its ADC counts change [none] */
  uint8_t steady; /* 1 while no check of range and change fails or is held [none] */
} LbChannelState;
LB_STATIC_ASSERT(sizeof(LbChannelState) == 32, "ChannelState");
LB_STATIC_ASSERT(offsetof(LbChannelState, value) == 0, "ChannelState.value");
LB_STATIC_ASSERT(offsetof(LbChannelState, related1) == 4, "ChannelState.related1");
LB_STATIC_ASSERT(offsetof(LbChannelState, related2) == 8, "ChannelState.related2");
LB_STATIC_ASSERT(offsetof(LbChannelState, changeCounts) == 12, "ChannelState.changeCounts");
LB_STATIC_ASSERT(offsetof(LbChannelState, counts) == 16, "ChannelState.counts");
LB_STATIC_ASSERT(offsetof(LbChannelState, sameTicks) == 18, "ChannelState.sameTicks");
LB_STATIC_ASSERT(offsetof(LbChannelState, rateTicks) == 20, "ChannelState.rateTicks");
LB_STATIC_ASSERT(offsetof(LbChannelState, hasReading) == 22, "ChannelState.hasReading");
LB_STATIC_ASSERT(offsetof(LbChannelState, valid) == 23, "ChannelState.valid");
LB_STATIC_ASSERT(offsetof(LbChannelState, seeded) == 24, "ChannelState.seeded");
LB_STATIC_ASSERT(offsetof(LbChannelState, cleanTicks) == 25, "ChannelState.cleanTicks");
LB_STATIC_ASSERT(offsetof(LbChannelState, inRangeCounts) == 26, "ChannelState.inRangeCounts");
LB_STATIC_ASSERT(offsetof(LbChannelState, flips) == 28, "ChannelState.flips");
LB_STATIC_ASSERT(offsetof(LbChannelState, rangeCheck) == 29, "ChannelState.rangeCheck");
LB_STATIC_ASSERT(offsetof(LbChannelState, frozen) == 30, "ChannelState.frozen");
LB_STATIC_ASSERT(offsetof(LbChannelState, steady) == 31, "ChannelState.steady");

/* State of the load sensor's re-zero at each lift. */
typedef struct {
  float zeroN; /* Zero in use [newton] */
  float firstN; /* First load of the window [newton] */
  float sumN; /* Sum of the window's differences from the first load [newton] */
  float lowestN; /* Lowest load of the window [newton] */
  float highestN; /* Highest load of the window [newton] */
  uint16_t ticks; /* Ticks in the window so far [tick] */
  uint16_t waitTicks; /* Time since the lift; saturates [tick] */
  uint16_t refusals; /* Number of windows refused during this lift; saturates [none] */
  uint8_t result; /* Result of the last window [none] */
  uint8_t reported; /* Result of the last lift with a full window, or of the present one once it is certain [none] */
  uint8_t accepted; /* 1 once a zero was accepted during this lift [none] */
  uint8_t hasZero; /* 1 once a zero was accepted during any lift [none] */
  uint16_t spare; /* Unused, 0 [none] */
} LbZeroState;
LB_STATIC_ASSERT(sizeof(LbZeroState) == 32, "ZeroState");
LB_STATIC_ASSERT(offsetof(LbZeroState, zeroN) == 0, "ZeroState.zeroN");
LB_STATIC_ASSERT(offsetof(LbZeroState, firstN) == 4, "ZeroState.firstN");
LB_STATIC_ASSERT(offsetof(LbZeroState, sumN) == 8, "ZeroState.sumN");
LB_STATIC_ASSERT(offsetof(LbZeroState, lowestN) == 12, "ZeroState.lowestN");
LB_STATIC_ASSERT(offsetof(LbZeroState, highestN) == 16, "ZeroState.highestN");
LB_STATIC_ASSERT(offsetof(LbZeroState, ticks) == 20, "ZeroState.ticks");
LB_STATIC_ASSERT(offsetof(LbZeroState, waitTicks) == 22, "ZeroState.waitTicks");
LB_STATIC_ASSERT(offsetof(LbZeroState, refusals) == 24, "ZeroState.refusals");
LB_STATIC_ASSERT(offsetof(LbZeroState, result) == 26, "ZeroState.result");
LB_STATIC_ASSERT(offsetof(LbZeroState, reported) == 27, "ZeroState.reported");
LB_STATIC_ASSERT(offsetof(LbZeroState, accepted) == 28, "ZeroState.accepted");
LB_STATIC_ASSERT(offsetof(LbZeroState, hasZero) == 29, "ZeroState.hasZero");
LB_STATIC_ASSERT(offsetof(LbZeroState, spare) == 30, "ZeroState.spare");

/* State of the search for the load sensor's offset. */
typedef struct {
  float lowPassN; /* Load after the low-pass [newton] */
  float wheelN; /* Load without the sensor's lag [newton] */
  float levelN; /* Load from which wheelN has not moved away [newton] */
  float flatN; /* Level of the last flat stretch, if the load rises from it now [newton] */
  float liftOffN; /* Reading with the wheels off the ground, by the last lift-offs [newton] */
  float offsetN; /* Offset found, 0 if none [newton] */
  uint16_t flatTicks; /* Time for which the load has stayed at its level; saturates [tick] */
  uint16_t riseTicks; /* Remaining time in which the load must have risen [tick] */
  uint16_t lowTicks; /* Time for which the sensor has read below zero; saturates [tick] */
  uint8_t liftOffs; /* Number of lift-offs that agree; saturates [none] */
  uint8_t spare; /* Unused, 0 [none] */
} LbOffsetState;
LB_STATIC_ASSERT(sizeof(LbOffsetState) == 32, "OffsetState");
LB_STATIC_ASSERT(offsetof(LbOffsetState, lowPassN) == 0, "OffsetState.lowPassN");
LB_STATIC_ASSERT(offsetof(LbOffsetState, wheelN) == 4, "OffsetState.wheelN");
LB_STATIC_ASSERT(offsetof(LbOffsetState, levelN) == 8, "OffsetState.levelN");
LB_STATIC_ASSERT(offsetof(LbOffsetState, flatN) == 12, "OffsetState.flatN");
LB_STATIC_ASSERT(offsetof(LbOffsetState, liftOffN) == 16, "OffsetState.liftOffN");
LB_STATIC_ASSERT(offsetof(LbOffsetState, offsetN) == 20, "OffsetState.offsetN");
LB_STATIC_ASSERT(offsetof(LbOffsetState, flatTicks) == 24, "OffsetState.flatTicks");
LB_STATIC_ASSERT(offsetof(LbOffsetState, riseTicks) == 26, "OffsetState.riseTicks");
LB_STATIC_ASSERT(offsetof(LbOffsetState, lowTicks) == 28, "OffsetState.lowTicks");
LB_STATIC_ASSERT(offsetof(LbOffsetState, liftOffs) == 30, "OffsetState.liftOffs");
LB_STATIC_ASSERT(offsetof(LbOffsetState, spare) == 31, "OffsetState.spare");

/* State of the detection of ground contact after a lift. */
typedef struct {
  uint16_t remainingTicks; /* Remaining time after lowering until the wheels are taken to be on the ground in any case [tick] */
  uint16_t touchTicks; /* Time for which the load or the acceleration has shown contact [tick] */
  uint8_t hanging; /* 1 from a lift until the wheels touch the ground again [none] */
  uint8_t spare; /* Unused, 0 [none] */
} LbContactState;
LB_STATIC_ASSERT(sizeof(LbContactState) == 6, "ContactState");
LB_STATIC_ASSERT(offsetof(LbContactState, remainingTicks) == 0, "ContactState.remainingTicks");
LB_STATIC_ASSERT(offsetof(LbContactState, touchTicks) == 2, "ContactState.touchTicks");
LB_STATIC_ASSERT(offsetof(LbContactState, hanging) == 4, "ContactState.hanging");
LB_STATIC_ASSERT(offsetof(LbContactState, spare) == 5, "ContactState.spare");

/* State of a median of 3. */
typedef struct {
  float older; /* Value two ticks ago [none] */
  float old; /* Value one tick ago [none] */
} LbMedianState;
LB_STATIC_ASSERT(sizeof(LbMedianState) == 8, "MedianState");
LB_STATIC_ASSERT(offsetof(LbMedianState, older) == 0, "MedianState.older");
LB_STATIC_ASSERT(offsetof(LbMedianState, old) == 4, "MedianState.old");

/* State of a second-order filter: two integrators. */
typedef struct {
  float first; /* First integrator [none] */
  float second; /* Second integrator [none] */
} LbSecondOrderState;
LB_STATIC_ASSERT(sizeof(LbSecondOrderState) == 8, "SecondOrderState");
LB_STATIC_ASSERT(offsetof(LbSecondOrderState, first) == 0, "SecondOrderState.first");
LB_STATIC_ASSERT(offsetof(LbSecondOrderState, second) == 4, "SecondOrderState.second");

/* State of a row's load loop and deadband. */
typedef struct {
  float setPointKpa; /* Pressure set point [kilopascal] */
  float integralKpa; /* Integral part of the load loop [kilopascal] */
  float slowErrorN; /* Slow mean of the control error [newton] */
  float varianceN2; /* Variance of the control error about its slow mean, N² [none] */
  uint16_t plannedTicks; /* Planned length of the present or next pulse [tick] */
  uint16_t setReadings; /* Number of readings in the mean of the set point so far; saturates [none] */
  uint8_t running; /* 1 if the load loop ran in the last tick [none] */
  uint8_t acting; /* Direction of the correction in progress, which ends once the error is inside the hysteresis [none] */
  uint8_t hasError; /* 1 if the last tick had a control error [none] */
  uint8_t atFloor; /* 1 after the floor stopped a lowering pulse [none] */
} LbLoopState;
LB_STATIC_ASSERT(sizeof(LbLoopState) == 24, "LoopState");
LB_STATIC_ASSERT(offsetof(LbLoopState, setPointKpa) == 0, "LoopState.setPointKpa");
LB_STATIC_ASSERT(offsetof(LbLoopState, integralKpa) == 4, "LoopState.integralKpa");
LB_STATIC_ASSERT(offsetof(LbLoopState, slowErrorN) == 8, "LoopState.slowErrorN");
LB_STATIC_ASSERT(offsetof(LbLoopState, varianceN2) == 12, "LoopState.varianceN2");
LB_STATIC_ASSERT(offsetof(LbLoopState, plannedTicks) == 16, "LoopState.plannedTicks");
LB_STATIC_ASSERT(offsetof(LbLoopState, setReadings) == 18, "LoopState.setReadings");
LB_STATIC_ASSERT(offsetof(LbLoopState, running) == 20, "LoopState.running");
LB_STATIC_ASSERT(offsetof(LbLoopState, acting) == 21, "LoopState.acting");
LB_STATIC_ASSERT(offsetof(LbLoopState, hasError) == 22, "LoopState.hasError");
LB_STATIC_ASSERT(offsetof(LbLoopState, atFloor) == 23, "LoopState.atFloor");

/* State of a row's predictor: low-passes, slowest first. */
typedef struct {
  float meteredKpa; /* Pressure change from metered oil [kilopascal] */
  float sensedPressureKpa; /* Pressure, delayed by the load sensor's lag [kilopascal] */
  float sensedInertiaN; /* Inertia force, delayed by the load sensor's lag [newton] */
  float load1N; /* Load minus the pressure contribution, low-pass 1 [newton] */
  float load2N; /* Load minus the pressure contribution, low-pass 2 [newton] */
  float load3N; /* Load minus the pressure contribution, low-pass 3 [newton] */
  float load4N; /* Load minus the pressure contribution, low-pass 4 [newton] */
  float load5N; /* Load minus the pressure contribution, low-pass 5 [newton] */
  float pressure1N; /* Pressure change not explained by metered oil, expressed as load, low-pass 1 [newton] */
  float pressure2N; /* Pressure change not explained by metered oil, expressed as load, low-pass 2 [newton] */
  float pressure3N; /* Pressure change not explained by metered oil, expressed as load, low-pass 3 [newton] */
  float pressure4N; /* Pressure change not explained by metered oil, expressed as load, low-pass 4 [newton] */
  float pressure5N; /* Pressure change not explained by metered oil, expressed as load, low-pass 5 [newton] */
  float inertia1N; /* Inertia force, low-pass 1 [newton] */
  float inertia2N; /* Inertia force, low-pass 2 [newton] */
  float inertia3N; /* Inertia force, low-pass 3 [newton] */
  float inertia4N; /* Inertia force, low-pass 4 [newton] */
  float inertia5N; /* Inertia force, low-pass 5 [newton] */
  uint16_t hasPressure; /* 1 if the last tick had a valid pressure [none] */
  uint16_t hasLoad; /* 1 if the last tick had a valid load [none] */
} LbPredictorState;
LB_STATIC_ASSERT(sizeof(LbPredictorState) == 76, "PredictorState");
LB_STATIC_ASSERT(offsetof(LbPredictorState, meteredKpa) == 0, "PredictorState.meteredKpa");
LB_STATIC_ASSERT(offsetof(LbPredictorState, sensedPressureKpa) == 4, "PredictorState.sensedPressureKpa");
LB_STATIC_ASSERT(offsetof(LbPredictorState, sensedInertiaN) == 8, "PredictorState.sensedInertiaN");
LB_STATIC_ASSERT(offsetof(LbPredictorState, load1N) == 12, "PredictorState.load1N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, load2N) == 16, "PredictorState.load2N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, load3N) == 20, "PredictorState.load3N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, load4N) == 24, "PredictorState.load4N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, load5N) == 28, "PredictorState.load5N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, pressure1N) == 32, "PredictorState.pressure1N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, pressure2N) == 36, "PredictorState.pressure2N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, pressure3N) == 40, "PredictorState.pressure3N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, pressure4N) == 44, "PredictorState.pressure4N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, pressure5N) == 48, "PredictorState.pressure5N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, inertia1N) == 52, "PredictorState.inertia1N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, inertia2N) == 56, "PredictorState.inertia2N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, inertia3N) == 60, "PredictorState.inertia3N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, inertia4N) == 64, "PredictorState.inertia4N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, inertia5N) == 68, "PredictorState.inertia5N");
LB_STATIC_ASSERT(offsetof(LbPredictorState, hasPressure) == 72, "PredictorState.hasPressure");
LB_STATIC_ASSERT(offsetof(LbPredictorState, hasLoad) == 74, "PredictorState.hasLoad");

/* State of a band-pass. */
typedef struct {
  float low; /* Low-pass [none] */
  float slow; /* First slow mean [none] */
  float slower; /* Second slow mean [none] */
} LbBandState;
LB_STATIC_ASSERT(sizeof(LbBandState) == 12, "BandState");
LB_STATIC_ASSERT(offsetof(LbBandState, low) == 0, "BandState.low");
LB_STATIC_ASSERT(offsetof(LbBandState, slow) == 4, "BandState.slow");
LB_STATIC_ASSERT(offsetof(LbBandState, slower) == 8, "BandState.slower");

/* State of a row's accelerometer and of its comparison with pressure and load. */
typedef struct {
  float slowMps2; /* Slow part of the acceleration [metrePerSecondSquared] */
  float slope; /* Pressure change per expected one, 1 while it is near that [ratio] */
  float scale; /* Acceleration over reading [ratio] */
  float gasRatio; /* Gas in the accumulator over its nominal amount [ratio] */
  float travel; /* Sum of the velocity since the last comparison, m/s per tick [none] */
  float residualKpa; /* The detector's residual at the last comparison [kilopascal] */
  float motion2; /* Mean square of the motion, kPa² [none] */
  float pressure2; /* Mean square of the pressure change, kPa² [none] */
  float motionPressure; /* Mean product of both, kPa² [none] */
  float inertia2; /* Mean square of the inertia force, N² [none] */
  float inertiaLoad; /* Mean product of inertia force and load, N² [none] */
  float load2; /* Mean square of the load, N² [none] */
  uint16_t waitTicks; /* Remaining time without comparing after a gap [tick] */
  uint16_t seedTicks; /* Readings in the slow part so far; saturates [tick] */
  uint8_t isDoubtful; /* 1 while the accelerometer contradicts the pressure [none] */
  uint8_t isLoadDoubtful; /* 1 while the load contradicts accelerometer and pressure [none] */
  uint16_t spare; /* Unused, 0 [none] */
} LbMotionState;
LB_STATIC_ASSERT(sizeof(LbMotionState) == 56, "MotionState");
LB_STATIC_ASSERT(offsetof(LbMotionState, slowMps2) == 0, "MotionState.slowMps2");
LB_STATIC_ASSERT(offsetof(LbMotionState, slope) == 4, "MotionState.slope");
LB_STATIC_ASSERT(offsetof(LbMotionState, scale) == 8, "MotionState.scale");
LB_STATIC_ASSERT(offsetof(LbMotionState, gasRatio) == 12, "MotionState.gasRatio");
LB_STATIC_ASSERT(offsetof(LbMotionState, travel) == 16, "MotionState.travel");
LB_STATIC_ASSERT(offsetof(LbMotionState, residualKpa) == 20, "MotionState.residualKpa");
LB_STATIC_ASSERT(offsetof(LbMotionState, motion2) == 24, "MotionState.motion2");
LB_STATIC_ASSERT(offsetof(LbMotionState, pressure2) == 28, "MotionState.pressure2");
LB_STATIC_ASSERT(offsetof(LbMotionState, motionPressure) == 32, "MotionState.motionPressure");
LB_STATIC_ASSERT(offsetof(LbMotionState, inertia2) == 36, "MotionState.inertia2");
LB_STATIC_ASSERT(offsetof(LbMotionState, inertiaLoad) == 40, "MotionState.inertiaLoad");
LB_STATIC_ASSERT(offsetof(LbMotionState, load2) == 44, "MotionState.load2");
LB_STATIC_ASSERT(offsetof(LbMotionState, waitTicks) == 48, "MotionState.waitTicks");
LB_STATIC_ASSERT(offsetof(LbMotionState, seedTicks) == 50, "MotionState.seedTicks");
LB_STATIC_ASSERT(offsetof(LbMotionState, isDoubtful) == 52, "MotionState.isDoubtful");
LB_STATIC_ASSERT(offsetof(LbMotionState, isLoadDoubtful) == 53, "MotionState.isLoadDoubtful");
LB_STATIC_ASSERT(offsetof(LbMotionState, spare) == 54, "MotionState.spare");

/* State of what a row knows of the soil ahead, and of its comparison with what came. */
typedef struct {
  float sensedN; /* Soil ahead after the same lag as the load sensor's [newton] */
  float smoothN; /* The same after a low-pass [newton] */
  float disturbanceN; /* The predictor's disturbance after the same low-pass, without the soil ahead [newton] */
  float trust; /* Trust in the soil ahead: 0 none, 1 full [ratio] */
  float expected2; /* Mean square of the expected change, N² [none] */
  float change2; /* Mean square of the change of the disturbance, N² [none] */
  float expectedChange; /* Mean product of both, N² [none] */
  float expected1N; /* Expected change, the oldest first: 1 [newton] */
  float expected2N; /* Expected change, the oldest first: 2 [newton] */
  float expected3N; /* Expected change, the oldest first: 3 [newton] */
  float expected4N; /* Expected change, the oldest first: 4 [newton] */
  float expected5N; /* Expected change, the oldest first: 5 [newton] */
  float expected6N; /* Expected change, the oldest first: 6 [newton] */
  float expected7N; /* Expected change, the oldest first: 7 [newton] */
  float expected8N; /* Expected change, the oldest first: 8 [newton] */
  float disturbance1N; /* Disturbance, the oldest first: 1 [newton] */
  float disturbance2N; /* Disturbance, the oldest first: 2 [newton] */
  float disturbance3N; /* Disturbance, the oldest first: 3 [newton] */
  float disturbance4N; /* Disturbance, the oldest first: 4 [newton] */
  float disturbance5N; /* Disturbance, the oldest first: 5 [newton] */
  float disturbance6N; /* Disturbance, the oldest first: 6 [newton] */
  float disturbance7N; /* Disturbance, the oldest first: 7 [newton] */
  float disturbance8N; /* Disturbance, the oldest first: 8 [newton] */
  uint16_t heldTicks; /* Remaining time for which the soil ahead is invalid after an invalid value [tick] */
  uint16_t waitTicks; /* Remaining time without comparing after a gap [tick] */
  uint16_t isWrong; /* 1 while the load does not follow the soil ahead [none] */
  uint16_t spare; /* Unused, 0 [none] */
} LbPreviewState;
LB_STATIC_ASSERT(sizeof(LbPreviewState) == 100, "PreviewState");
LB_STATIC_ASSERT(offsetof(LbPreviewState, sensedN) == 0, "PreviewState.sensedN");
LB_STATIC_ASSERT(offsetof(LbPreviewState, smoothN) == 4, "PreviewState.smoothN");
LB_STATIC_ASSERT(offsetof(LbPreviewState, disturbanceN) == 8, "PreviewState.disturbanceN");
LB_STATIC_ASSERT(offsetof(LbPreviewState, trust) == 12, "PreviewState.trust");
LB_STATIC_ASSERT(offsetof(LbPreviewState, expected2) == 16, "PreviewState.expected2");
LB_STATIC_ASSERT(offsetof(LbPreviewState, change2) == 20, "PreviewState.change2");
LB_STATIC_ASSERT(offsetof(LbPreviewState, expectedChange) == 24, "PreviewState.expectedChange");
LB_STATIC_ASSERT(offsetof(LbPreviewState, expected1N) == 28, "PreviewState.expected1N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, expected2N) == 32, "PreviewState.expected2N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, expected3N) == 36, "PreviewState.expected3N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, expected4N) == 40, "PreviewState.expected4N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, expected5N) == 44, "PreviewState.expected5N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, expected6N) == 48, "PreviewState.expected6N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, expected7N) == 52, "PreviewState.expected7N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, expected8N) == 56, "PreviewState.expected8N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, disturbance1N) == 60, "PreviewState.disturbance1N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, disturbance2N) == 64, "PreviewState.disturbance2N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, disturbance3N) == 68, "PreviewState.disturbance3N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, disturbance4N) == 72, "PreviewState.disturbance4N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, disturbance5N) == 76, "PreviewState.disturbance5N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, disturbance6N) == 80, "PreviewState.disturbance6N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, disturbance7N) == 84, "PreviewState.disturbance7N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, disturbance8N) == 88, "PreviewState.disturbance8N");
LB_STATIC_ASSERT(offsetof(LbPreviewState, heldTicks) == 92, "PreviewState.heldTicks");
LB_STATIC_ASSERT(offsetof(LbPreviewState, waitTicks) == 94, "PreviewState.waitTicks");
LB_STATIC_ASSERT(offsetof(LbPreviewState, isWrong) == 96, "PreviewState.isWrong");
LB_STATIC_ASSERT(offsetof(LbPreviewState, spare) == 98, "PreviewState.spare");

/* State of a row's detector, which detects missed strokes and leaks from the pressure. */
typedef struct {
  float velocityMps; /* Row velocity from the accelerometer, high-passed [metrePerSecond] */
  float slowMps; /* Slow mean of that velocity [metrePerSecond] */
  float smoothMps; /* Velocity after the same low-pass as the pressure [metrePerSecond] */
  float residualKpa; /* Pressure change not explained by metered oil, low-passed [kilopascal] */
  float cusumUpKpa; /* Cumulative sum for a pressure rise [kilopascal] */
  float cusumDownKpa; /* Cumulative sum for a pressure fall [kilopascal] */
  float motionKpa; /* Pressure change from row motion in this tick [kilopascal] */
  float residualStepKpa; /* Change of the residual since the start of the last pulse, without the effect of row motion [kilopascal] */
  float frameKpa; /* Drift per tick by the motion of the frame [kilopascal] */
  float frameMl; /* Drift per tick as oil, for the neighbours [millilitre] */
  float firstWeight; /* Share of the first neighbour in the motion of the frame [ratio] */
  float secondWeight; /* Share of the second neighbour [ratio] */
  float noiseKpa; /* Highest recent sum without a missed stroke [kilopascal] */
  float rawUpMl; /* Cumulative sum of a rise, as oil, that is not restarted by pulses [millilitre] */
  float rawDownMl; /* Cumulative sum of a fall, as oil, that is not restarted by pulses [millilitre] */
  float doubtRateKpa; /* Evidence per tick against the doubted valve before it was closed again [kilopascal] */
  float movedMl; /* Drift during the doubt as oil, in the direction of the doubted valve's [millilitre] */
  float owedMl; /* Oil that the doubted valve would have passed if it were open [millilitre] */
  float judgedKpa; /* Evidence after the repeated close [kilopascal] */
  float slowKpa; /* Pressure that the gas would have at wall temperature [kilopascal] */
  float leakMlPerMin; /* Slow mean of the flow into the closed chamber [millilitrePerMinute] */
  float meteredMlPerMin; /* Slow mean of the metered oil, both directions [millilitrePerMinute] */
  uint16_t noVelocityTicks; /* Remaining time for which the velocity is not used [tick] */
  uint16_t upTicks; /* Time since cusumUpKpa was last 0 [tick] */
  uint16_t downTicks; /* Time since cusumDownKpa was last 0 [tick] */
  uint16_t hasPressure; /* 1 if the last tick had a valid pressure [none] */
  uint16_t rawTicks; /* Time with closed valves since both raw sums were last 0 [tick] */
  uint8_t mode; /* Kind of missed stroke that the sums are to detect [none] */
  uint8_t missedValve; /* Valve whose missed stroke was found in this tick [none] */
  uint8_t frameSettled; /* 1 once the frame has settled after lowering [none] */
  uint8_t doubt; /* Valve that may have missed its last close and is being judged [none] */
  uint8_t isDoubtLate; /* 1 if the drift of the doubted valve began too long after its close [none] */
  uint8_t spare; /* Unused, 0 [none] */
} LbDetectorState;
LB_STATIC_ASSERT(sizeof(LbDetectorState) == 104, "DetectorState");
LB_STATIC_ASSERT(offsetof(LbDetectorState, velocityMps) == 0, "DetectorState.velocityMps");
LB_STATIC_ASSERT(offsetof(LbDetectorState, slowMps) == 4, "DetectorState.slowMps");
LB_STATIC_ASSERT(offsetof(LbDetectorState, smoothMps) == 8, "DetectorState.smoothMps");
LB_STATIC_ASSERT(offsetof(LbDetectorState, residualKpa) == 12, "DetectorState.residualKpa");
LB_STATIC_ASSERT(offsetof(LbDetectorState, cusumUpKpa) == 16, "DetectorState.cusumUpKpa");
LB_STATIC_ASSERT(offsetof(LbDetectorState, cusumDownKpa) == 20, "DetectorState.cusumDownKpa");
LB_STATIC_ASSERT(offsetof(LbDetectorState, motionKpa) == 24, "DetectorState.motionKpa");
LB_STATIC_ASSERT(offsetof(LbDetectorState, residualStepKpa) == 28, "DetectorState.residualStepKpa");
LB_STATIC_ASSERT(offsetof(LbDetectorState, frameKpa) == 32, "DetectorState.frameKpa");
LB_STATIC_ASSERT(offsetof(LbDetectorState, frameMl) == 36, "DetectorState.frameMl");
LB_STATIC_ASSERT(offsetof(LbDetectorState, firstWeight) == 40, "DetectorState.firstWeight");
LB_STATIC_ASSERT(offsetof(LbDetectorState, secondWeight) == 44, "DetectorState.secondWeight");
LB_STATIC_ASSERT(offsetof(LbDetectorState, noiseKpa) == 48, "DetectorState.noiseKpa");
LB_STATIC_ASSERT(offsetof(LbDetectorState, rawUpMl) == 52, "DetectorState.rawUpMl");
LB_STATIC_ASSERT(offsetof(LbDetectorState, rawDownMl) == 56, "DetectorState.rawDownMl");
LB_STATIC_ASSERT(offsetof(LbDetectorState, doubtRateKpa) == 60, "DetectorState.doubtRateKpa");
LB_STATIC_ASSERT(offsetof(LbDetectorState, movedMl) == 64, "DetectorState.movedMl");
LB_STATIC_ASSERT(offsetof(LbDetectorState, owedMl) == 68, "DetectorState.owedMl");
LB_STATIC_ASSERT(offsetof(LbDetectorState, judgedKpa) == 72, "DetectorState.judgedKpa");
LB_STATIC_ASSERT(offsetof(LbDetectorState, slowKpa) == 76, "DetectorState.slowKpa");
LB_STATIC_ASSERT(offsetof(LbDetectorState, leakMlPerMin) == 80, "DetectorState.leakMlPerMin");
LB_STATIC_ASSERT(offsetof(LbDetectorState, meteredMlPerMin) == 84, "DetectorState.meteredMlPerMin");
LB_STATIC_ASSERT(offsetof(LbDetectorState, noVelocityTicks) == 88, "DetectorState.noVelocityTicks");
LB_STATIC_ASSERT(offsetof(LbDetectorState, upTicks) == 90, "DetectorState.upTicks");
LB_STATIC_ASSERT(offsetof(LbDetectorState, downTicks) == 92, "DetectorState.downTicks");
LB_STATIC_ASSERT(offsetof(LbDetectorState, hasPressure) == 94, "DetectorState.hasPressure");
LB_STATIC_ASSERT(offsetof(LbDetectorState, rawTicks) == 96, "DetectorState.rawTicks");
LB_STATIC_ASSERT(offsetof(LbDetectorState, mode) == 98, "DetectorState.mode");
LB_STATIC_ASSERT(offsetof(LbDetectorState, missedValve) == 99, "DetectorState.missedValve");
LB_STATIC_ASSERT(offsetof(LbDetectorState, frameSettled) == 100, "DetectorState.frameSettled");
LB_STATIC_ASSERT(offsetof(LbDetectorState, doubt) == 101, "DetectorState.doubt");
LB_STATIC_ASSERT(offsetof(LbDetectorState, isDoubtLate) == 102, "DetectorState.isDoubtLate");
LB_STATIC_ASSERT(offsetof(LbDetectorState, spare) == 103, "DetectorState.spare");

/* State of a row's valve pair. */
typedef struct {
  float needN; /* Distance of the error from the deadband: the queue serves the largest first [newton] */
  float stepKpaPerTick; /* Expected pressure change per open tick of the pulse for the present wish, at gain 1 [kilopascal] */
  float expectedKpa; /* Expected pressure change of the last pulse at gain 1, as a magnitude [kilopascal] */
  uint16_t restTicks; /* Remaining rest time after the last pulse [tick] */
  uint16_t deadTicks; /* Remaining dead time after the last close [tick] */
  uint16_t settleTicks; /* Remaining time until the pressure step of the last pulse is read [tick] */
  uint8_t openWish; /* Wish for which the open valve was opened, hold if none is open [none] */
  uint8_t learnWish; /* Wish of the pulse from which the gain is to be learned [none] */
  uint8_t flowWish; /* Wish of the pulse whose oil flows: from the end of its opening stroke to the end of its closing stroke [none] */
  uint8_t suspectPulse; /* 1 if the present or last pulse seems to pass no oil and has not been judged [none] */
  uint16_t spare; /* Unused, 0 [none] */
} LbPairState;
LB_STATIC_ASSERT(sizeof(LbPairState) == 24, "PairState");
LB_STATIC_ASSERT(offsetof(LbPairState, needN) == 0, "PairState.needN");
LB_STATIC_ASSERT(offsetof(LbPairState, stepKpaPerTick) == 4, "PairState.stepKpaPerTick");
LB_STATIC_ASSERT(offsetof(LbPairState, expectedKpa) == 8, "PairState.expectedKpa");
LB_STATIC_ASSERT(offsetof(LbPairState, restTicks) == 12, "PairState.restTicks");
LB_STATIC_ASSERT(offsetof(LbPairState, deadTicks) == 14, "PairState.deadTicks");
LB_STATIC_ASSERT(offsetof(LbPairState, settleTicks) == 16, "PairState.settleTicks");
LB_STATIC_ASSERT(offsetof(LbPairState, openWish) == 18, "PairState.openWish");
LB_STATIC_ASSERT(offsetof(LbPairState, learnWish) == 19, "PairState.learnWish");
LB_STATIC_ASSERT(offsetof(LbPairState, flowWish) == 20, "PairState.flowWish");
LB_STATIC_ASSERT(offsetof(LbPairState, suspectPulse) == 21, "PairState.suspectPulse");
LB_STATIC_ASSERT(offsetof(LbPairState, spare) == 22, "PairState.spare");

/* State of a latching valve as the controller believes it. */
typedef struct {
  float gain; /* Learned flow divided by configured flow [ratio] */
  float covariance; /* Covariance of the learned gain, 1/kPa² [none] */
  float missedMl; /* Oil that the consecutive pulses should have passed that passed none [millilitre] */
  uint32_t quietTicks; /* Time since the last stroke; saturates [tick] */
  uint16_t openTicks; /* Time since the opening stroke began; saturates [tick] */
  uint16_t coilTicks; /* Remaining time of the present stroke [tick] */
  uint16_t waitTicks; /* Time for which the request has waited; saturates [tick] */
  uint16_t repeats; /* Number of repeats of the last closing stroke on suspicion; saturates [none] */
  uint8_t belief; /* Believed position [none] */
  uint8_t coil; /* Present stroke [none] */
  uint8_t request; /* Stroke requested from the queue [none] */
  uint8_t missedOpens; /* Consecutive missed opening strokes [none] */
  uint8_t stuck; /* Where the valve is stuck [none] */
  uint8_t suspected; /* 1 while such a repeat is requested [none] */
  uint16_t spare; /* Unused, 0 [none] */
} LbValveState;
LB_STATIC_ASSERT(sizeof(LbValveState) == 32, "ValveState");
LB_STATIC_ASSERT(offsetof(LbValveState, gain) == 0, "ValveState.gain");
LB_STATIC_ASSERT(offsetof(LbValveState, covariance) == 4, "ValveState.covariance");
LB_STATIC_ASSERT(offsetof(LbValveState, missedMl) == 8, "ValveState.missedMl");
LB_STATIC_ASSERT(offsetof(LbValveState, quietTicks) == 12, "ValveState.quietTicks");
LB_STATIC_ASSERT(offsetof(LbValveState, openTicks) == 16, "ValveState.openTicks");
LB_STATIC_ASSERT(offsetof(LbValveState, coilTicks) == 18, "ValveState.coilTicks");
LB_STATIC_ASSERT(offsetof(LbValveState, waitTicks) == 20, "ValveState.waitTicks");
LB_STATIC_ASSERT(offsetof(LbValveState, repeats) == 22, "ValveState.repeats");
LB_STATIC_ASSERT(offsetof(LbValveState, belief) == 24, "ValveState.belief");
LB_STATIC_ASSERT(offsetof(LbValveState, coil) == 25, "ValveState.coil");
LB_STATIC_ASSERT(offsetof(LbValveState, request) == 26, "ValveState.request");
LB_STATIC_ASSERT(offsetof(LbValveState, missedOpens) == 27, "ValveState.missedOpens");
LB_STATIC_ASSERT(offsetof(LbValveState, stuck) == 28, "ValveState.stuck");
LB_STATIC_ASSERT(offsetof(LbValveState, suspected) == 29, "ValveState.suspected");
LB_STATIC_ASSERT(offsetof(LbValveState, spare) == 30, "ValveState.spare");

/* Faults of a bank or of a row. */
typedef struct {
  uint32_t faults; /* Faults that are set [bits] */
  uint32_t pending; /* Faults whose timer is running [bits] */
} LbFaultState;
LB_STATIC_ASSERT(sizeof(LbFaultState) == 8, "FaultState");
LB_STATIC_ASSERT(offsetof(LbFaultState, faults) == 0, "FaultState.faults");
LB_STATIC_ASSERT(offsetof(LbFaultState, pending) == 4, "FaultState.pending");

/* Debounce and recovery timer of a fault. */
typedef struct {
  uint16_t ticks; /* Time for which condition and fault have differed [tick] */
} LbFaultTimer;
LB_STATIC_ASSERT(sizeof(LbFaultTimer) == 2, "FaultTimer");
LB_STATIC_ASSERT(offsetof(LbFaultTimer, ticks) == 0, "FaultTimer.ticks");

/* Addresses of the records in linear memory. */
#define LB_PARAMETERS_AT 16u /* 1 × LbParameters */
#define LB_CHANNEL_SETTING_AT 524u /* 4 × LbChannelSetting */
#define LB_COEFFICIENTS_AT 700u /* 1 × LbCoefficients */
#define LB_BANK_FAULT_SETTING_AT 1044u /* 13 × LbFaultSetting */
#define LB_ROW_FAULT_SETTING_AT 1096u /* 29 × LbFaultSetting */
#define LB_ACCEPTED_PARAMETERS_AT 1212u /* 1 × LbParameters */
#define LB_BANK_INPUT_AT 1720u /* 1 × LbBankInput */
#define LB_ROW_INPUT_AT 1740u /* 48 × LbRowInput */
#define LB_BANK_OUTPUT_AT 2316u /* 1 × LbBankOutput */
#define LB_ROW_OUTPUT_AT 2324u /* 48 × LbRowOutput */
#define LB_BANK_PROBE_AT 2708u /* 1 × LbBankProbe */
#define LB_ROW_PROBE_AT 2752u /* 48 × LbRowProbe */
#define LB_BANK_STATE_AT 11008u /* 1 × LbBankState */
#define LB_RAIL_STATE_AT 11068u /* 1 × LbChannelState */
#define LB_BANK_FAULTS_AT 11100u /* 1 × LbFaultState */
#define LB_BANK_FAULT_TIMER_AT 11108u /* 13 × LbFaultTimer */
#define LB_CHANNEL_STATE_AT 11136u /* 144 × LbChannelState, 772 bytes from row to row */
#define LB_ZERO_STATE_AT 11232u /* 48 × LbZeroState, 772 bytes from row to row */
#define LB_OFFSET_STATE_AT 11264u /* 48 × LbOffsetState, 772 bytes from row to row */
#define LB_CONTACT_STATE_AT 11296u /* 48 × LbContactState, 772 bytes from row to row */
#define LB_LOAD_MEDIAN_AT 11304u /* 48 × LbMedianState, 772 bytes from row to row */
#define LB_PRESSURE_MEDIAN_AT 11312u /* 48 × LbMedianState, 772 bytes from row to row */
#define LB_LUG_NOTCH_AT 11320u /* 48 × LbSecondOrderState, 772 bytes from row to row */
#define LB_LOAD_LOW_PASS_AT 11328u /* 48 × LbSecondOrderState, 772 bytes from row to row */
#define LB_PRESSURE_LOW_PASS_AT 11336u /* 48 × LbSecondOrderState, 772 bytes from row to row */
#define LB_LOOP_STATE_AT 11344u /* 48 × LbLoopState, 772 bytes from row to row */
#define LB_PREDICTOR_AT 11368u /* 48 × LbPredictorState, 772 bytes from row to row */
#define LB_MOTION_BAND_AT 11444u /* 48 × LbBandState, 772 bytes from row to row */
#define LB_PRESSURE_BAND_AT 11456u /* 48 × LbBandState, 772 bytes from row to row */
#define LB_INERTIA_BAND_AT 11468u /* 48 × LbBandState, 772 bytes from row to row */
#define LB_LOAD_BAND_AT 11480u /* 48 × LbBandState, 772 bytes from row to row */
#define LB_MOTION_AT 11492u /* 48 × LbMotionState, 772 bytes from row to row */
#define LB_PREVIEW_AT 11548u /* 48 × LbPreviewState, 772 bytes from row to row */
#define LB_DETECTOR_AT 11648u /* 48 × LbDetectorState, 772 bytes from row to row */
#define LB_PAIR_STATE_AT 11752u /* 48 × LbPairState, 772 bytes from row to row */
#define LB_VALVE_STATE_AT 11776u /* 96 × LbValveState, 772 bytes from row to row */
#define LB_ROW_FAULTS_AT 11840u /* 48 × LbFaultState, 772 bytes from row to row */
#define LB_ROW_FAULT_TIMER_AT 11848u /* 1392 × LbFaultTimer, 772 bytes from row to row */

enum {
  LB_VALVE_SUPPLY = 0,
  LB_VALVE_RETURN = 1,
};

enum {
  LB_ORDER_NONE = 0,
  LB_ORDER_OPEN = 1,
  LB_ORDER_CLOSE = 2,
};

enum {
  LB_BELIEF_UNKNOWN = 0,
  LB_BELIEF_CLOSED = 1,
  LB_BELIEF_OPEN = 2,
};

enum {
  LB_WISH_HOLD = 0,
  LB_WISH_RAISE = 1,
  LB_WISH_LOWER = 2,
};

enum {
  LB_STRATEGY_THRESHOLD = 0,
  LB_STRATEGY_CASCADE = 1,
  LB_STRATEGY_PREDICTIVE = 2,
};

enum {
  LB_BANK_MODE_REFUSED = 0,
  LB_BANK_MODE_STARTING = 1,
  LB_BANK_MODE_IDLE = 2,
  LB_BANK_MODE_LIFTED = 3,
  LB_BANK_MODE_WORKING = 4,
  LB_BANK_MODE_LOW_SUPPLY = 5,
  LB_BANK_MODE_SHUT_DOWN = 6,
  LB_BANK_MODE_POWER_LOST = 7,
};

enum {
  LB_ROW_MODE_STARTING = 0,
  LB_ROW_MODE_OFF = 1,
  LB_ROW_MODE_HOLDING = 2,
  LB_ROW_MODE_WORKING = 3,
  LB_ROW_MODE_FROZEN = 4,
  LB_ROW_MODE_VENTING = 5,
  LB_ROW_MODE_LOWERING = 6,
};

enum {
  LB_DETECTOR_MODE_OFF = 0,
  LB_DETECTOR_MODE_CLOSED = 1,
  LB_DETECTOR_MODE_RAISING = 2,
  LB_DETECTOR_MODE_LOWERING = 3,
};

enum {
  LB_STUCK_NONE = 0,
  LB_STUCK_OPEN = 1,
  LB_STUCK_CLOSED = 2,
};

enum {
  LB_MISSED_VALVE_NONE = 0,
  LB_MISSED_VALVE_SUPPLY = 1,
  LB_MISSED_VALVE_RETURN = 2,
};

enum {
  LB_ZERO_RESULT_NONE = 0,
  LB_ZERO_RESULT_ACCEPTED = 1,
  LB_ZERO_RESULT_NOISY = 2,
  LB_ZERO_RESULT_IMPLAUSIBLE = 3,
};

enum {
  LB_CHANNEL_LOAD = 0,
  LB_CHANNEL_PRESSURE = 1,
  LB_CHANNEL_ACCELERATION = 2,
  LB_CHANNEL_RAIL = 3,
};

/* Faults, as bits. */
#define LB_BANK_FAULT_RAIL_SHORT (1u << 0) /* FMI 4: Rail pressure: signal at ground, or sensor without supply */
#define LB_BANK_FAULT_RAIL_OPEN (1u << 1) /* FMI 3: Rail pressure: signal at the sensor supply, or wire broken (input pulled up) */
#define LB_BANK_FAULT_RAIL_RANGE (1u << 2) /* FMI 2: Rail pressure: signal outside the sensor's range, but neither short nor open */
#define LB_BANK_FAULT_RAIL_FROZEN (1u << 3) /* FMI 12: Rail pressure: ADC counts unchanged for longer than frozenMs while a related signal moved */
#define LB_BANK_FAULT_RAIL_RATE (1u << 4) /* FMI 10: Rail pressure: repeated steps faster than the sensor can follow, or an intermittent connection */
#define LB_BANK_FAULT_TARGET_INVALID (1u << 5) /* FMI 19: Target load is NaN, negative or above targetMaxN */
#define LB_BANK_FAULT_TEMPERATURE_INVALID (1u << 6) /* FMI 19: Oil temperature is NaN or outside -50 to 150 °C; warm-oil flow is assumed */
#define LB_BANK_FAULT_SPEED_INVALID (1u << 7) /* FMI 19: Ground speed is above the valid range of its message; the lug notch is off */
#define LB_BANK_FAULT_SUPPLY_LOW (1u << 8) /* FMI 18: Supply voltage below supplyLowMv: no valve is opened, open valves are closed */
#define LB_BANK_FAULT_SUPPLY_CRITICAL (1u << 9) /* FMI 1: Supply voltage below supplyCriticalMv: only a reservoir can pay for closing strokes */
#define LB_BANK_FAULT_RESERVOIR_LOW (1u << 10) /* FMI 18: The reservoir capacitor stores too little energy for the closing strokes still needed plus one pulse (an opening and a closing stroke) */
#define LB_BANK_FAULT_RAIL_LOW (1u << 11) /* FMI 18: Rail pressure below railLowKpa: chamber pressure may not rise as requested */
#define LB_BANK_FAULT_PARAMETER_REFUSED (1u << 12) /* FMI 13: configure() refused a parameter; valves are closed and never opened */
#define LB_ROW_FAULT_LOAD_SHORT (1u << 0) /* FMI 4: Gauge-wheel load: signal at ground, or sensor without supply */
#define LB_ROW_FAULT_LOAD_OPEN (1u << 1) /* FMI 3: Gauge-wheel load: signal at the sensor supply, or wire broken (input pulled up) */
#define LB_ROW_FAULT_LOAD_RANGE (1u << 2) /* FMI 2: Gauge-wheel load: signal outside the sensor's range, but neither short nor open */
#define LB_ROW_FAULT_LOAD_FROZEN (1u << 3) /* FMI 12: Gauge-wheel load: ADC counts unchanged for longer than frozenMs while a related signal moved */
#define LB_ROW_FAULT_LOAD_RATE (1u << 4) /* FMI 10: Gauge-wheel load: repeated steps faster than the sensor can follow, or an intermittent connection */
#define LB_ROW_FAULT_PRESSURE_SHORT (1u << 5) /* FMI 4: Chamber pressure: signal at ground, or sensor without supply */
#define LB_ROW_FAULT_PRESSURE_OPEN (1u << 6) /* FMI 3: Chamber pressure: signal at the sensor supply, or wire broken (input pulled up) */
#define LB_ROW_FAULT_PRESSURE_RANGE (1u << 7) /* FMI 2: Chamber pressure: signal outside the sensor's range, but neither short nor open */
#define LB_ROW_FAULT_PRESSURE_FROZEN (1u << 8) /* FMI 12: Chamber pressure: ADC counts unchanged for longer than frozenMs while a related signal moved */
#define LB_ROW_FAULT_PRESSURE_RATE (1u << 9) /* FMI 10: Chamber pressure: repeated steps faster than the sensor can follow, or an intermittent connection */
#define LB_ROW_FAULT_ACCELERATION_SHORT (1u << 10) /* FMI 4: Row accelerometer: signal at ground, or sensor without supply */
#define LB_ROW_FAULT_ACCELERATION_OPEN (1u << 11) /* FMI 3: Row accelerometer: signal at the sensor supply, or wire broken (input pulled up) */
#define LB_ROW_FAULT_ACCELERATION_RANGE (1u << 12) /* FMI 2: Row accelerometer: signal outside the sensor's range, but neither short nor open */
#define LB_ROW_FAULT_ACCELERATION_FROZEN (1u << 13) /* FMI 12: Row accelerometer: ADC counts unchanged for longer than frozenMs while a related signal moved */
#define LB_ROW_FAULT_ACCELERATION_RATE (1u << 14) /* FMI 10: Row accelerometer: repeated steps faster than the sensor can follow, or an intermittent connection */
#define LB_ROW_FAULT_ZERO_NOISY (1u << 15) /* FMI 2: Every re-zero of the lift so far was refused, the last one because the load varied too much; the last zero is kept */
#define LB_ROW_FAULT_ZERO_IMPLAUSIBLE (1u << 16) /* FMI 13: Every re-zero of the lift so far was refused, the last one because it was more than zeroStepN from the last zero, or beyond zeroLimitN; the last zero is kept */
#define LB_ROW_FAULT_SUPPLY_MISSED (1u << 17) /* FMI 7: A stroke did not move the supply valve: a missed closing stroke has been repeated; the pulse of a missed opening stroke has been ended */
#define LB_ROW_FAULT_RETURN_MISSED (1u << 18) /* FMI 7: A stroke did not move the return valve: a missed closing stroke has been repeated; the pulse of a missed opening stroke has been ended */
#define LB_ROW_FAULT_SUPPLY_STUCK (1u << 19) /* FMI 7: The supply valve missed strokeTries consecutive strokes. Open: it gets a closing stroke every retryS, and the fault clears once the pressure proves that one has closed it. Closed: it gets a trial pulse now and then */
#define LB_ROW_FAULT_RETURN_STUCK (1u << 20) /* FMI 7: The return valve missed strokeTries consecutive strokes. Open: it gets a closing stroke every retryS, and the fault clears once the pressure proves that one has closed it. Closed: it gets a trial pulse now and then */
#define LB_ROW_FAULT_LEAK (1u << 21) /* FMI 7: More than leakMlPerMin flows into or out of the chamber with both valves closed */
#define LB_ROW_FAULT_LOAD_HIGH (1u << 22) /* FMI 16: The load sensor reads more than pressure and weight can produce, or too much while the wheels are off the ground; an accepted zero clears it */
#define LB_ROW_FAULT_LOAD_LOW (1u << 23) /* FMI 18: The load sensor has read below zero; an accepted zero clears it */
#define LB_ROW_FAULT_ACCELERATION_IMPLAUSIBLE (1u << 24) /* FMI 2: The accelerometer contradicts the pressure: the row is controlled as one without */
#define LB_ROW_FAULT_LOAD_IMPLAUSIBLE (1u << 25) /* FMI 2: The load does not follow the forces that accelerometer and pressure agree on */
#define LB_ROW_FAULT_PRECHARGE_LOW (1u << 26) /* FMI 18: The accumulator has lost more than a third of its gas: the pressure follows the motion of the row too closely */
#define LB_ROW_FAULT_SOIL_AHEAD_INVALID (1u << 27) /* FMI 19: The expected change of the soil is NaN or beyond soilAheadMaxN: the row is controlled without it */
#define LB_ROW_FAULT_SOIL_AHEAD_WRONG (1u << 28) /* FMI 2: The load does not follow the expected changes of the soil: the row is controlled without them */

/* X(number, name, type, min, max, default) for every parameter. */
#define LB_PARAMETERS(X) \
  X(1, tickHz, uint32_t, 500, 2000, 1000) \
  X(2, strategy, uint32_t, 0, 2, 2) \
  X(3, targetMaxN, float, 100, 10000, 3000) \
  X(4, liftS, float, 0, 20, 2.5) \
  X(5, liftDebounceMs, float, 0, 1000, 50) \
  X(6, adcFullScaleCounts, uint32_t, 256, 65535, 4096) \
  X(7, loadAtTenPercentN, float, -5000, 5000, -500) \
  X(8, loadAtNinetyPercentN, float, 100, 20000, 4500) \
  X(9, pressureAtTenPercentKpa, float, -100, 5000, 0) \
  X(10, pressureAtNinetyPercentKpa, float, 1000, 60000, 25000) \
  X(11, accelerationFitted, uint32_t, 0, 1, 0) \
  X(12, railFitted, uint32_t, 0, 1, 1) \
  X(13, temperatureFitted, uint32_t, 0, 1, 1) \
  X(14, speedFitted, uint32_t, 0, 1, 1) \
  X(15, reservoirVoltageFitted, uint32_t, 0, 1, 1) \
  X(16, accelerationAtTenPercentMps2, float, -500, 0, -50) \
  X(17, accelerationAtNinetyPercentMps2, float, 1, 500, 50) \
  X(18, railAtTenPercentKpa, float, -100, 5000, 0) \
  X(19, railAtNinetyPercentKpa, float, 1000, 60000, 25000) \
  X(20, shortRatio, float, 0.005, 0.09, 0.05) \
  X(21, openRatio, float, 0.91, 0.995, 0.95) \
  X(22, rangeMarginRatio, float, 0.001, 0.09, 0.02) \
  X(23, frozenMs, float, 0, 3000, 150) \
  X(24, loadRateNPerMs, float, 1, 10000, 250) \
  X(25, pressureRateKpaPerMs, float, 1, 20000, 1500) \
  X(26, accelerationRateMps2PerMs, float, 1, 1000, 80) \
  X(27, railRateKpaPerMs, float, 1, 20000, 1500) \
  X(28, rateHoldMs, float, 1, 1000, 20) \
  X(29, liftSettleMs, float, 0, 10000, 600) \
  X(30, zeroWindowMs, float, 20, 5000, 400) \
  X(31, zeroSpreadN, float, 1, 1000, 60) \
  X(32, zeroStepN, float, 1, 5000, 150) \
  X(33, zeroLimitN, float, 1, 5000, 400) \
  X(34, loadFilterHz, float, 0.5, 50, 3) \
  X(35, pressureFilterHz, float, 0.5, 100, 12) \
  X(36, lugNotch, uint32_t, 0, 1, 0) \
  X(37, lugPitchM, float, 0.02, 1, 0.15) \
  X(38, lugNotchQ, float, 0.5, 20, 2) \
  X(39, loadProportionalKpaPerN, float, 0, 20, 1.5) \
  X(40, loadIntegralKpaPerNS, float, 0, 50, 12) \
  X(41, integralDeadbandN, float, 0, 500, 20) \
  X(42, setPointRateKpaPerS, float, 10, 50000, 20000) \
  X(43, setPointMaxKpa, float, 500, 40000, 12000) \
  X(44, movingMassKg, float, 5, 2000, 105) \
  X(45, loadLagHz, float, 0.2, 200, 5) \
  X(46, loadTrend1Weight, float, -50, 50, -0.18) \
  X(47, loadTrend2Weight, float, -50, 50, 0.58) \
  X(48, loadTrend3Weight, float, -50, 50, -1.09) \
  X(49, loadTrend4Weight, float, -50, 50, 1.47) \
  X(50, pressureTrend1Weight, float, -50, 50, -0.27) \
  X(51, pressureTrend2Weight, float, -50, 50, -0.03) \
  X(52, pressureTrend3Weight, float, -50, 50, -2.4) \
  X(53, pressureTrend4Weight, float, -50, 50, 4.92) \
  X(54, inertia1Weight, float, -50, 50, -1.22) \
  X(55, inertia2Weight, float, -50, 50, -0.06) \
  X(56, inertia3Weight, float, -50, 50, 0.02) \
  X(57, inertia4Weight, float, -50, 50, 0.2) \
  X(58, inertia5Weight, float, -50, 50, -0.04) \
  X(59, noAccelLoadTrend1Weight, float, -50, 50, -0.13) \
  X(60, noAccelLoadTrend2Weight, float, -50, 50, 0.19) \
  X(61, noAccelLoadTrend3Weight, float, -50, 50, -1.73) \
  X(62, noAccelLoadTrend4Weight, float, -50, 50, 0.66) \
  X(63, noAccelPressureTrend1Weight, float, -50, 50, -0.49) \
  X(64, noAccelPressureTrend2Weight, float, -50, 50, 0.45) \
  X(65, noAccelPressureTrend3Weight, float, -50, 50, -0.03) \
  X(66, noAccelPressureTrend4Weight, float, -50, 50, -8.42) \
  X(67, soilAheadFitted, uint32_t, 0, 1, 0) \
  X(68, soilAheadMaxN, float, 50, 20000, 2000) \
  X(69, soilAheadWeight, float, 0, 1, 0.45) \
  X(70, deadbandMode, uint32_t, 0, 1, 1) \
  X(71, deadbandN, float, 1, 1000, 40) \
  X(72, deadbandSigmas, float, 0.5, 6, 2.1) \
  X(73, deadbandMinN, float, 1, 1000, 80) \
  X(74, deadbandMaxN, float, 1, 1000, 130) \
  X(75, pulsesPerMinBudget, float, 1, 5000, 250) \
  X(76, hysteresisRatio, float, 0, 0.9, 0.3) \
  X(77, pulseEndRatio, float, 0, 0.9, 0.12) \
  X(78, noiseTimeS, float, 0.5, 60, 5) \
  X(79, capAreaCm2, float, 0.5, 50, 4.909) \
  X(80, linkageRatio, float, 0.05, 2, 0.45) \
  X(81, accumulatorMl, float, 10, 5000, 320) \
  X(82, prechargeAbsoluteKpa, float, 150, 20000, 1200) \
  X(83, gasExponent, float, 1, 1.67, 1.4) \
  X(84, gasThermalS, float, 0.1, 600, 6) \
  X(85, chamberOilMl, float, 1, 2000, 60) \
  X(86, bulkModulusMpa, float, 100, 3000, 1200) \
  X(87, valveFlowLpm, float, 0.2, 60, 8) \
  X(88, valveFlowDropKpa, float, 100, 30000, 10000) \
  X(89, railNominalKpa, float, 1000, 40000, 15000) \
  X(90, railLowKpa, float, 500, 40000, 8000) \
  X(91, returnKpa, float, 0, 2000, 200) \
  X(92, coldFlowRatio, float, 0.1, 1, 0.75) \
  X(93, strokeMs, float, 1, 20, 2) \
  X(94, deadMs, float, 0, 100, 2) \
  X(95, minPulseMs, float, 1, 100, 3) \
  X(96, maxPulseMs, float, 10, 5000, 1000) \
  X(97, restMs, float, 0, 2000, 30) \
  X(98, settleMs, float, 0, 500, 25) \
  X(99, gainLearning, uint32_t, 0, 1, 1) \
  X(100, gainForgetting, float, 0.8, 1, 0.98) \
  X(101, gainMin, float, 0.05, 1, 0.2) \
  X(102, gainMax, float, 1, 10, 4) \
  X(103, learnMinKpa, float, 1, 1000, 50) \
  X(104, missedStrokeDetection, uint32_t, 0, 1, 1) \
  X(105, missedKpa, float, 2, 2000, 16) \
  X(106, proofMl, float, 1, 500, 30) \
  X(107, missedNoAccelKpa, float, 2, 5000, 1000) \
  X(108, suspectKpa, float, 2, 5000, 200) \
  X(109, missedWindowMs, float, 10, 5000, 400) \
  X(110, strokeTries, uint32_t, 1, 8, 4) \
  X(111, retryS, float, 0.05, 60, 1) \
  X(112, leakMlPerMin, float, 10, 5000, 80) \
  X(113, freeLoadMaxN, float, -5000, 10000, 200) \
  X(114, belowZeroN, float, 1, 5000, 60) \
  X(115, strokesAtOnce, uint32_t, 1, 96, 4) \
  X(116, slotCount, uint32_t, 1, 16, 1) \
  X(117, slotPhase, uint32_t, 0, 15, 0) \
  X(118, relatchS, float, 1, 3600, 60) \
  X(119, strokeMj, float, 1, 2000, 50) \
  X(120, reservoirUf, float, 0, 1000000, 0) \
  X(121, reservoirLoadW, float, 0, 100, 0) \
  X(122, strokeMinMv, float, 1000, 30000, 8000) \
  X(123, supplyLowMv, float, 1000, 60000, 9500) \
  X(124, supplyCriticalMv, float, 500, 60000, 7500) \
  X(125, shutDownVent, uint32_t, 0, 1, 0) \
  X(126, ventToKpa, float, 0, 10000, 300) \
  X(127, ventMs, float, 10, 5000, 2000) \


/* X(address, bytes for the bank, bytes per row) for every range of a state hash. */
#define LB_HASHED_PIECES(X) \
  X(2316u, 8u, 0u) \
  X(2324u, 0u, 8u) \
  X(2708u, 44u, 0u) \
  X(2752u, 0u, 172u) \
  X(11008u, 60u, 0u) \
  X(11068u, 32u, 0u) \
  X(11100u, 8u, 0u) \
  X(11108u, 26u, 0u) \
  X(11136u, 0u, 772u) \


#endif
