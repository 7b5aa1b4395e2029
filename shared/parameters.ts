import type { UnitName } from './units.js';

/**
 * Every setting of the controller. A parameter's number is its place in this list, counted from 1; `configure()`
 * answers with it when the value is refused. Names end in their unit. Pressures are gauge unless the name says
 * absolute. Defaults suit the default machine (an engineering estimate, no product's data).
 */
export interface Parameter {
  readonly name: string;
  readonly group: string;
  readonly type: 'f32' | 'u32';
  readonly unit: UnitName;
  readonly min: number;
  readonly max: number;
  readonly default: number;
  /** Digits after the point that are worth showing. */
  readonly decimals: number;
  readonly help: string;
  /** Names of the values 0, 1, … where the number is a choice. */
  readonly choices?: readonly string[];
}

type Ungrouped = Omit<Parameter, 'group'>;

const real = (name: string, unit: UnitName, min: number, max: number, byDefault: number, decimals: number, help: string): Ungrouped => ({
  name,
  type: 'f32',
  unit,
  min,
  max,
  default: byDefault,
  decimals,
  help,
});

const whole = (name: string, unit: UnitName, min: number, max: number, byDefault: number, help: string): Ungrouped => ({
  ...real(name, unit, min, max, byDefault, 0, help),
  type: 'u32',
});

const choice = (name: string, choices: readonly string[], byDefault: number, help: string): Ungrouped => ({
  ...whole(name, 'none', 0, choices.length - 1, byDefault, help),
  choices,
});

/** Between which corners, Hz, the predictor looks at what changes. */
const LOAD_TRENDS = ['0.2 and 0.6', '0.6 and 2', '2 and 6', '6 and 12'];
const PRESSURE_TRENDS = LOAD_TRENDS;
/** Up to which corner, Hz, it looks at the inertia force. */
const INERTIA_BANDS = ['0.2', '0.6', '2', '6', '12'];

/** One weight of the predictor for each band, numbered from the slowest. */
const weights = (name: string, bands: readonly string[], of: string, defaults: readonly number[]): Ungrouped[] =>
  bands.map((band, index) =>
    real(`${name}${index + 1}Weight`, 'ratio', -50, 50, defaults[index] ?? 0, 3, `Predictor weight: ${of}, ${band} Hz`),
  );

const group = (name: string, ...some: Ungrouped[]): Parameter[] => some.map((one) => ({ group: name, ...one }));

const OFF_ON = ['off', 'on'] as const;

// biome-ignore format: a table reads best with one parameter to a line
export const PARAMETERS: readonly Parameter[] = [
  ...group(
    'general',
    whole('tickHz', 'hertz', 500, 2000, 1000, 'Controller steps per second; times become whole ticks, strokes, pulses and rests never shorter than asked'),
    choice('strategy', ['threshold', 'cascade', 'predictive'], 2, 'How the load error becomes pulses: valve held open until the load is inside, load loop over pressure loop, or by the load expected for the next moments'),
    real('targetMaxN', 'newton', 100, 10000, 3000, 0, 'Largest target load that is believed'),
    real('liftS', 'second', 0, 30, 2.5, 1, 'Time that the frame takes to come down; so long the rows’ motion against it is not known'),
    real('lowerSettleMs', 'millisecond', 0, 5000, 300, 0, 'Time after lowering before control starts, so that the wheels stand on the ground'),
  ),
  ...group(
    'sensors',
    whole('adcFullScaleCounts', 'count', 256, 65535, 4096, 'Converter codes for the full sensor supply (converter referenced to that supply)'),
    real('loadAtTenPercentN', 'newton', -5000, 5000, -500, 0, 'Load at 10 % of the sensor supply'),
    real('loadAtNinetyPercentN', 'newton', 100, 20000, 4500, 0, 'Load at 90 % of the sensor supply'),
    real('pressureAtTenPercentKpa', 'kilopascal', -100, 5000, 0, 0, 'Chamber pressure at 10 % of the sensor supply'),
    real('pressureAtNinetyPercentKpa', 'kilopascal', 1000, 60000, 25000, 0, 'Chamber pressure at 90 % of the sensor supply'),
    choice('accelerationFitted', OFF_ON, 0, 'Row accelerometer fitted'),
    real('accelerationAtTenPercentMps2', 'metrePerSecondSquared', -500, 0, -50, 1, 'Row acceleration at 10 % of the sensor supply, up positive'),
    real('accelerationAtNinetyPercentMps2', 'metrePerSecondSquared', 1, 500, 50, 1, 'Row acceleration at 90 % of the sensor supply'),
    real('railAtTenPercentKpa', 'kilopascal', -100, 5000, 0, 0, 'Rail pressure at 10 % of the sensor supply'),
    real('railAtNinetyPercentKpa', 'kilopascal', 1000, 60000, 25000, 0, 'Rail pressure at 90 % of the sensor supply'),
    real('shortRatio', 'ratio', 0.005, 0.09, 0.05, 3, 'Below this share of the sensor supply the signal counts as shorted to ground'),
    real('openRatio', 'ratio', 0.91, 0.995, 0.95, 3, 'Above this share of the sensor supply the wire counts as open (input pulled up)'),
    real('rangeMarginRatio', 'ratio', 0.001, 0.09, 0.02, 3, 'How far outside 10 to 90 % a signal may stand before it is out of range'),
    real('frozenMs', 'millisecond', 0, 20000, 31, 0, 'The same code for this long means a frozen sensor; 0 turns the check off'),
    real('loadRateNPerMs', 'newtonPerMillisecond', 1, 10000, 250, 0, 'Fastest load change that the damped sensor can show'),
    real('pressureRateKpaPerMs', 'kilopascalPerMillisecond', 1, 20000, 1500, 0, 'Fastest chamber pressure change that is believed'),
    real('accelerationRateMps2PerMs', 'metrePerSecondSquaredPerMillisecond', 1, 1000, 80, 0, 'Fastest change of acceleration that is believed'),
    real('railRateKpaPerMs', 'kilopascalPerMillisecond', 1, 20000, 1500, 0, 'Fastest rail pressure change that is believed'),
    real('rateHoldMs', 'millisecond', 1, 1000, 20, 0, 'A channel stays suspect for this long after an impossible jump'),
  ),
  ...group(
    'zero',
    real('liftSettleMs', 'millisecond', 0, 10000, 600, 0, 'Time after lifting before the load sensor is looked at for its zero'),
    real('zeroWindowMs', 'millisecond', 20, 5000, 400, 0, 'Length of the window whose mean becomes the new zero'),
    real('zeroSpreadN', 'newton', 1, 1000, 60, 0, 'Largest spread (highest minus lowest) in a window that counts as quiet'),
    real('zeroStepN', 'newton', 1, 5000, 150, 0, 'Largest distance of a new zero from the last one'),
    real('zeroLimitN', 'newton', 1, 5000, 400, 0, 'Largest zero that is plausible at all'),
  ),
  ...group(
    'filter',
    real('loadFilterHz', 'hertz', 0.5, 50, 3, 1, 'Corner of the second-order low-pass on the load'),
    real('pressureFilterHz', 'hertz', 0.5, 100, 12, 1, 'Corner of the second-order low-pass on the chamber pressure'),
    choice('lugNotch', OFF_ON, 0, 'Notch on the load at the frequency of the tyre lugs, following ground speed'),
    real('lugPitchM', 'metre', 0.02, 1, 0.15, 3, 'Distance between lugs; notch frequency is speed over pitch'),
    real('lugNotchQ', 'ratio', 0.5, 20, 2, 1, 'Quality of the notch'),
  ),
  ...group(
    'load loop',
    real('loadProportionalKpaPerN', 'kilopascalPerNewton', 0, 20, 1.5, 2, 'Set point change per load error'),
    real('loadIntegralKpaPerNS', 'kilopascalPerNewtonSecond', 0, 50, 12, 2, 'Set point rate per load error'),
    real('integralRestN', 'newton', 0, 500, 20, 0, 'Load errors up to this are not integrated, so that a row at rest does not hunt about its deadband'),
    real('setPointRateKpaPerS', 'kilopascalPerSecond', 10, 50000, 20000, 0, 'Fastest set point change'),
    real('setPointMaxKpa', 'kilopascal', 500, 40000, 12000, 0, 'Highest pressure set point'),
  ),
  ...group(
    'predictor',
    real('movingMassKg', 'kilogram', 5, 2000, 105, 0, 'Mass of the row unit with half its seed, for its inertia; used where an accelerometer is fitted'),
    real('loadLagHz', 'hertz', 0.2, 200, 5, 1, 'Corner of the load sensor’s lag'),
    ...weights('loadTrend', LOAD_TRENDS, 'load without the pressure’s share', [-0.04, 0.27, -1.01, 1.48]),
    ...weights('pressureTrend', PRESSURE_TRENDS, 'pressure that the row’s motion makes, as load', [-0.4, 0.28, -1.99, 5.22]),
    ...weights('inertia', INERTIA_BANDS, 'inertia force', [-4.03, 0.94, 0.13, 0.05, 0.04]),
    ...weights('blindLoadTrend', LOAD_TRENDS, 'without an accelerometer, load without the pressure’s share', [-0.13, 0.19, -1.73, 0.66]),
    ...weights('blindPressureTrend', PRESSURE_TRENDS, 'without an accelerometer, pressure that the row’s motion makes, as load', [-0.49, 0.45, -0.03, -8.42]),
  ),
  ...group(
    'deadband',
    choice('deadbandMode', ['fixed', 'noise'], 1, 'Fixed deadband, or a multiple of the error’s own noise'),
    real('deadbandN', 'newton', 1, 1000, 40, 0, 'Fixed deadband, half width, as load'),
    real('deadbandSigmas', 'ratio', 0.5, 6, 2.1, 1, 'Deadband as a multiple of the standard deviation of the error, in mode noise'),
    real('deadbandMinN', 'newton', 1, 1000, 80, 0, 'Smallest deadband in mode noise'),
    real('deadbandMaxN', 'newton', 1, 1000, 130, 0, 'Largest deadband in mode noise'),
    real('hysteresisRatio', 'ratio', 0, 0.9, 0.3, 2, 'Share of the deadband by which the error must come inside before acting ends'),
    real('pulseEndRatio', 'ratio', 0, 0.9, 0.1, 2, 'Strategy predictive: share of the deadband that a pulse leaves uncorrected, which saves oil'),
    real('noiseTimeS', 'second', 0.5, 60, 5, 1, 'Time constant of the noise estimate'),
  ),
  ...group(
    'machine',
    real('capAreaCm2', 'squareCentimetre', 0.5, 50, 4.909, 3, 'Piston area of the actuator'),
    real('linkageRatio', 'ratio', 0.05, 2, 0.45, 3, 'Down force at the row per force of the actuator'),
    real('accumulatorMl', 'millilitre', 10, 5000, 320, 0, 'Gas volume of the accumulator at precharge'),
    real('prechargeAbsoluteKpa', 'kilopascal', 150, 20000, 1200, 0, 'Precharge, absolute'),
    real('gasExponent', 'ratio', 1, 1.67, 1.4, 2, 'Polytropic exponent of the gas for one pulse'),
    real('gasThermalS', 'second', 0.1, 600, 6, 1, 'Time constant with which the gas takes the temperature of its wall'),
    real('chamberOilMl', 'millilitre', 1, 2000, 60, 0, 'Oil in chamber and lines'),
    real('bulkModulusMpa', 'megapascal', 100, 3000, 1200, 0, 'Bulk modulus of the oil with its air'),
    real('valveFlowLpm', 'litrePerMinute', 0.2, 60, 8, 1, 'Flow of one open valve at valveFlowDropKpa, warm oil'),
    real('valveFlowDropKpa', 'kilopascal', 100, 30000, 10000, 0, 'Pressure drop at which valveFlowLpm holds'),
    real('railNominalKpa', 'kilopascal', 1000, 40000, 15000, 0, 'Rail pressure assumed while its sensor is at fault'),
    real('railLowKpa', 'kilopascal', 500, 40000, 8000, 0, 'Below this the rail counts as low'),
    real('returnKpa', 'kilopascal', 0, 2000, 200, 0, 'Pressure in the return line'),
    real('coldFlowRatio', 'ratio', 0.1, 1, 0.75, 2, 'Valve flow at -15 °C as a share of the flow at +40 °C; straight line between'),
  ),
  ...group(
    'pulse',
    real('strokeMs', 'millisecond', 1, 20, 2, 1, 'Time a coil is driven for one stroke'),
    real('deadMs', 'millisecond', 0, 100, 2, 1, 'Time after a valve of a pair has closed before the other may open'),
    real('minPulseMs', 'millisecond', 1, 100, 3, 1, 'Shortest time from opening to closing stroke; not below strokeMs'),
    real('maxPulseMs', 'millisecond', 10, 5000, 400, 0, 'Longest time a valve stays open at a stretch'),
    real('restMs', 'millisecond', 0, 2000, 30, 0, 'Time after a pulse before the pair may open again'),
    real('settleMs', 'millisecond', 0, 500, 25, 0, 'Time after a pulse before its pressure step is read'),
    choice('gainLearning', OFF_ON, 1, 'Learn each valve’s flow from the pressure steps of its pulses'),
    real('gainForgetting', 'ratio', 0.8, 1, 0.98, 3, 'Forgetting factor of the learned gain, per pulse'),
    real('gainMin', 'ratio', 0.05, 1, 0.2, 2, 'Smallest learned gain'),
    real('gainMax', 'ratio', 1, 10, 4, 1, 'Largest learned gain'),
    real('learnAboveKpa', 'kilopascal', 1, 1000, 50, 0, 'Pulses with a smaller expected step teach nothing'),
  ),
  ...group(
    'watch',
    choice('strokeWatch', OFF_ON, 1, 'Find strokes that did not move their valve from what the pressure does, and repeat them'),
    real('missedKpa', 'kilopascal', 2, 2000, 16, 0, 'Pressure beyond any allowed drift that tells of a missed stroke, with an accelerometer'),
    real('missedBlindKpa', 'kilopascal', 2, 5000, 1000, 0, 'The same without an accelerometer: the row’s motion is then not known'),
    real('suspectKpa', 'kilopascal', 2, 5000, 200, 0, 'Without an accelerometer, from here on a closing stroke is repeated on suspicion'),
    real('watchMs', 'millisecond', 10, 5000, 400, 0, 'For how long after its closing stroke a valve is watched'),
    whole('strokeTries', 'none', 1, 8, 4, 'Strokes missed in a row after which a valve counts as stuck and its row stands still'),
    real('retryS', 'second', 0.05, 60, 1, 1, 'A stuck valve gets a closing stroke again after this long'),
    real('leakMlPerMin', 'millilitrePerMinute', 10, 5000, 80, 0, 'Flow through closed valves that counts as a leak; a tenth of the oil that the row’s own pulses move is added, as it is not known better'),
    real('freeLoadMaxN', 'newton', -5000, 10000, 200, 0, 'Largest load that the row’s own weight can make at no pressure, on soft soil; above it the load sensor reads too high'),
    real('belowZeroN', 'newton', 1, 5000, 60, 0, 'Load below zero from which the load sensor reads too low: a wheel cannot pull'),
  ),
  ...group(
    'strokes',
    whole('strokesAtOnce', 'none', 1, 96, 4, 'Most coils of a bank that are driven at the same time'),
    whole('slotCount', 'none', 1, 16, 1, 'Banks that share one harness and take turns; 1 means alone'),
    whole('slotPhase', 'none', 0, 15, 0, 'This bank’s turn, below slotCount; turns are counted from configure(), so banks must start together'),
    real('relatchS', 'second', 1, 3600, 60, 0, 'A valve that rested closed for this long gets a closing stroke again; later if that would take over a quarter of the queue’s time'),
    real('strokeMj', 'millijoule', 1, 2000, 50, 0, 'Energy of one stroke'),
    real('reservoirUf', 'microfarad', 0, 1000000, 0, 0, 'Capacitor that feeds the coils; 0 means fed from the supply directly'),
    real('strokeMinMv', 'millivolt', 1000, 30000, 8000, 0, 'Lowest reservoir voltage at which a stroke is certain'),
  ),
  ...group(
    'supply',
    real('supplyLowMv', 'millivolt', 1000, 60000, 9500, 0, 'Below this nothing opens and whatever is open is closed'),
    real('supplyCriticalMv', 'millivolt', 500, 60000, 7500, 0, 'Below this no stroke is made and nothing is promised'),
    choice('shutDownVent', OFF_ON, 0, 'On shut-down: off holds the chamber’s pressure, on lets it go first'),
    real('ventToKpa', 'kilopascal', 0, 10000, 300, 0, 'Venting ends at this pressure'),
    real('ventMs', 'millisecond', 10, 5000, 2000, 0, 'Venting ends after this time at the latest'),
  ),
];

/**
 * Rules between two parameters, checked by `configure()` after the limits: `left` must be `is` `right`.
 * The number answered is that of `left`.
 */
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
