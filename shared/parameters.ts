import type { UnitName } from './units.js';

/**
 * Every setting of the controller. A parameter's number is its position in this list, counted from 1; `configure()` returns
 * it when the value is refused. Names end in their unit. Pressures are gauge unless the name says absolute. Defaults suit the
 * default machine (an engineering estimate, no product's data).
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

// biome-ignore format: a table reads best with one parameter to a line
export const PARAMETERS: readonly Parameter[] = [
  ...group(
    'general',
    integer('tickHz', 'hertz', 500, 2000, 1000, 'Controller ticks per second; times are rounded to ticks, strokes, pulses and rest times never shorter than set'),
    choice('strategy', ['threshold', 'cascade', 'predictive'], 2, 'How the load error becomes pulses: valve held open until the load is inside the deadband, load loop around a pressure loop, or predicted load'),
    real('targetMaxN', 'newton', 100, 10000, 3000, 0, 'Largest valid target load'),
    real('liftS', 'second', 0, 30, 2.5, 1, "Time that the frame takes to come down; the rows' motion relative to it is not known until then"),
    real('lowerSettleMs', 'millisecond', 0, 5000, 300, 0, 'Time after lowering before control starts, so that the wheels are on the ground'),
  ),
  ...group(
    'sensors',
    integer('adcFullScaleCounts', 'count', 256, 65535, 4096, 'ADC counts at the full sensor supply (the ADC is referenced to that supply)'),
    real('loadAtTenPercentN', 'newton', -5000, 5000, -500, 0, 'Load at 10 % of the sensor supply'),
    real('loadAtNinetyPercentN', 'newton', 100, 20000, 4500, 0, 'Load at 90 % of the sensor supply'),
    real('pressureAtTenPercentKpa', 'kilopascal', -100, 5000, 0, 0, 'Chamber pressure at 10 % of the sensor supply'),
    real('pressureAtNinetyPercentKpa', 'kilopascal', 1000, 60000, 25000, 0, 'Chamber pressure at 90 % of the sensor supply'),
    choice('accelerationFitted', OFF_ON, 0, 'Row accelerometer fitted'),
    real('accelerationAtTenPercentMps2', 'metrePerSecondSquared', -500, 0, -50, 1, 'Row acceleration at 10 % of the sensor supply, up positive'),
    real('accelerationAtNinetyPercentMps2', 'metrePerSecondSquared', 1, 500, 50, 1, 'Row acceleration at 90 % of the sensor supply'),
    real('railAtTenPercentKpa', 'kilopascal', -100, 5000, 0, 0, 'Rail pressure at 10 % of the sensor supply'),
    real('railAtNinetyPercentKpa', 'kilopascal', 1000, 60000, 25000, 0, 'Rail pressure at 90 % of the sensor supply'),
    real('shortRatio', 'ratio', 0.005, 0.09, 0.05, 3, 'Below this fraction of the sensor supply the signal is a short to ground'),
    real('openRatio', 'ratio', 0.91, 0.995, 0.95, 3, 'Above this fraction of the sensor supply the signal is an open circuit (input pulled up)'),
    real('rangeMarginRatio', 'ratio', 0.001, 0.09, 0.02, 3, 'How far outside 10 to 90 % a signal may be before it is out of range'),
    real('frozenMs', 'millisecond', 0, 20000, 31, 0, 'ADC counts unchanged for this long mean a frozen sensor; 0 turns the check off'),
    real('loadRateNPerMs', 'newtonPerMillisecond', 1, 10000, 250, 0, 'Fastest load change that the damped sensor can show'),
    real('pressureRateKpaPerMs', 'kilopascalPerMillisecond', 1, 20000, 1500, 0, 'Fastest plausible change of chamber pressure'),
    real('accelerationRateMps2PerMs', 'metrePerSecondSquaredPerMillisecond', 1, 1000, 80, 0, 'Fastest plausible change of acceleration'),
    real('railRateKpaPerMs', 'kilopascalPerMillisecond', 1, 20000, 1500, 0, 'Fastest plausible change of rail pressure'),
    real('rateHoldMs', 'millisecond', 1, 1000, 20, 0, 'A channel stays suspect for this long after an impossible jump'),
  ),
  ...group(
    'zero',
    real('liftSettleMs', 'millisecond', 0, 10000, 600, 0, 'Time after lifting before a re-zero of the load sensor starts'),
    real('zeroWindowMs', 'millisecond', 20, 5000, 400, 0, 'Length of the window whose mean becomes the new zero'),
    real('zeroSpreadN', 'newton', 1, 1000, 60, 0, 'Largest spread (highest minus lowest load) of an accepted window'),
    real('zeroStepN', 'newton', 1, 5000, 150, 0, 'Largest distance of a new zero from the last one'),
    real('zeroLimitN', 'newton', 1, 5000, 400, 0, 'Largest plausible zero'),
  ),
  ...group(
    'filter',
    real('loadFilterHz', 'hertz', 0.5, 50, 3, 1, 'Corner of the second-order low-pass on the load'),
    real('pressureFilterHz', 'hertz', 0.5, 100, 12, 1, 'Corner of the second-order low-pass on the chamber pressure'),
    choice('lugNotch', OFF_ON, 0, 'Notch on the load at the frequency of the tyre lugs, follows ground speed'),
    real('lugPitchM', 'metre', 0.02, 1, 0.15, 3, 'Distance between lugs; notch frequency is speed over pitch'),
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
    real('movingMassKg', 'kilogram', 5, 2000, 105, 0, 'Mass of the row unit with half its seed, for its inertia force; used if an accelerometer is fitted'),
    real('loadLagHz', 'hertz', 0.2, 200, 5, 1, "Corner of the load sensor's lag"),
    ...weights('loadTrend', LOAD_TRENDS, "load without the pressure's share", [-0.04, 0.27, -1.01, 1.48]),
    ...weights('pressureTrend', PRESSURE_TRENDS, 'pressure that metered oil does not explain, as load', [-0.4, 0.28, -1.99, 5.22]),
    ...weights('inertia', INERTIA_CORNERS, 'inertia force', [-4.03, 0.94, 0.13, 0.05, 0.04]),
    ...weights('noAccelLoadTrend', LOAD_TRENDS, "without an accelerometer, load without the pressure's share", [-0.13, 0.19, -1.73, 0.66]),
    ...weights('noAccelPressureTrend', PRESSURE_TRENDS, 'without an accelerometer, pressure that metered oil does not explain, as load', [-0.49, 0.45, -0.03, -8.42]),
  ),
  ...group(
    'deadband',
    choice('deadbandMode', ['fixed', 'noise'], 1, "Fixed deadband, or a multiple of the error's noise"),
    real('deadbandN', 'newton', 1, 1000, 40, 0, 'Fixed deadband, half width, as load'),
    real('deadbandSigmas', 'ratio', 0.5, 6, 2.1, 1, "Deadband as a multiple of the error's standard deviation, in mode noise"),
    real('deadbandMinN', 'newton', 1, 1000, 80, 0, 'Smallest deadband in mode noise'),
    real('deadbandMaxN', 'newton', 1, 1000, 130, 0, 'Largest deadband in mode noise'),
    real('hysteresisRatio', 'ratio', 0, 0.9, 0.3, 2, 'How far inside the deadband, as a fraction of it, the error must be before acting ends'),
    real('pulseEndRatio', 'ratio', 0, 0.9, 0.1, 2, 'Strategy predictive: fraction of the deadband that a pulse leaves uncorrected, which saves oil'),
    real('noiseTimeS', 'second', 0.5, 60, 5, 1, 'Time constant of the noise estimate'),
  ),
  ...group(
    'machine',
    real('capAreaCm2', 'squareCentimetre', 0.5, 50, 4.909, 3, 'Piston area of the actuator'),
    real('linkageRatio', 'ratio', 0.05, 2, 0.45, 3, 'Down force at the row per force of the actuator'),
    real('accumulatorMl', 'millilitre', 10, 5000, 320, 0, 'Gas volume of the accumulator at precharge'),
    real('prechargeAbsoluteKpa', 'kilopascal', 150, 20000, 1200, 0, 'Precharge, absolute'),
    real('gasExponent', 'ratio', 1, 1.67, 1.4, 2, 'Polytropic exponent of the gas during a pulse'),
    real('gasThermalS', 'second', 0.1, 600, 6, 1, 'Time constant with which the gas approaches the temperature of its wall'),
    real('chamberOilMl', 'millilitre', 1, 2000, 60, 0, 'Oil in chamber and lines'),
    real('bulkModulusMpa', 'megapascal', 100, 3000, 1200, 0, 'Bulk modulus of the oil with its air'),
    real('valveFlowLpm', 'litrePerMinute', 0.2, 60, 8, 1, 'Flow of one open valve at valveFlowDropKpa, warm oil'),
    real('valveFlowDropKpa', 'kilopascal', 100, 30000, 10000, 0, 'Pressure drop at which valveFlowLpm is specified'),
    real('railNominalKpa', 'kilopascal', 1000, 40000, 15000, 0, 'Rail pressure that is used while its sensor has a fault'),
    real('railLowKpa', 'kilopascal', 500, 40000, 8000, 0, 'Below this the rail pressure is low'),
    real('returnKpa', 'kilopascal', 0, 2000, 200, 0, 'Pressure in the return line'),
    real('coldFlowRatio', 'ratio', 0.1, 1, 0.75, 2, 'Valve flow at -15 °C over the flow at +40 °C; linear in between'),
  ),
  ...group(
    'pulse',
    real('strokeMs', 'millisecond', 1, 20, 2, 1, 'Time that a coil is driven for one stroke'),
    real('deadMs', 'millisecond', 0, 100, 2, 1, 'Time after one valve of a pair has closed before the other may open'),
    real('minPulseMs', 'millisecond', 1, 100, 3, 1, 'Shortest time from opening to closing stroke; not below strokeMs'),
    real('maxPulseMs', 'millisecond', 10, 5000, 400, 0, 'Longest time that a valve stays open'),
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
    choice('missedStrokeDetection', OFF_ON, 1, 'Detect from the pressure which strokes did not move their valve, and repeat them'),
    real('missedKpa', 'kilopascal', 2, 2000, 16, 0, 'Unexplained pressure change, beyond any tolerated drift, that reveals a missed stroke, with an accelerometer'),
    real('missedNoAccelKpa', 'kilopascal', 2, 5000, 1000, 0, "The same without an accelerometer, when the row's motion is not known"),
    real('suspectKpa', 'kilopascal', 2, 5000, 200, 0, 'Without an accelerometer: unexplained pressure change from which a closing stroke is repeated on suspicion'),
    real('missedWindowMs', 'millisecond', 10, 5000, 400, 0, 'How long after its closing stroke a valve is checked for a missed close'),
    integer('strokeTries', 'none', 1, 8, 4, 'Missed strokes in a row after which a valve is stuck and its row holds'),
    real('retryS', 'second', 0.05, 60, 1, 1, 'Interval of the closing strokes of a stuck valve'),
    real('leakMlPerMin', 'millilitrePerMinute', 10, 5000, 80, 0, 'Flow through closed valves above which it is a leak; a tenth of the metered oil is added, because metering is not more accurate than that'),
    real('freeLoadMaxN', 'newton', -5000, 10000, 200, 0, "Largest load that the row's own weight can produce without pressure, on soft soil; above it the load sensor reads too high"),
    real('belowZeroN', 'newton', 1, 5000, 60, 0, 'How far below zero a load must be before the load sensor reads too low: a wheel cannot pull'),
  ),
  ...group(
    'strokes',
    integer('strokesAtOnce', 'none', 1, 96, 4, "Maximum number of a bank's coils that are driven at the same time"),
    integer('slotCount', 'none', 1, 16, 1, 'Banks that share one harness and take turns; 1: not shared'),
    integer('slotPhase', 'none', 0, 15, 0, "This bank's slot, below slotCount; slots are counted from configure(), so the banks must start together"),
    real('relatchS', 'second', 1, 3600, 60, 0, "A valve that has been closed for this long gets another closing stroke; later if this would take more than a quarter of the queue's time"),
    real('strokeMj', 'millijoule', 1, 2000, 50, 0, 'Energy of one stroke'),
    real('reservoirUf', 'microfarad', 0, 1000000, 0, 0, 'Capacitor that feeds the coils; 0: fed directly from the supply'),
    real('strokeMinMv', 'millivolt', 1000, 30000, 8000, 0, 'Lowest reservoir voltage at which a stroke is reliable'),
  ),
  ...group(
    'supply',
    real('supplyLowMv', 'millivolt', 1000, 60000, 9500, 0, 'Below this no valve is opened and open valves are closed'),
    real('supplyCriticalMv', 'millivolt', 500, 60000, 7500, 0, 'Below this no stroke is made'),
    choice('shutDownVent', OFF_ON, 0, "On shut-down: off holds the chamber's pressure, on vents it first"),
    real('ventToKpa', 'kilopascal', 0, 10000, 300, 0, 'Venting ends at this pressure'),
    real('ventMs', 'millisecond', 10, 5000, 2000, 0, 'Longest venting time'),
  ),
];

/** A rule between two parameters, which `configure()` checks after the limits. It returns the number of `left`. */
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
