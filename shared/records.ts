import { CHANNELS } from './channels.js';
import type { UnitName } from './units.js';

/**
 * Every record: inputs, outputs, probes (intermediate values for people) and the complete state of the controller. Fields are naturally aligned
 * without gaps; the generator rejects a record that is not.
 */
export type FieldType = 'u8' | 'u16' | 'u32' | 'i32' | 'f32' | 'f64';

export interface Field {
  readonly name: string;
  readonly type: FieldType;
  readonly unit: UnitName;
  readonly help: string;
  /** Name of the enumeration in ENUMS whose values the field holds. */
  readonly values?: EnumName;
}

/** The items that have one record each at a place in memory; `countOf` in host/contract/layout.ts returns their number. */
export type Each = 'bank' | 'row' | 'valve' | 'channel' | 'channelKind' | 'bankFault' | 'rowFault' | 'rowFaultKind';

/**
 * input: written before a tick. output: faults, modes and coil orders. probe: intermediate values for people; the next tick also
 * reads the bank's counters and last valid values. state: carried over to the next tick. derived: computed by
 * configure().
 */
export type Kind = 'input' | 'output' | 'probe' | 'state' | 'derived';

export interface RecordTable {
  readonly name: string;
  readonly kind: Kind;
  /** Places in memory: name, and the items that have one record each. */
  readonly at: Readonly<Record<string, Each>>;
  readonly help: string;
  readonly fields: readonly Field[];
}

export const ENUMS = {
  Valve: ['supply', 'return'],
  Order: ['none', 'open', 'close'],
  Belief: ['unknown', 'closed', 'open'],
  Wish: ['hold', 'raise', 'lower'],
  Strategy: ['threshold', 'cascade', 'predictive'],
  BankMode: ['refused', 'starting', 'idle', 'lifted', 'working', 'lowSupply', 'shutDown', 'powerLost'],
  RowMode: ['starting', 'off', 'holding', 'working', 'frozen', 'venting'],
  DetectorMode: ['off', 'closed', 'raising', 'lowering'],
  Stuck: ['none', 'open', 'closed'],
  MissedValve: ['none', 'supply', 'return'],
  ZeroResult: ['none', 'accepted', 'noisy', 'implausible'],
  Channel: CHANNELS.map(({ name }) => name),
} as const;
export type EnumName = keyof typeof ENUMS;

const field =
  (type: FieldType) =>
  (name: string, unit: UnitName, help: string, values?: EnumName): Field =>
    values === undefined ? { name, type, unit, help } : { name, type, unit, help, values };
const f32 = field('f32');
const u32 = field('u32');
const i32 = field('i32');
const u16 = field('u16');
const u8 = field('u8');
const numbered = (name: string, count: number, unit: UnitName, help: string): Field[] =>
  Array.from({ length: count }, (_, index) => f32(`${name}${index + 1}N`, unit, `${help} ${index + 1}`));
const spare = (type: 'u8' | 'u16'): Field => ({ name: 'spare', type, unit: 'none', help: 'Unused, 0' });

export const RECORDS: readonly RecordTable[] = [
  {
    name: 'BankInput',
    kind: 'input',
    at: { bankInput: 'bank' },
    help: 'Inputs of a bank for one tick, without those of its rows',
    fields: [
      f32('targetLoadN', 'newton', 'Target load of every row'),
      f32('oilTemperatureC', 'degreeCelsius', 'Oil temperature'),
      u16('railCounts', 'count', 'Rail pressure, ratiometric'),
      u16('supplyMv', 'millivolt', 'Supply voltage at the bank'),
      u16('reservoirMv', 'millivolt', 'Voltage of the reservoir capacitor that feeds the coils'),
      u16(
        'groundSpeedMmPerS',
        'millimetrePerSecond',
        'Ground speed as on an ISO 11783 bus: 1 mm/s per bit; values above 64255 are not a speed',
      ),
      u8('lowered', 'none', 'Lift switch: 0 lifted, otherwise lowered'),
      u8('enabled', 'none', "Operator's switch: 0 off, otherwise on"),
      u8('shutDown', 'none', 'Early warning that power is about to be switched off: 0 no, otherwise yes'),
      spare('u8'),
    ],
  },
  {
    name: 'RowInput',
    kind: 'input',
    at: { rowInput: 'row' },
    help: 'Inputs of a row for one tick',
    fields: [
      u16('loadCounts', 'count', 'Gauge-wheel load, ratiometric'),
      u16('pressureCounts', 'count', 'Chamber pressure, ratiometric'),
      u16('accelerationCounts', 'count', 'Row accelerometer, ratiometric; ignored unless accelerationFitted'),
      u8('enabled', 'none', 'Row switch: 0 off, otherwise on'),
      spare('u8'),
    ],
  },
  {
    name: 'BankOutput',
    kind: 'output',
    at: { bankOutput: 'bank' },
    help: 'Outputs of a bank',
    fields: [
      u32('faults', 'bits', 'Bank faults that are set'),
      u8('mode', 'none', 'Operating mode of the bank (refused: configure() refused a parameter)', 'BankMode'),
      u8('allClosed', 'none', '1 while every valve of the bank is believed to be closed, also between pulses while venting'),
      spare('u16'),
    ],
  },
  {
    name: 'RowOutput',
    kind: 'output',
    at: { rowOutput: 'row' },
    help: 'Outputs of a row',
    fields: [
      u32('faults', 'bits', 'Row faults that are set'),
      u8('mode', 'none', 'Operating mode of the row (frozen: the load is invalid and the set point stays)', 'RowMode'),
      u8('supplyOrder', 'none', 'Coil order to the supply valve in this tick', 'Order'),
      u8('returnOrder', 'none', 'Coil order to the return valve in this tick', 'Order'),
      spare('u8'),
    ],
  },
  {
    name: 'BankProbe',
    kind: 'probe',
    at: { bankProbe: 'bank' },
    help: 'Intermediate values of a bank',
    fields: [
      f32('targetLoadN', 'newton', 'Target load in use: the last valid one'),
      f32('railKpa', 'kilopascal', 'Rail pressure in use'),
      f32('flowRatio', 'ratio', 'Valve flow at the present oil temperature as a fraction of the flow of warm oil'),
      f32('notchHz', 'hertz', 'Lug frequency in use, 0 while the notch is off'),
      f32('energyMj', 'millijoule', 'Energy for strokes in the reservoir capacitor, above strokeMinMv; 0 without a reservoir'),
      u32('conditions', 'bits', 'Fault conditions of the bank that are present now, before debounce'),
      u32('strokes', 'none', 'Strokes started since configure()'),
      u16('closesWaiting', 'none', 'Closing strokes that wait in the queue'),
      u16('opensWaiting', 'none', 'Opening strokes that wait in the queue'),
      u16('openValves', 'none', 'Valves believed to be open or in an unknown position'),
      u16('closesNeeded', 'none', 'Closing strokes still needed by valves that are or may be open, excluding stuck valves'),
      spare('u16'),
      u16('strokesInFlight', 'none', 'Coils driven in this tick'),
    ],
  },
  {
    name: 'RowProbe',
    kind: 'probe',
    at: { rowProbe: 'row' },
    help: 'Intermediate values of a row',
    fields: [
      f32('loadRawN', 'newton', 'Load before zero and filter'),
      f32('zeroN', 'newton', 'Zero in use'),
      f32('loadN', 'newton', 'Load after zero, median, notch and low-pass'),
      f32('pressureRawKpa', 'kilopascal', 'Chamber pressure after the median'),
      f32('pressureKpa', 'kilopascal', 'Chamber pressure after the low-pass'),
      f32('accelerationMps2', 'metrePerSecondSquared', 'Row acceleration, 0 if not fitted'),
      f32('setPointKpa', 'kilopascal', 'Pressure set point of the load loop'),
      f32('loadErrorN', 'newton', 'Target minus load'),
      f32(
        'errorN',
        'newton',
        'Control error that is compared with the deadband: load error, pressure error expressed as load, or predicted load error',
      ),
      f32('noiseN', 'newton', 'Standard deviation of the control error about its slow mean'),
      f32('deadbandN', 'newton', 'Deadband in use'),
      f32('presentN', 'newton', 'Present load with wheel bounce removed: initial value of the prediction'),
      f32('predictedN', 'newton', 'Predicted mean load over the prediction horizon if no valve moves'),
      f32(
        'meteredKpa',
        'kilopascal',
        'Accumulated pressure change from the oil that the valves of the row metered, with an arbitrary offset',
      ),
      f32('supplyStepKpa', 'kilopascal', 'Pressure change per tick while the supply valve is open'),
      f32('returnStepKpa', 'kilopascal', 'Pressure change per tick while the return valve is open, positive'),
      f32(
        'cusumUpKpa',
        'kilopascal',
        'Cumulative sum of a pressure rise that neither metered oil nor row motion explains: it indicates a valve that is not in its believed position',
      ),
      f32('cusumDownKpa', 'kilopascal', 'Cumulative sum of a pressure fall that neither metered oil nor row motion explains'),
      f32('leakMlPerMin', 'millilitrePerMinute', 'Flow into the closed chamber, estimated from the pressure; negative: flow out of it'),
      f32('smoothKpa', 'kilopascal', 'Low-passed chamber pressure; steps from metered oil bypass the low-pass'),
      ...numbered('loadTrend', 4, 'newton', 'Load minus the pressure contribution: component in band'),
      ...numbered('pressureTrend', 4, 'newton', 'Pressure change not explained by metered oil, expressed as load: component in band'),
      ...numbered('inertia', 5, 'newton', 'Inertia force of the row after low-pass'),
      f32('compliance', 'millilitrePerKilopascal', 'Compliance of the actuator at this pressure'),
      f32('pulseMs', 'millisecond', 'Pulse length requested with the last wish'),
      f32('supplyGain', 'ratio', 'Learned gain of the supply valve'),
      f32('returnGain', 'ratio', 'Learned gain of the return valve'),
      u32('conditions', 'bits', 'Fault conditions of the row that are present now, before debounce'),
      u16('openTicks', 'tick', "Time for which the row's open valve has been open"),
      u16('waitTicks', 'tick', "Time for which the row's oldest request has waited in the queue"),
      u16('closeWaitTicks', 'tick', "Time for which the stroke that ends the row's pulse has waited in the queue"),
      spare('u16'),
      u8('wish', 'none', 'Pressure change requested by the strategy', 'Wish'),
      u8('supplyBelief', 'none', 'Believed position of the supply valve', 'Belief'),
      u8('returnBelief', 'none', 'Believed position of the return valve', 'Belief'),
      u8('zeroResult', 'none', 'Result of the last re-zero', 'ZeroResult'),
    ],
  },
  {
    name: 'BankState',
    kind: 'state',
    at: { bankState: 'bank' },
    help: 'State of a bank',
    fields: [
      u32('rowCount', 'none', 'Number of rows passed to configure()'),
      f32('targetLoadN', 'newton', 'Last valid target'),
      f32('notchG', 'ratio', "Tangent of half the notch's angle per tick"),
      u32('strokes', 'none', 'Strokes started'),
      u32('shutDownTicks', 'tick', 'Time since the shut-down request; saturates'),
      u16('loweredTicks', 'tick', 'Time since lowering; saturates'),
      u16('slotTicks', 'tick', 'Position in the cycle of the banks that share a harness'),
      u8('refused', 'none', '1 after configure() refused a parameter'),
      u8('mode', 'none', 'Operating mode of the bank (refused: configure() refused a parameter)', 'BankMode'),
      u8('started', 'none', '1 once every valve that is not stuck has been closed after start'),
      spare('u8'),
    ],
  },
  {
    name: 'ChannelState',
    kind: 'state',
    at: { channelState: 'channel', railState: 'bank' },
    help: "State of an analog input's checks",
    fields: [
      f32('value', 'none', "Last valid value, in the channel's unit"),
      i32('changeCounts', 'count', 'Last change of the ADC counts'),
      u16('counts', 'count', 'Last ADC counts'),
      u16('sameTicks', 'tick', 'Time for which the ADC counts have not changed; saturates'),
      u16('rateTicks', 'tick', 'Remaining time for which the channel is treated as invalid after a jump'),
      u8('hasReading', 'none', '1 once a reading was in range'),
      u8('valid', 'none', '1 while the value may be used'),
      u8('seeded', 'none', "1 once the channel's filters have been seeded"),
      u8('cleanTicks', 'tick', 'Number of consecutive ticks in which no check has failed; saturates at 2'),
      u16('inRangeCounts', 'count', 'Last ADC counts in range'),
      u8('flips', 'none', 'Number of consecutive ticks in which the ADC counts have made a large change and reversed it'),
      u8('rangeCheck', 'bits', 'Result of the last range check: Short, Open, Range or 0'),
      spare('u16'),
    ],
  },
  {
    name: 'ZeroState',
    kind: 'state',
    at: { zeroState: 'row' },
    help: "State of the load sensor's re-zero at each lift",
    fields: [
      f32('zeroN', 'newton', 'Zero in use'),
      f32('firstN', 'newton', 'First load of the window'),
      f32('sumN', 'newton', "Sum of the window's differences from the first load"),
      f32('lowestN', 'newton', 'Lowest load of the window'),
      f32('highestN', 'newton', 'Highest load of the window'),
      u16('ticks', 'tick', 'Ticks in the window so far'),
      u16('waitTicks', 'tick', 'Time since the lift; saturates'),
      u8('result', 'none', 'Result of the last window', 'ZeroResult'),
      u8('accepted', 'none', '1 once a zero was accepted during this lift'),
      u8('hasZero', 'none', '1 once a zero was accepted during any lift'),
      spare('u8'),
    ],
  },
  {
    name: 'MedianState',
    kind: 'state',
    at: { loadMedian: 'row', pressureMedian: 'row' },
    help: 'State of a median of 3',
    fields: [f32('older', 'none', 'Value two ticks ago'), f32('old', 'none', 'Value one tick ago')],
  },
  {
    name: 'SecondOrderState',
    kind: 'state',
    at: { lugNotch: 'row', loadLowPass: 'row', pressureLowPass: 'row' },
    help: 'State of a second-order filter: two integrators',
    fields: [f32('first', 'none', 'First integrator'), f32('second', 'none', 'Second integrator')],
  },
  {
    name: 'LoopState',
    kind: 'state',
    at: { loopState: 'row' },
    help: "State of a row's load loop and deadband",
    fields: [
      f32('setPointKpa', 'kilopascal', 'Pressure set point'),
      f32('integralKpa', 'kilopascal', 'Integral part of the load loop'),
      f32('slowErrorN', 'newton', 'Slow mean of the control error'),
      f32('varianceN2', 'none', 'Variance of the control error about its slow mean, N²'),
      u16('plannedTicks', 'tick', 'Planned length of the present or next pulse'),
      u8('seeded', 'none', '1 once the set point has a first value'),
      u8('running', 'none', '1 if the load loop ran in the last tick'),
      u8('acting', 'none', 'Direction of the correction in progress, which ends once the error is inside the hysteresis', 'Wish'),
      u8('hasError', 'none', '1 if the last tick had a control error'),
      u8('atFloor', 'none', '1 after the floor stopped a lowering pulse'),
      spare('u8'),
    ],
  },
  {
    name: 'PredictorState',
    kind: 'state',
    at: { predictor: 'row' },
    help: "State of a row's predictor: low-passes, slowest first",
    fields: [
      f32('meteredKpa', 'kilopascal', 'Pressure change from metered oil'),
      f32('sensedPressureKpa', 'kilopascal', "Pressure, delayed by the load sensor's lag"),
      f32('sensedInertiaN', 'newton', "Inertia force, delayed by the load sensor's lag"),
      ...numbered('load', 5, 'newton', 'Load minus the pressure contribution, low-pass'),
      ...numbered('pressure', 5, 'newton', 'Pressure change not explained by metered oil, expressed as load, low-pass'),
      ...numbered('inertia', 5, 'newton', 'Inertia force, low-pass'),
      u16('hasPressure', 'none', '1 if the last tick had a valid pressure'),
      u16('hasLoad', 'none', '1 if the last tick had a valid load'),
    ],
  },
  {
    name: 'DetectorState',
    kind: 'state',
    at: { detector: 'row' },
    help: "State of a row's detector, which detects missed strokes and leaks from the pressure",
    fields: [
      f32('velocityMps', 'metrePerSecond', 'Row velocity from the accelerometer, high-passed'),
      f32('slowMps', 'metrePerSecond', 'Slow mean of that velocity'),
      f32('smoothMps', 'metrePerSecond', 'Velocity after the same low-pass as the pressure'),
      f32('residualKpa', 'kilopascal', 'Pressure change not explained by metered oil, low-passed'),
      f32('cusumUpKpa', 'kilopascal', 'Cumulative sum for a pressure rise'),
      f32('cusumDownKpa', 'kilopascal', 'Cumulative sum for a pressure fall'),
      f32('motionKpa', 'kilopascal', 'Pressure change from row motion in this tick'),
      f32('residualStepKpa', 'kilopascal', 'Change of the residual since the start of the last pulse, without the effect of row motion'),
      f32('frameKpa', 'kilopascal', 'Slow mean of the drift per tick: the motion of the frame'),
      f32('noiseKpa', 'kilopascal', 'Highest recent sum without a missed stroke'),
      f32('rawUpKpa', 'kilopascal', 'Cumulative sum of a rise that is not restarted by pulses'),
      f32('rawDownKpa', 'kilopascal', 'Cumulative sum of a fall that is not restarted by pulses'),
      f32('doubtRateKpa', 'kilopascal', 'Evidence per tick against the doubted valve before it was closed again'),
      f32('movedKpa', 'kilopascal', "Drift during the doubt, in the direction of the doubted valve's oil"),
      f32('owedKpa', 'kilopascal', 'Drift that the doubted valve would have caused if it were open'),
      f32('judgedKpa', 'kilopascal', 'Evidence after the repeated close'),
      f32('slowKpa', 'kilopascal', 'Pressure that the gas would have at wall temperature'),
      f32('leakMlPerMin', 'millilitrePerMinute', 'Slow mean of the flow into the closed chamber'),
      f32('meteredMlPerMin', 'millilitrePerMinute', 'Slow mean of the metered oil, both directions'),
      u16('noVelocityTicks', 'tick', 'Remaining time for which the velocity is not used'),
      u16('upTicks', 'tick', 'Time since cusumUpKpa was last 0'),
      u16('downTicks', 'tick', 'Time since cusumDownKpa was last 0'),
      u16('hasPressure', 'none', '1 if the last tick had a valid pressure'),
      u16('rawTicks', 'tick', 'Time with closed valves since both raw sums were last 0'),
      u8('mode', 'none', 'Kind of missed stroke that the sums are to detect', 'DetectorMode'),
      u8('missedValve', 'none', 'Valve whose missed stroke was found in this tick', 'MissedValve'),
      u8('frameSettled', 'none', '1 once the frame has settled after lowering'),
      u8('doubt', 'none', 'Valve that may have missed its last close and is being judged', 'MissedValve'),
      spare('u16'),
    ],
  },
  {
    name: 'PairState',
    kind: 'state',
    at: { pairState: 'row' },
    help: "State of a row's valve pair",
    fields: [
      f32('needN', 'newton', 'Distance of the error from the deadband: the queue serves the largest first'),
      f32('stepKpaPerTick', 'kilopascal', 'Expected pressure change per open tick of the pulse for the present wish, at gain 1'),
      f32('expectedKpa', 'kilopascal', 'Expected pressure change of the last pulse at gain 1, as a magnitude'),
      u16('restTicks', 'tick', 'Remaining rest time after the last pulse'),
      u16('deadTicks', 'tick', 'Remaining dead time after the last close'),
      u16('settleTicks', 'tick', 'Remaining time until the pressure step of the last pulse is read'),
      u8('openWish', 'none', 'Wish for which the open valve was opened, hold if none is open', 'Wish'),
      u8('learnWish', 'none', 'Wish of the pulse from which the gain is to be learned', 'Wish'),
      u8(
        'flowWish',
        'none',
        'Wish of the pulse whose oil flows: from the end of its opening stroke to the end of its closing stroke',
        'Wish',
      ),
      u8('suspectPulse', 'none', '1 if the present or last pulse seems to pass no oil and has not been judged'),
      spare('u16'),
    ],
  },
  {
    name: 'ValveState',
    kind: 'state',
    at: { valveState: 'valve' },
    help: 'State of a latching valve as the controller believes it',
    fields: [
      f32('gain', 'ratio', 'Learned flow divided by configured flow'),
      f32('covariance', 'none', 'Covariance of the learned gain, 1/kPa²'),
      f32('missedKpa', 'kilopascal', 'Expected effect of the consecutive pulses that passed no oil'),
      u32('quietTicks', 'tick', 'Time since the last stroke; saturates'),
      u16('openTicks', 'tick', 'Time since the opening stroke began; saturates'),
      u16('coilTicks', 'tick', 'Remaining time of the present stroke'),
      u16('waitTicks', 'tick', 'Time for which the request has waited; saturates'),
      u16('repeats', 'none', 'Number of repeats of the last closing stroke on suspicion; saturates'),
      u8('belief', 'none', 'Believed position', 'Belief'),
      u8('coil', 'none', 'Present stroke', 'Order'),
      u8('request', 'none', 'Stroke requested from the queue', 'Order'),
      u8('missedOpens', 'none', 'Consecutive missed opening strokes'),
      u8('stuck', 'none', 'Where the valve is stuck', 'Stuck'),
      u8('suspected', 'none', '1 while such a repeat is requested'),
      spare('u16'),
    ],
  },
  {
    name: 'FaultState',
    kind: 'state',
    at: { bankFaults: 'bank', rowFaults: 'row' },
    help: 'Faults of a bank or of a row',
    fields: [u32('faults', 'bits', 'Faults that are set'), u32('pending', 'bits', 'Faults whose timer is running')],
  },
  {
    name: 'FaultTimer',
    kind: 'state',
    at: { bankFaultTimer: 'bankFault', rowFaultTimer: 'rowFault' },
    help: 'Debounce and recovery timer of a fault',
    fields: [u16('ticks', 'tick', 'Time for which condition and fault have differed')],
  },
  {
    name: 'ChannelSetting',
    kind: 'derived',
    at: { channelSetting: 'channelKind' },
    help: 'Limits and conversion of one kind of analog input',
    fields: [
      f32('unitPerCount', 'none', 'Slope of the conversion'),
      f32('unitAtZero', 'none', 'Value at 0 counts'),
      u32('shortCounts', 'count', 'Counts below this are a short circuit'),
      u32('openCounts', 'count', 'Counts above this are an open circuit'),
      u32('lowCounts', 'count', 'Counts below this are out of range'),
      u32('highCounts', 'count', 'Counts above this are out of range'),
      u32('flipCounts', 'count', 'A larger change that reverses in the next tick does not come from the sensor'),
      u32('rateCounts', 'count', 'Largest plausible change per tick'),
    ],
  },
  {
    name: 'Coefficients',
    kind: 'derived',
    at: { coefficients: 'bank' },
    help: 'Values that configure() computes once from the parameters',
    fields: [
      f32('tickMs', 'millisecond', 'Length of a tick'),
      f32('tickS', 'second', 'Length of a tick'),
      f32('loadA1', 'ratio', 'Load low-pass'),
      f32('loadA2', 'ratio', 'Load low-pass'),
      f32('loadA3', 'ratio', 'Load low-pass'),
      f32('pressureA1', 'ratio', 'Pressure low-pass'),
      f32('pressureA2', 'ratio', 'Pressure low-pass'),
      f32('pressureA3', 'ratio', 'Pressure low-pass'),
      f32('notchK', 'ratio', 'Damping of the notch, 1/Q'),
      f32('areaNPerKpa', 'newtonPerKilopascal', 'Down force per chamber pressure'),
      f32('integralKpaPerNTick', 'kilopascalPerNewton', 'Set point change per load error and tick'),
      f32('setPointStepKpa', 'kilopascal', 'Largest set point change per tick'),
      f32('floorKpa', 'kilopascal', 'Pressure floor: no pulse lowers the pressure below precharge + 1 bar'),
      f32('oilMlPerKpa', 'millilitrePerKilopascal', 'Compliance of the oil alone'),
      f32('gasMlKpa', 'none', 'Gas compliance times absolute pressure squared, mL·kPa'),
      f32('flowMlPerMsRootKpa', 'none', 'Valve flow per square root of pressure drop, mL/(ms·√kPa)'),
      f32('slowWeight', 'ratio', 'Weight of a new error in its slow mean'),
      f32('noiseWeight', 'ratio', 'Weight of a new square in the variance'),
      f32('sensorWeight', 'ratio', "Weight of a new value in the low-pass that models the load sensor's lag"),
      ...Array.from({ length: 5 }, (_, index) =>
        f32(`band${index + 1}Weight`, 'ratio', `Weight of a new value in the predictor's low-pass ${index + 1}`),
      ),
      f32('detectorWeight', 'ratio', "Weight of a new value in the detector's low-pass"),
      f32('velocityDecay', 'ratio', "Fraction of the detector's velocity that decays each tick"),
      f32('strokeVolumeMlPerMps', 'none', 'Oil displaced by row motion per tick, mL per m/s'),
      f32('mlPerTickToMin', 'none', 'Conversion from mL per tick to mL/min'),
      f32('gasWeight', 'ratio', 'Fraction of the excess temperature of the gas that is lost each tick'),
      f32('gasShare', 'ratio', 'Fraction of a fast pressure change that disappears as the gas cools'),
      f32('leakWeight', 'ratio', "Weight of a new flow in the leak's slow mean"),
      f32('frameWeight', 'ratio', 'Weight of a new drift in its slow mean'),
      f32('noiseForget', 'ratio', 'Fraction of noiseKpa that is forgotten each tick'),
      f32('energyMjPerV2', 'none', "Half the reservoir's capacitance, mJ/V²"),
      f32('energyFloorMj', 'millijoule', 'Energy in the reservoir at strokeMinMv'),
      u32('strokeTicks', 'tick', 'strokeMs'),
      u32('deadTicks', 'tick', 'deadMs'),
      u32('minPulseTicks', 'tick', 'minPulseMs'),
      u32('maxPulseTicks', 'tick', 'maxPulseMs'),
      u32('restTicks', 'tick', 'restMs'),
      u32('settleTicks', 'tick', 'settleMs'),
      u32('lowerSettleTicks', 'tick', 'lowerSettleMs'),
      u32('liftSettleTicks', 'tick', 'liftSettleMs'),
      u32('zeroWindowTicks', 'tick', 'zeroWindowMs'),
      u32('frozenTicks', 'tick', 'frozenMs; 0 turns the check off'),
      u32('rateHoldTicks', 'tick', 'rateHoldMs'),
      u32('relatchTicks', 'tick', 'relatchS'),
      u32('missedWindowTicks', 'tick', 'missedWindowMs'),
      u32('frameSettleTicks', 'tick', 'Time after lowering until the frame has settled'),
      u32('frameHoldTicks', 'tick', 'Time after a stroke for which the slow mean of the drift is held'),
      u32('judgeFromTicks', 'tick', 'Time from a repeated close to the start of its judgement'),
      u32('judgeToTicks', 'tick', 'Time from a repeated close to its judgement'),
      u32('noVelocityTicks', 'tick', 'Time for which the velocity is not used after an invalid acceleration'),
      u32('retryTicks', 'tick', 'retryS'),
      u32('ventTicks', 'tick', 'ventMs'),
      u32('slotCycleTicks', 'tick', 'Cycle time of all banks that share the harness'),
      u32('slotStartTicks', 'tick', "Start of this bank's time slot in that cycle"),
    ],
  },
  {
    name: 'FaultSetting',
    kind: 'derived',
    at: { bankFaultSetting: 'bankFault', rowFaultSetting: 'rowFaultKind' },
    help: 'Times of a fault',
    fields: [u16('debounceTicks', 'tick', 'Debounce time'), u16('recoveryTicks', 'tick', 'Recovery time; 0: latched until restart')],
  },
];
