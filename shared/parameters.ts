import type { UnitName } from './units.js';

/**
 * Every setting of the controller. A parameter's number is its position in this list, counted from 1; `configure()` returns
 * it when it refuses the value. Names end in their unit. Pressures are gauge unless the name says absolute. Defaults suit the
 * default machine (an engineering estimate, not data of any product).
 */
export interface Parameter {
  readonly name: string;
  readonly group: string;
  readonly type: 'f32' | 'u32';
  readonly unit: UnitName;
  readonly min: number;
  readonly max: number;
  readonly default: number;
  /** Decimal places for display. */
  readonly decimals: number;
  readonly help: string;
  /** A change needs configure(): learned or accumulated state depends on it, or the harness. `reconfigure()` accepts all others. */
  readonly needsRestart?: true;
  /** Names of the values 0, 1, … if the parameter is a choice. */
  readonly choices?: readonly string[];
}

type Ungrouped = Omit<Parameter, 'group'>;

const real = (name: string, unit: UnitName, min: number, max: number, defaultValue: number, decimals: number, help: string): Ungrouped => ({
  name,
  type: 'f32',
  unit,
  min,
  max,
  default: defaultValue,
  decimals,
  help,
});

const integer = (name: string, unit: UnitName, min: number, max: number, defaultValue: number, help: string): Ungrouped => ({
  ...real(name, unit, min, max, defaultValue, 0, help),
  type: 'u32',
});

const choice = (name: string, choices: readonly string[], defaultValue: number, help: string): Ungrouped => ({
  ...integer(name, 'none', 0, choices.length - 1, defaultValue, help),
  choices,
});

/** Bands of the predictor's trends, Hz. */
const LOAD_TRENDS = ['0.2 to 0.6', '0.6 to 2', '2 to 6', '6 to 12'];
const PRESSURE_TRENDS = LOAD_TRENDS;
/** Corners of the low-passes on the inertia force, Hz. */
const INERTIA_CORNERS = ['up to 0.2', 'up to 0.6', 'up to 2', 'up to 6', 'up to 12'];

/** One predictor weight per band, numbered from the slowest. */
const weights = (name: string, bands: readonly string[], of: string, defaults: readonly number[]): Ungrouped[] =>
  bands.map((band, index) =>
    real(`${name}${index + 1}Weight`, 'ratio', -50, 50, defaults[index] ?? 0, 3, `Predictor weight: ${of}, ${band} Hz`),
  );

const group = (name: string, ...some: Ungrouped[]): Parameter[] => some.map((one) => ({ group: name, ...one }));

const OFF_ON = ['off', 'on'] as const;

const restart = (one: Ungrouped): Ungrouped => ({ ...one, needsRestart: true });

// biome-ignore format: a table reads best with one parameter to a line
export const PARAMETERS: readonly Parameter[] = [
  ...group(
    'general',
    restart(integer('tickHz', 'hertz', 500, 2000, 1000, 'Controller ticks per second; times are rounded to ticks; strokes, pulses and rest times are rounded up')),
    restart(choice('strategy', ['threshold', 'cascade', 'predictive'], 2, 'How pulses are derived from the load error. threshold: a valve stays open until the load is inside the deadband; cascade: a load loop sets the target of a pressure loop, for rows without an accumulator; predictive: pulses correct the predicted load')),
    real('targetMaxN', 'newton', 100, 10000, 3000, 0, 'Largest valid target load'),
    real('liftS', 'second', 0, 20, 2.5, 1, 'Time for the frame to lift or to lower; the motion of the rows relative to the frame is unknown until it has come down'),
    real('liftDebounceMs', 'millisecond', 0, 1000, 50, 0, 'Time for which the lift switch must be steady before a change counts, in both directions'),
  ),
  ...group(
    'sensors',
    restart(integer('adcFullScaleCounts', 'count', 256, 65535, 4096, 'ADC counts at the full sensor supply (the ADC is referenced to that supply)')),
    restart(real('loadAtTenPercentN', 'newton', -5000, 5000, -500, 0, 'Load at 10 % of the sensor supply')),
    restart(real('loadAtNinetyPercentN', 'newton', 100, 20000, 4500, 0, 'Load at 90 % of the sensor supply')),
    restart(real('pressureAtTenPercentKpa', 'kilopascal', -100, 5000, 0, 0, 'Chamber pressure at 10 % of the sensor supply')),
    restart(real('pressureAtNinetyPercentKpa', 'kilopascal', 1000, 60000, 25000, 0, 'Chamber pressure at 90 % of the sensor supply')),
    restart(choice('accelerationFitted', OFF_ON, 0, 'Row accelerometer fitted')),
    restart(choice('railFitted', OFF_ON, 1, 'Rail pressure sensor fitted; off: railNominalKpa is used and the input ignored')),
    restart(choice('temperatureFitted', OFF_ON, 1, 'Oil temperature available; off: warm-oil flow is assumed and the input ignored')),
    restart(choice('speedFitted', OFF_ON, 1, 'Ground speed available; off: the lug notch is off and the input ignored')),
    restart(choice('reservoirVoltageFitted', OFF_ON, 1, 'Reservoir voltage measured; off: the input is ignored, and no stroke relies on the reservoir')),
    restart(real('accelerationAtTenPercentMps2', 'metrePerSecondSquared', -500, 0, -50, 1, 'Row acceleration at 10 % of the sensor supply, up positive')),
    restart(real('accelerationAtNinetyPercentMps2', 'metrePerSecondSquared', 1, 500, 50, 1, 'Row acceleration at 90 % of the sensor supply')),
    restart(real('railAtTenPercentKpa', 'kilopascal', -100, 5000, 0, 0, 'Rail pressure at 10 % of the sensor supply')),
    restart(real('railAtNinetyPercentKpa', 'kilopascal', 1000, 60000, 25000, 0, 'Rail pressure at 90 % of the sensor supply')),
    real('shortRatio', 'ratio', 0.005, 0.09, 0.05, 3, 'Fraction of the sensor supply below which the signal is a short to ground'),
    real('openRatio', 'ratio', 0.91, 0.995, 0.95, 3, 'Fraction of the sensor supply above which the signal is an open circuit (input pulled up)'),
    real('rangeMarginRatio', 'ratio', 0.001, 0.09, 0.02, 3, 'Margin outside 10 to 90 % of the sensor supply, beyond which a signal is out of range'),
    real('frozenMs', 'millisecond', 0, 3000, 150, 0, 'Time without a change of the ADC counts after which a sensor is frozen, if a related signal has moved meanwhile; 0 turns the check off'),
    real('loadRateNPerMs', 'newtonPerMillisecond', 1, 10000, 250, 0, 'Fastest load change that the damped sensor can follow'),
    real('pressureRateKpaPerMs', 'kilopascalPerMillisecond', 1, 20000, 1500, 0, 'Fastest plausible change of chamber pressure'),
    real('accelerationRateMps2PerMs', 'metrePerSecondSquaredPerMillisecond', 1, 1000, 80, 0, 'Fastest plausible change of acceleration'),
    real('railRateKpaPerMs', 'kilopascalPerMillisecond', 1, 20000, 1500, 0, 'Fastest plausible change of rail pressure'),
    real('rateHoldMs', 'millisecond', 1, 1000, 20, 0, 'Time for which a channel is treated as invalid after an implausible jump'),
  ),
  ...group(
    'zero',
    real('liftSettleMs', 'millisecond', 0, 10000, 600, 0, 'Time after the frame has lifted before a re-zero of the load sensor starts'),
    real('zeroWindowMs', 'millisecond', 20, 5000, 400, 0, 'Length of the window whose mean becomes the new zero'),
    real('zeroSpreadN', 'newton', 1, 1000, 60, 0, 'Largest spread (highest minus lowest load) of an accepted window'),
    real('zeroStepN', 'newton', 1, 5000, 150, 0, 'Largest accepted difference between a new zero and the last one'),
    real('zeroLimitN', 'newton', 1, 5000, 400, 0, 'Largest plausible zero'),
  ),
  ...group(
    'filter',
    real('loadFilterHz', 'hertz', 0.5, 50, 3, 1, 'Corner frequency of the second-order low-pass on the load'),
    real('pressureFilterHz', 'hertz', 0.5, 100, 12, 1, 'Corner frequency of the second-order low-pass on the chamber pressure'),
    choice('lugNotch', OFF_ON, 0, 'Notch filter on the load at the frequency of the tyre lugs, which follows ground speed'),
    real('lugPitchM', 'metre', 0.02, 1, 0.15, 3, 'Distance between tyre lugs; the notch frequency is ground speed divided by this distance'),
    real('lugNotchQ', 'ratio', 0.5, 20, 2, 1, 'Quality factor of the notch'),
  ),
  ...group(
    'load loop',
    real('loadProportionalKpaPerN', 'kilopascalPerNewton', 0, 20, 1.5, 2, 'Set point change per load error'),
    real('loadIntegralKpaPerNS', 'kilopascalPerNewtonSecond', 0, 50, 12, 2, 'Set point rate per load error'),
    real('integralDeadbandN', 'newton', 0, 500, 20, 0, 'Load errors up to this are not integrated, so that a row at rest does not hunt around its deadband'),
    real('setPointRateKpaPerS', 'kilopascalPerSecond', 10, 50000, 20000, 0, 'Fastest set point change'),
    real('setPointMaxKpa', 'kilopascal', 500, 40000, 12000, 0, 'Highest pressure set point'),
  ),
  ...group(
    'predictor',
    real('movingMassKg', 'kilogram', 5, 2000, 105, 0, 'Mass of the row unit with half its seed, from which its inertia force is computed; used if an accelerometer is fitted'),
    real('loadLagHz', 'hertz', 0.2, 200, 5, 1, "Corner frequency of the load sensor's lag"),
    ...weights('loadTrend', LOAD_TRENDS, 'load minus the pressure contribution', [-0.18, 0.58, -1.09, 1.47]),
    ...weights('pressureTrend', PRESSURE_TRENDS, 'pressure change not explained by metered oil, expressed as load', [-0.27, -0.03, -2.4, 4.92]),
    ...weights('inertia', INERTIA_CORNERS, 'inertia force', [-1.22, -0.06, 0.02, 0.2, -0.04]),
    ...weights('noAccelLoadTrend', LOAD_TRENDS, 'without an accelerometer, load minus the pressure contribution', [-0.13, 0.19, -1.73, 0.66]),
    ...weights('noAccelPressureTrend', PRESSURE_TRENDS, 'without an accelerometer, pressure change not explained by metered oil, expressed as load', [-0.49, 0.45, -0.03, -8.42]),
  ),
  ...group(
    'soil ahead',
    restart(choice('soilAheadFitted', OFF_ON, 0, 'A map or a leading sensor tells each row what soil comes; off: the input is ignored')),
    real('soilAheadMaxN', 'newton', 50, 20000, 2000, 0, 'Largest valid change of the opener force in soilAheadN, as a magnitude'),
    real('soilAheadWeight', 'ratio', 0, 1, 0.45, 2, 'Part of the expected change that joins the prediction with full trust'),
  ),
  ...group(
    'deadband',
    choice('deadbandMode', ['fixed', 'noise'], 1, "Fixed deadband, or a multiple of the error's noise"),
    real('deadbandN', 'newton', 1, 1000, 40, 0, 'Half width of the fixed deadband, expressed as load'),
    real('deadbandSigmas', 'ratio', 0.5, 6, 2.1, 1, "Deadband as a multiple of the error's standard deviation, in mode noise"),
    real('deadbandMinN', 'newton', 1, 1000, 80, 0, 'Smallest deadband in mode noise'),
    real('deadbandMaxN', 'newton', 1, 1000, 130, 0, 'Largest deadband in mode noise'),
    real('pulsesPerMinBudget', 'perMinute', 1, 5000, 250, 0, 'Pulses per minute and row, as a mean over the rows of the bank, above which all deadbands widen alike until the budget is kept'),
    real('hysteresisRatio', 'ratio', 0, 0.9, 0.3, 2, 'Fraction of the deadband by which the error must be inside it before the correction ends'),
    real('pulseEndRatio', 'ratio', 0, 0.9, 0.12, 2, 'Strategy predictive: fraction of the deadband that a pulse leaves uncorrected, which saves oil'),
    real('noiseTimeS', 'second', 0.5, 60, 5, 1, 'Time constant of the noise estimate'),
  ),
  ...group(
    'machine',
    restart(real('capAreaCm2', 'squareCentimetre', 0.5, 50, 4.909, 3, 'Piston area of the actuator')),
    restart(real('linkageRatio', 'ratio', 0.05, 2, 0.45, 3, 'Down force at the row per actuator force')),
    restart(real('accumulatorMl', 'millilitre', 10, 5000, 320, 0, 'Gas volume of the accumulator at precharge')),
    restart(real('prechargeAbsoluteKpa', 'kilopascal', 150, 20000, 1200, 0, 'Precharge pressure, absolute')),
    restart(real('gasExponent', 'ratio', 1, 1.67, 1.4, 2, 'Polytropic exponent of the gas during a pulse')),
    real('gasThermalS', 'second', 0.1, 600, 6, 1, 'Time constant of heat exchange between gas and wall'),
    restart(real('chamberOilMl', 'millilitre', 1, 2000, 60, 0, 'Oil volume in chamber and lines')),
    restart(real('bulkModulusMpa', 'megapascal', 100, 3000, 1200, 0, 'Bulk modulus of the oil, including entrained air')),
    restart(real('valveFlowLpm', 'litrePerMinute', 0.2, 60, 8, 1, 'Flow of one open valve at valveFlowDropKpa, warm oil')),
    restart(real('valveFlowDropKpa', 'kilopascal', 100, 30000, 10000, 0, 'Pressure drop at which valveFlowLpm is specified')),
    real('railNominalKpa', 'kilopascal', 1000, 40000, 15000, 0, 'Rail pressure assumed while its sensor has a fault'),
    real('railLowKpa', 'kilopascal', 500, 40000, 8000, 0, 'Rail pressure below which railLow is reported'),
    real('returnKpa', 'kilopascal', 0, 2000, 200, 0, 'Pressure in the return line'),
    real('coldFlowRatio', 'ratio', 0.1, 1, 0.75, 2, 'Valve flow at -15 °C as a fraction of the flow at +40 °C; linear in between'),
  ),
  ...group(
    'pulse',
    restart(real('strokeMs', 'millisecond', 1, 20, 2, 1, 'Time for which a coil is driven for one stroke')),
    real('deadMs', 'millisecond', 0, 100, 2, 1, 'Time after one valve of a pair has closed before the other may open'),
    real('minPulseMs', 'millisecond', 1, 100, 3, 1, 'Shortest time from opening to closing stroke; not below strokeMs'),
    real('maxPulseMs', 'millisecond', 10, 5000, 1000, 0, 'Longest time for which a valve stays open: a small valve needs about a second for a large change of the soil'),
    real('restMs', 'millisecond', 0, 2000, 30, 0, 'Time after a pulse before the pair may open again'),
    real('settleMs', 'millisecond', 0, 500, 25, 0, 'Time after a pulse before its pressure step is read'),
    choice('gainLearning', OFF_ON, 1, "Learn each valve's flow from the pressure steps of its pulses"),
    real('gainForgetting', 'ratio', 0.8, 1, 0.98, 3, 'Forgetting factor of the learned gain, per pulse'),
    real('gainMin', 'ratio', 0.05, 1, 0.2, 2, 'Smallest learned gain'),
    real('gainMax', 'ratio', 1, 10, 4, 1, 'Largest learned gain'),
    real('learnMinKpa', 'kilopascal', 1, 1000, 50, 0, 'Smallest expected pressure step from which a gain is learned'),
  ),
  ...group(
    'detector',
    choice('missedStrokeDetection', OFF_ON, 1, 'Detect missed strokes from the pressure and repeat them'),
    real('missedKpa', 'kilopascal', 2, 2000, 16, 0, 'With an accelerometer: unexplained pressure change, beyond the tolerated drift, that indicates a missed stroke'),
    real('proofMl', 'millilitre', 1, 500, 30, 0, 'With an accelerometer: oil that a valve should have passed, or not, from which on the pressure proves that it is stuck; more than the motion of row and frame can displace'),
    real('missedNoAccelKpa', 'kilopascal', 2, 5000, 1000, 0, 'Without an accelerometer, when row motion is unknown: expected pressure change that did not come, above which an opening stroke may be missed (for closing strokes: suspectKpa)'),
    real('suspectKpa', 'kilopascal', 2, 5000, 200, 0, 'Without an accelerometer: unexplained pressure change above which a closing stroke is repeated as a precaution'),
    real('missedWindowMs', 'millisecond', 10, 5000, 400, 0, 'Time after its closing stroke during which a valve is checked for a missed close'),
    integer('strokeTries', 'none', 1, 8, 4, 'Consecutive missed strokes after which a valve is stuck and its row holds'),
    real('retryS', 'second', 0.05, 60, 1, 1, 'Interval of the closing strokes of a stuck valve'),
    real('leakMlPerMin', 'millilitrePerMinute', 10, 5000, 80, 0, 'Flow through closed valves above which a leak is reported; 10 % of the metered flow is added to it (metering accuracy)'),
    real('freeLoadMaxN', 'newton', -5000, 10000, 200, 0, 'Largest plausible load without pressure: from the weight of the row alone, on soft soil; above it the load sensor reads too high'),
    real('belowZeroN', 'newton', 1, 5000, 60, 0, 'Load reading below zero, as a magnitude, beyond which the load sensor reads too low: a negative load is not physical'),
  ),
  ...group(
    'strokes',
    restart(integer('strokesAtOnce', 'none', 1, 96, 4, 'Maximum number of coils of a bank that are driven at the same time')),
    restart(integer('slotCount', 'none', 1, 16, 1, 'Number of banks that share one harness and take turns, each in its time slot; 1: not shared')),
    restart(integer('slotPhase', 'none', 0, 15, 0, "This bank's time slot, from 0 to slotCount - 1; slots are counted from configure(), so the banks must start together")),
    real('relatchS', 'second', 1, 3600, 60, 0, 'Time after which a closed valve gets another closing stroke (relatch); longer if relatching would otherwise use more than a quarter of the stroke queue'),
    real('strokeMj', 'millijoule', 1, 2000, 50, 0, 'Energy of one stroke'),
    restart(real('reservoirUf', 'microfarad', 0, 1000000, 0, 0, 'Reservoir capacitor that feeds the coils; 0: the supply feeds them directly, and valves stay where they are when it is lost')),
    real('reservoirLoadW', 'watt', 0, 100, 0, 1, 'Power that the reservoir supplies besides the coils; drawn while closing strokes wait for their turn'),
    real('strokeMinMv', 'millivolt', 1000, 30000, 8000, 0, 'Lowest reservoir voltage at which a stroke is reliable'),
  ),
  ...group(
    'supply',
    real('supplyLowMv', 'millivolt', 1000, 60000, 9500, 0, 'Supply voltage below which no valve is opened and open valves are closed'),
    real('supplyCriticalMv', 'millivolt', 500, 60000, 7500, 0, 'Supply voltage below which power is lost: only a reservoir pays for strokes then, and they close valves'),
    choice('shutDownVent', OFF_ON, 0, 'Chamber pressure on shut-down: off holds it, on vents it before the valves are closed; the same when power is lost and a reservoir pays for the strokes'),
    real('ventToKpa', 'kilopascal', 0, 10000, 300, 0, 'Chamber pressure at which venting ends'),
    real('ventMs', 'millisecond', 10, 5000, 2000, 0, 'Longest venting time'),
  ),
];

/** A rule between two parameters, which `configure()` and `reconfigure()` check after the limits. It returns the number of `left`. */
export interface Rule {
  readonly left: string;
  readonly is: '<' | '<=' | '>=';
  readonly right: string;
}

export const RULES: readonly Rule[] = [
  { left: 'loadAtTenPercentN', is: '<', right: 'loadAtNinetyPercentN' },
  { left: 'deadbandMinN', is: '<=', right: 'deadbandMaxN' },
  { left: 'pressureAtTenPercentKpa', is: '<', right: 'pressureAtNinetyPercentKpa' },
  { left: 'railAtTenPercentKpa', is: '<', right: 'railAtNinetyPercentKpa' },
  { left: 'minPulseMs', is: '>=', right: 'strokeMs' },
  { left: 'maxPulseMs', is: '>=', right: 'minPulseMs' },
  { left: 'setPointMaxKpa', is: '>=', right: 'prechargeAbsoluteKpa' },
  { left: 'slotPhase', is: '<', right: 'slotCount' },
  { left: 'supplyCriticalMv', is: '<=', right: 'supplyLowMv' },
];
