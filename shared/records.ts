import { CHANNELS } from './channels.js';
import type { UnitName } from './units.js';

/**
 * Every record: inputs, outputs, probes (values to look at) and the controller's whole state. Fields are naturally aligned
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

/** What a place in memory has one record for; `countOf` in host/contract/layout.ts returns how many that is. */
export type Each = 'bank' | 'row' | 'valve' | 'channel' | 'channelKind' | 'bankFault' | 'rowFault' | 'rowFaultKind';

/**
 * input: written before a tick. output: what the machine does. probe: intermediate values for people to look at; the next
 * tick also reads the bank's tallies and last valid values. state: carried over to the next tick. derived: computed by
 * configure().
 */
export type Kind = 'input' | 'output' | 'probe' | 'state' | 'derived';

export interface RecordTable {
  readonly name: string;
  readonly kind: Kind;
  /** Places in memory: name, and what each has one record for. */
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
  PulseFault: ['none', 'missedClose', 'missedOpen'],
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
    help: 'Inputs of a bank for one tick, besides those of its rows',
    fields: [
      f32('targetLoadN', 'newton', 'Target load of every row'),
      f32('oilTemperatureC', 'degreeCelsius', 'Oil temperature'),
      u16('railCounts', 'count', 'Rail pressure, ratiometric'),
      u16('supplyMv', 'millivolt', 'Supply voltage at the bank'),
      u16('reservoirMv', 'millivolt', 'Voltage of the capacitor that feeds the coils'),
      u16('groundSpeedMmPerS', 'millimetrePerSecond', 'Ground speed as on an ISO 11783 bus: 1 mm/s per bit; above 64255 it is not a speed'),
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
      u8('mode', 'none', 'What the bank is doing', 'BankMode'),
      u8('allClosed', 'none', '1 while every valve of the bank is believed closed; also between the pulses of a vent'),
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
      u8('mode', 'none', 'What the row is doing', 'RowMode'),
      u8('supplyOrder', 'none', "Current in the supply valve's coil during this tick", 'Order'),
      u8('returnOrder', 'none', "Current in the return valve's coil during this tick", 'Order'),
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
      f32('flowRatio', 'ratio', 'Valve flow at this oil temperature over flow in warm oil'),
      f32('notchHz', 'hertz', 'Lug frequency in use, 0 while the notch is off'),
      f32('energyMj', 'millijoule', 'Energy for strokes above the minimum voltage; 0 without a reservoir'),
      u32('conditions', 'bits', 'Fault conditions of the bank that are present now, before debounce'),
      u32('strokes', 'none', 'Strokes started since configure()'),
      u16('closesWaiting', 'none', 'Closing strokes that wait for a slot'),
      u16('opensWaiting', 'none', 'Opening strokes that wait for a slot'),
      u16('openValves', 'none', 'Valves not believed closed'),
      u16('closesNeeded', 'none', 'Closing strokes that valves which are or may be open still need, without stuck valves'),
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
        'Control error that is compared with the deadband: load error, pressure error as load, or predicted load error',
      ),
      f32('noiseN', 'newton', 'Standard deviation of the control error about its slow mean'),
      f32('deadbandN', 'newton', 'Deadband in use'),
      f32('presentN', 'newton', "Present load without bounce: the predictor's starting point"),
      f32('predictedN', 'newton', 'Predicted mean load of the next moments if no valve moves'),
      f32('meteredKpa', 'kilopascal', "Pressure change by the oil that the row's valves metered, from an arbitrary zero"),
      f32('supplyStepKpa', 'kilopascal', 'Pressure change per tick while the supply valve is open'),
      f32('returnStepKpa', 'kilopascal', 'Pressure change per tick while the return valve is open, positive'),
      f32(
        'cusumUpKpa',
        'kilopascal',
        'Cumulative sum of a rise that neither metered oil nor motion explains: a valve is not where it is believed to be',
      ),
      f32('cusumDownKpa', 'kilopascal', 'Cumulative sum of such a fall'),
      f32('leakMlPerMin', 'millilitrePerMinute', 'Flow into the closed chamber, estimated from its pressure; negative: out of it'),
      f32('smoothKpa', 'kilopascal', 'Chamber pressure, low-passed except for metered oil, which counts at once'),
      ...numbered('loadTrend', 4, 'newton', "Load without the pressure's share: its part in band"),
      ...numbered('pressureTrend', 4, 'newton', 'Pressure that metered oil does not explain, as load: its part in band'),
      ...numbered('inertia', 5, 'newton', 'Inertia force of the row up to corner'),
      f32('compliance', 'millilitrePerKilopascal', 'Compliance of the actuator at this pressure'),
      f32('pulseMs', 'millisecond', 'Pulse length that the last wish asked for'),
      f32('supplyGain', 'ratio', 'Learned gain of the supply valve'),
      f32('returnGain', 'ratio', 'Learned gain of the return valve'),
      u32('conditions', 'bits', 'Fault conditions of the row that are present now, before debounce'),
      u16('openTicks', 'tick', "How long the row's open valve has been open"),
      u16('waitTicks', 'tick', "How long the row's oldest request has waited for a slot"),
      u16('closeWaitTicks', 'tick', "How long the end of the row's pulse has waited for a slot"),
      spare('u16'),
      u8('wish', 'none', 'What the strategy wants', 'Wish'),
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
      u32('rowCount', 'none', 'Rows that configure() was called with'),
      f32('targetLoadN', 'newton', 'Last valid target'),
      f32('notchG', 'ratio', "Tangent of half the notch's angle per tick"),
      u32('strokes', 'none', 'Strokes started'),
      u32('shutDownTicks', 'tick', 'Time since the shut-down request; stays at its limit'),
      u16('loweredTicks', 'tick', 'Time since lowering; stays at its limit'),
      u16('slotTicks', 'tick', 'Position in the cycle of the banks that share a harness'),
      u8('refused', 'none', '1 after configure() refused a parameter'),
      u8('mode', 'none', 'What the bank is doing', 'BankMode'),
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
      u16('sameTicks', 'tick', 'How long the ADC counts have not changed; stays at its limit'),
      u16('rateTicks', 'tick', 'How much longer the channel is suspect after a jump'),
      u8('hasReading', 'none', '1 once a reading was in range'),
      u8('valid', 'none', '1 while the value may be used'),
      u8('seeded', 'none', "1 once the channel's filters have been seeded"),
      u8('cleanTicks', 'tick', 'For how many ticks in a row no check has failed; stays at 2'),
      u16('inRangeCounts', 'count', 'Last ADC counts in range'),
      u8('flips', 'none', 'For how many ticks in a row the ADC counts have moved far and back'),
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
      u16('waitTicks', 'tick', 'Time since the lift; stays at its limit'),
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
      u8('acting', 'none', 'Direction that is kept until the error is inside the hysteresis', 'Wish'),
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
      f32('meteredKpa', 'kilopascal', 'Pressure change by metered oil'),
      f32('sensedPressureKpa', 'kilopascal', "Pressure behind the load sensor's lag"),
      f32('sensedInertiaN', 'newton', "Inertia force behind the load sensor's lag"),
      ...numbered('load', 5, 'newton', "Load without the pressure's share, low-pass"),
      ...numbered('pressure', 5, 'newton', 'Pressure that metered oil does not explain, as load, low-pass'),
      ...numbered('inertia', 5, 'newton', 'Inertia force, low-pass'),
      u16('hasPressure', 'none', '1 if the last tick had a valid pressure'),
      u16('hasLoad', 'none', '1 if the last tick had a valid load'),
    ],
  },
  {
    name: 'DetectorState',
    kind: 'state',
    at: { detector: 'row' },
    help: "State of a row's detector, which finds missed strokes and leaks from the pressure",
    fields: [
      f32('velocityMps', 'metrePerSecond', 'Row velocity from the accelerometer, high-passed'),
      f32('slowMps', 'metrePerSecond', 'Slow mean of that velocity'),
      f32('smoothMps', 'metrePerSecond', 'Velocity behind the same low-pass as the pressure'),
      f32('residualKpa', 'kilopascal', 'Pressure that metered oil does not explain, low-passed'),
      f32('cusumUpKpa', 'kilopascal', 'Cumulative sum for a rise'),
      f32('cusumDownKpa', 'kilopascal', 'Cumulative sum for a fall'),
      f32('motionKpa', 'kilopascal', "Pressure change of this tick by the row's motion"),
      f32('residualStepKpa', 'kilopascal', "Change of the residual without the row's motion since the last pulse began"),
      f32('cusumUpFromKpa', 'kilopascal', 'residualKpa when cusumUpKpa was last 0'),
      f32('cusumDownFromKpa', 'kilopascal', 'residualKpa when cusumDownKpa was last 0'),
      f32('pulseKpa', 'kilopascal', 'Expected effect of the present pulse so far'),
      f32('slowKpa', 'kilopascal', 'Pressure that the gas would have at the temperature of its wall'),
      f32('leakMlPerMin', 'millilitrePerMinute', 'Slow mean of the flow into the closed chamber'),
      f32('meteredMlPerMin', 'millilitrePerMinute', 'Slow mean of the metered oil, both directions'),
      u16('noVelocityTicks', 'tick', 'How much longer the velocity is not used'),
      u8('mode', 'none', 'Which kind of missed stroke the sums look for', 'DetectorMode'),
      u8('missedValve', 'none', 'Valve whose missed stroke was found in this tick', 'MissedValve'),
      u8('hasPressure', 'none', '1 if the last tick had a valid pressure'),
      u8('frameSettled', 'none', '1 once the frame has been down for long enough'),
      spare('u16'),
    ],
  },
  {
    name: 'PairState',
    kind: 'state',
    at: { pairState: 'row' },
    help: "State of a row's valve pair",
    fields: [
      f32('needN', 'newton', 'How far the error is outside the deadband: the queue serves the largest first'),
      f32('stepKpaPerTick', 'kilopascal', 'Expected pressure change per open tick of the wished pulse, at gain 1'),
      f32('expectedKpa', 'kilopascal', 'Expected pressure change of the last pulse at gain 1, as a magnitude'),
      u16('restTicks', 'tick', 'Rest time left after the last pulse'),
      u16('deadTicks', 'tick', 'Dead time left after the last close'),
      u16('settleTicks', 'tick', "Time left until the last pulse's pressure step is read"),
      u8('openWish', 'none', 'Wish that the open valve serves, hold if none is open', 'Wish'),
      u8('learnWish', 'none', 'Wish whose pulse the gain is to be learned from', 'Wish'),
      u8('flowWish', 'none', 'Wish whose oil flows: from the end of the opening stroke to the end of the closing stroke', 'Wish'),
      u8('pulseFault', 'none', 'Missed stroke found during the present pulse: the close before it, or its own open', 'PulseFault'),
      spare('u16'),
    ],
  },
  {
    name: 'ValveState',
    kind: 'state',
    at: { valveState: 'valve' },
    help: 'State of a latching valve, as believed',
    fields: [
      f32('gain', 'ratio', 'Learned flow over configured flow'),
      f32('covariance', 'none', 'Covariance of the learned gain, 1/kPa²'),
      u32('quietTicks', 'tick', 'Time since the last stroke; stays at its limit'),
      u16('openTicks', 'tick', 'Time since the opening stroke began; stays at its limit'),
      u16('coilTicks', 'tick', 'Time left of the present stroke'),
      u16('waitTicks', 'tick', 'How long the request has waited; stays at its limit'),
      u8('belief', 'none', 'Believed position', 'Belief'),
      u8('coil', 'none', 'Present stroke', 'Order'),
      u8('request', 'none', 'Stroke requested from the queue', 'Order'),
      u8('missedOpens', 'none', 'Opening strokes in a row that were found missed'),
      u8('missedCloses', 'none', 'Closing strokes in a row that were found missed'),
      u8('stuck', 'none', '1 once it has missed strokeTries strokes in a row'),
      u8('repeats', 'none', 'How often its last closing stroke has been repeated on suspicion'),
      u8('suspected', 'none', '1 while a closing stroke is requested on suspicion'),
      spare('u16'),
    ],
  },
  {
    name: 'FaultState',
    kind: 'state',
    at: { bankFaults: 'bank', rowFaults: 'row' },
    help: 'Faults of a bank or of a row',
    fields: [u32('faults', 'bits', 'Faults that are set'), u32('pending', 'bits', 'Faults whose timer runs')],
  },
  {
    name: 'FaultTimer',
    kind: 'state',
    at: { bankFaultTimer: 'bankFault', rowFaultTimer: 'rowFault' },
    help: 'Debounce and recovery timer of a fault',
    fields: [u16('ticks', 'tick', 'How long the condition has differed from the fault')],
  },
  {
    name: 'ChannelSetting',
    kind: 'derived',
    at: { channelSetting: 'channelKind' },
    help: 'Limits and conversion of one kind of analog input',
    fields: [
      f32('unitPerCount', 'none', 'Slope of the conversion'),
      f32('unitAtZero', 'none', 'Value at 0 counts'),
      u32('shortCounts', 'count', 'Below: short circuit'),
      u32('openCounts', 'count', 'Above: open circuit'),
      u32('lowCounts', 'count', 'Below: out of range'),
      u32('highCounts', 'count', 'Above: out of range'),
      u32('flipCounts', 'count', "A change larger than this that reverses in the next tick is not the sensor's"),
      u32('rateCounts', 'count', 'Largest plausible change per tick'),
    ],
  },
  {
    name: 'Coefficients',
    kind: 'derived',
    at: { coefficients: 'bank' },
    help: 'What configure() computes once from the parameters',
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
      f32('floorKpa', 'kilopascal', 'No pulse lowers the pressure below this: precharge + 1 bar'),
      f32('oilMlPerKpa', 'millilitrePerKilopascal', 'Compliance of the oil alone'),
      f32('gasMlKpa', 'none', 'Gas compliance times absolute pressure squared, mL·kPa'),
      f32('flowMlPerMsRootKpa', 'none', 'Valve flow per square root of pressure drop, mL/(ms·√kPa)'),
      f32('slowWeight', 'ratio', 'Weight of a new error in its slow mean'),
      f32('noiseWeight', 'ratio', 'Weight of a new square in the variance'),
      f32('sensorWeight', 'ratio', "Weight of a new value behind the load sensor's lag"),
      ...Array.from({ length: 5 }, (_, index) =>
        f32(`band${index + 1}Weight`, 'ratio', `Weight of a new value in the predictor's low-pass ${index + 1}`),
      ),
      f32('detectorWeight', 'ratio', "Weight of a new value in the detector's low-pass"),
      f32('velocityDecay', 'ratio', 'Share of its velocity that the detector drops each tick'),
      f32('strokeVolumeMlPerMps', 'none', "Oil that the row's motion displaces per tick, mL per m/s"),
      f32('mlPerTickToMin', 'none', 'From mL per tick to mL/min'),
      f32('gasWeight', 'ratio', "Share of the gas's excess temperature that is lost each tick"),
      f32('gasShare', 'ratio', 'Share of a fast pressure change that vanishes as the gas cools'),
      f32('leakWeight', 'ratio', "Weight of a new flow in the leak's slow mean"),
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
      u32('noVelocityTicks', 'tick', 'How long the velocity is not used after an invalid acceleration'),
      u32('retryTicks', 'tick', 'retryS'),
      u32('ventTicks', 'tick', 'ventMs'),
      u32('slotCycleTicks', 'tick', 'Cycle of all banks that share the harness'),
      u32('slotStartTicks', 'tick', "This bank's slot in that cycle"),
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
