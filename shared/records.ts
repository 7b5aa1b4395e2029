import type { UnitName } from './units.js';

/**
 * Every record: what goes in, what comes out, what can be looked at, and the controller's whole state.
 * Fields stand in natural alignment without gaps; the generator refuses a record where they don't.
 */
export type FieldType = 'u8' | 'u16' | 'u32' | 'i32' | 'f32' | 'f64';

export interface Field {
  readonly name: string;
  readonly type: FieldType;
  readonly unit: UnitName;
  readonly help: string;
  /** Name of the enumeration in ENUMS that the number stands for. */
  readonly values?: EnumName;
}

/** How many stand at a place in memory; `countOf` in host/contract/layout.ts gives the number. */
export type Each = 'bank' | 'row' | 'valve' | 'channel' | 'channelKind' | 'bankFault' | 'rowFault' | 'rowFaultKind';

/** input: written before a tick. output: what the machine obeys. probe: what is worked out on the way, for people to see; the bank's tallies and last good values are read again in the next tick. state: carried to the next tick. derived: made by configure(). */
export type Kind = 'input' | 'output' | 'probe' | 'state' | 'derived';

export interface RecordTable {
  readonly name: string;
  readonly kind: Kind;
  /** Where it stands in memory: name of the place, and how many are there. */
  readonly at: Readonly<Record<string, Each>>;
  readonly help: string;
  readonly fields: readonly Field[];
}

export const ENUMS = {
  Order: ['none', 'open', 'close'],
  Belief: ['unknown', 'closed', 'open'],
  Wish: ['hold', 'raise', 'lower'],
  Strategy: ['threshold', 'cascade', 'predictive'],
  BankMode: ['refused', 'starting', 'idle', 'lifted', 'working', 'lowSupply', 'shutDown', 'dark'],
  RowMode: ['starting', 'off', 'holding', 'working', 'frozen', 'venting'],
  Watched: ['nothing', 'closed', 'raising', 'lowering'],
  Missed: ['none', 'supply', 'return'],
  ZeroResult: ['none', 'taken', 'unquiet', 'implausible'],
  Channel: ['load', 'pressure', 'acceleration', 'rail'],
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
const spare = (type: 'u8' | 'u16', place = ''): Field => ({ name: `spare${place}`, type, unit: 'none', help: 'Unused, 0' });

export const RECORDS: readonly RecordTable[] = [
  {
    name: 'BankInput',
    kind: 'input',
    at: { bankInput: 'bank' },
    help: 'What a bank’s controller is told each tick, besides its rows',
    fields: [
      f32('targetLoadN', 'newton', 'Load that every row is to carry'),
      f32('oilTemperatureC', 'degreeCelsius', 'Oil temperature'),
      u16('railCounts', 'count', 'Rail pressure, ratiometric'),
      u16('supplyMv', 'millivolt', 'Supply voltage at the bank'),
      u16('reservoirMv', 'millivolt', 'Voltage of the capacitor that feeds the coils'),
      u16('groundSpeedMmPerS', 'millimetrePerSecond', 'Ground speed as on an ISO 11783 bus: 1 mm/s a bit; above 64255 it is no value'),
      u8('lowered', 'none', 'Lift switch: 0 lifted, otherwise lowered'),
      u8('enabled', 'none', 'Operator’s switch: 0 off, otherwise on'),
      u8('shutDown', 'none', 'Power is about to go: otherwise 0'),
      spare('u8'),
    ],
  },
  {
    name: 'RowInput',
    kind: 'input',
    at: { rowInput: 'row' },
    help: 'What a bank’s controller is told of each row',
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
    help: 'What the bank’s controller answers',
    fields: [
      u32('faults', 'bits', 'Raised bank faults'),
      u8('mode', 'none', 'What the bank is doing', 'BankMode'),
      u8('allClosed', 'none', '1 while every valve of the bank is believed closed; between the pulses of a vent too'),
      spare('u16'),
    ],
  },
  {
    name: 'RowOutput',
    kind: 'output',
    at: { rowOutput: 'row' },
    help: 'What each row’s valves are to do',
    fields: [
      u32('faults', 'bits', 'Raised row faults'),
      u8('mode', 'none', 'What the row is doing', 'RowMode'),
      u8('supplyOrder', 'none', 'Current in the supply valve’s coil during this tick', 'Order'),
      u8('returnOrder', 'none', 'Current in the return valve’s coil during this tick', 'Order'),
      spare('u8'),
    ],
  },
  {
    name: 'BankProbe',
    kind: 'probe',
    at: { bankProbe: 'bank' },
    help: 'In-between values of the bank',
    fields: [
      f32('targetLoadN', 'newton', 'Target in force: the last valid one'),
      f32('railKpa', 'kilopascal', 'Rail pressure in use'),
      f32('flowRatio', 'ratio', 'Valve flow at this oil temperature as a share of warm flow'),
      f32('notchHz', 'hertz', 'Lug frequency in use, 0 while the notch is off'),
      f32('energyMj', 'millijoule', 'Energy for strokes above the least voltage; 0 without a reservoir'),
      u32('suspects', 'bits', 'Bank conditions present now, before debounce'),
      u32('strokes', 'none', 'Strokes started since configure()'),
      u16('closesWaiting', 'none', 'Closing strokes that wait for a slot'),
      u16('opensWaiting', 'none', 'Opening strokes that wait for a slot'),
      u16('openValves', 'none', 'Valves not believed closed'),
      u16('strokesInFlight', 'none', 'Coils driven in this tick'),
    ],
  },
  {
    name: 'RowProbe',
    kind: 'probe',
    at: { rowProbe: 'row' },
    help: 'In-between values of a row',
    fields: [
      f32('loadRawN', 'newton', 'Load before zero and filter'),
      f32('zeroN', 'newton', 'Zero in force'),
      f32('loadN', 'newton', 'Load after zero, median, notch and low-pass'),
      f32('pressureRawKpa', 'kilopascal', 'Chamber pressure after the median'),
      f32('pressureKpa', 'kilopascal', 'Chamber pressure after the low-pass'),
      f32('accelerationMps2', 'metrePerSecondSquared', 'Row acceleration, 0 where not fitted'),
      f32('setPointKpa', 'kilopascal', 'Pressure set point of the load loop'),
      f32('loadErrorN', 'newton', 'Target minus load'),
      f32('errorN', 'newton', 'Error that the deadband judges: load error, or pressure error as load'),
      f32('noiseN', 'newton', 'Standard deviation of that error about its slow mean'),
      f32('deadbandN', 'newton', 'Deadband in force'),
      f32('presentN', 'newton', 'Load as it is now, without bounce: where the predictor starts from'),
      f32('predictedN', 'newton', 'Load expected as mean of the next moments if no valve moves'),
      f32('ownKpa', 'kilopascal', 'Pressure that the row’s own pulses have made, from an arbitrary zero'),
      f32('supplyStepKpa', 'kilopascal', 'What the supply valve adds in a tick while it is open'),
      f32('returnStepKpa', 'kilopascal', 'What the return valve takes in a tick while it is open'),
      f32('riseKpa', 'kilopascal', 'Rise without own pulses or motion, beyond what is allowed: a valve stands where it should not'),
      f32('fallKpa', 'kilopascal', 'Fall likewise'),
      f32('leakMlPerMin', 'millilitrePerMinute', 'Flow into the closed chamber as its pressure tells it, negative out of it'),
      f32('smoothKpa', 'kilopascal', 'Chamber pressure, low-passed but for own pulses, which count at once'),
      ...numbered('loadTrend', 4, 'newton', 'Load without the pressure’s share: its part in band'),
      ...numbered('pressureTrend', 4, 'newton', 'Pressure not made by own pulses, as load: its part in band'),
      ...numbered('inertia', 5, 'newton', 'Inertia force of the row up to corner'),
      f32('compliance', 'millilitrePerKilopascal', 'Oil per pressure of the actuator at this pressure'),
      f32('pulseMs', 'millisecond', 'Pulse length that the last wish asked for'),
      f32('supplyGain', 'ratio', 'Learned gain of the supply valve'),
      f32('returnGain', 'ratio', 'Learned gain of the return valve'),
      u32('suspects', 'bits', 'Row conditions present now, before debounce'),
      u16('openTicks', 'tick', 'How long the row’s open valve has been open'),
      u16('waitTicks', 'tick', 'How long the row’s oldest request has waited for a slot'),
      u16('closeWaitTicks', 'tick', 'How long the end of the row’s pulse has waited for a slot'),
      spare('u16'),
      u8('wish', 'none', 'What the strategy wants', 'Wish'),
      u8('supplyBelief', 'none', 'Believed position of the supply valve', 'Belief'),
      u8('returnBelief', 'none', 'Believed position of the return valve', 'Belief'),
      u8('zeroResult', 'none', 'How the last re-zero ended', 'ZeroResult'),
    ],
  },
  {
    name: 'BankState',
    kind: 'state',
    at: { bankState: 'bank' },
    help: 'What the bank carries from tick to tick',
    fields: [
      u32('rowCount', 'none', 'Rows that configure() was called with'),
      f32('targetLoadN', 'newton', 'Last valid target'),
      f32('notchG', 'ratio', 'Tangent of half the notch’s angle per tick'),
      u32('strokes', 'none', 'Strokes started'),
      u32('shutDownTicks', 'tick', 'Time since shut-down was asked for; held at its limit'),
      u16('loweredTicks', 'tick', 'Time since lowering; held at its limit'),
      u16('slotTicks', 'tick', 'Place in the turn of the banks that share a harness'),
      u8('refused', 'none', '1 after a refused configure()'),
      u8('mode', 'none', 'What the bank is doing', 'BankMode'),
      u8('started', 'none', '1 once every valve has been closed after start'),
      spare('u8'),
    ],
  },
  {
    name: 'ChannelState',
    kind: 'state',
    at: { channelState: 'channel', railState: 'bank' },
    help: 'Checks of one analog input',
    fields: [
      f32('value', 'none', 'Last good value, in the channel’s unit'),
      i32('move', 'count', 'Last change of the code'),
      u16('counts', 'count', 'Last code'),
      u16('sameTicks', 'tick', 'How long the code has not changed; held at its limit'),
      u16('rateTicks', 'tick', 'How long the channel stays suspect after a jump'),
      u8('seen', 'none', '1 once a code inside the range has been seen'),
      u8('good', 'none', '1 while the value may be used'),
      u8('seeded', 'none', '1 once the filters behind hold a first value'),
      u8('cleanTicks', 'tick', 'For how many ticks nothing has spoken against the code; held at 2'),
      u16('insideCounts', 'count', 'Last code inside the range'),
      u8('flips', 'none', 'For how many ticks running the code has moved far and back'),
      spare('u8', '1'),
      spare('u16', '2'),
    ],
  },
  {
    name: 'ZeroState',
    kind: 'state',
    at: { zeroState: 'row' },
    help: 'Re-zero of the load sensor at each lift',
    fields: [
      f32('zeroN', 'newton', 'Zero in force'),
      f32('firstN', 'newton', 'First load of the window'),
      f32('sumN', 'newton', 'Sum of the window’s distances from the first load'),
      f32('lowestN', 'newton', 'Lowest load of the window'),
      f32('highestN', 'newton', 'Highest load of the window'),
      u16('ticks', 'tick', 'Ticks in the window so far'),
      u16('waitTicks', 'tick', 'Time since the lift; held at its limit'),
      u8('result', 'none', 'How the last window ended', 'ZeroResult'),
      u8('taken', 'none', '1 once this lift has given a zero'),
      u8('known', 'none', '1 once any lift has given a zero'),
      spare('u8'),
    ],
  },
  {
    name: 'MedianState',
    kind: 'state',
    at: { loadMedian: 'row', pressureMedian: 'row' },
    help: 'Median of 3',
    fields: [f32('older', 'none', 'Value two ticks ago'), f32('old', 'none', 'Value one tick ago')],
  },
  {
    name: 'SecondOrderState',
    kind: 'state',
    at: { lugNotch: 'row', loadLowPass: 'row', pressureLowPass: 'row' },
    help: 'Second-order filter, as two integrators',
    fields: [f32('first', 'none', 'First integrator'), f32('second', 'none', 'Second integrator')],
  },
  {
    name: 'LoopState',
    kind: 'state',
    at: { loopState: 'row' },
    help: 'Load loop and deadband of a row',
    fields: [
      f32('setPointKpa', 'kilopascal', 'Pressure set point'),
      f32('integralKpa', 'kilopascal', 'Integral part of the load loop'),
      f32('slowErrorN', 'newton', 'Slow mean of the judged error'),
      f32('varianceN2', 'none', 'Variance of the judged error about its slow mean, N²'),
      u16('planTicks', 'tick', 'Length of the pulse under way or wanted'),
      u8('seeded', 'none', '1 once the set point holds a first value'),
      u8('running', 'none', '1 if the load loop ran in the last tick'),
      u8('acting', 'none', 'Direction kept until the error is inside the hysteresis', 'Wish'),
      u8('judging', 'none', '1 if an error was judged in the last tick'),
      u8('atFloor', 'none', '1 since the floor stopped the letting out of pressure'),
      spare('u8'),
    ],
  },
  {
    name: 'ObserverState',
    kind: 'state',
    at: { observer: 'row' },
    help: 'What the predictor remembers of a row: low-passes, each from the slowest on',
    fields: [
      f32('ownKpa', 'kilopascal', 'Pressure made by own pulses'),
      f32('sensedPressureKpa', 'kilopascal', 'Pressure behind a lag like the load sensor’s'),
      f32('sensedInertiaN', 'newton', 'Inertia force behind the same lag'),
      ...numbered('load', 5, 'newton', 'Load without the pressure’s share, low-pass'),
      ...numbered('pressure', 5, 'newton', 'Pressure not made by own pulses, as load, low-pass'),
      ...numbered('inertia', 5, 'newton', 'Inertia force, low-pass'),
      u16('pressureSeen', 'none', '1 if the pressure was followed in the last tick'),
      u16('loadSeen', 'none', '1 if the load was followed in the last tick'),
    ],
  },
  {
    name: 'WatchState',
    kind: 'state',
    at: { watchState: 'row' },
    help: 'Watch over a row’s valves: what the pressure says of their positions',
    fields: [
      f32('velocityMps', 'metrePerSecond', 'Velocity of the row from its accelerometer, without its slow part'),
      f32('slowMps', 'metrePerSecond', 'Slow mean of that velocity'),
      f32('smoothMps', 'metrePerSecond', 'Velocity, as late as the pressure'),
      f32('restKpa', 'kilopascal', 'Pressure less that of own pulses, low-passed'),
      f32('riseKpa', 'kilopascal', 'Cumulative sum for a rise'),
      f32('fallKpa', 'kilopascal', 'Cumulative sum for a fall'),
      f32('motionKpa', 'kilopascal', 'What the row’s motion adds to the pressure in this tick'),
      f32('stillKpa', 'kilopascal', 'What the rest has changed by without the row’s motion since the last pulse began'),
      f32('riseFromKpa', 'kilopascal', 'restKpa when riseKpa last was 0'),
      f32('fallFromKpa', 'kilopascal', 'restKpa when fallKpa last was 0'),
      f32('creditKpa', 'kilopascal', 'What the pulse under way has been thought to give'),
      f32('slowKpa', 'kilopascal', 'Pressure as the gas would have it if it were as warm as its wall'),
      f32('leakMlPerMin', 'millilitrePerMinute', 'Slow mean of the flow into the closed chamber'),
      f32('ownMlPerMin', 'millilitrePerMinute', 'Slow mean of the oil that own pulses move'),
      u16('blindTicks', 'tick', 'Time left for which the velocity is not used'),
      u8('watched', 'none', 'What the sums are looking for', 'Watched'),
      u8('missed', 'none', 'Valve that was found not to have obeyed in this tick', 'Missed'),
      u8('seen', 'none', '1 if the pressure was followed in the last tick'),
      spare('u8'),
      spare('u16', '2'),
    ],
  },
  {
    name: 'PairState',
    kind: 'state',
    at: { pairState: 'row' },
    help: 'Valve pair of a row',
    fields: [
      f32('needN', 'newton', 'How far outside the deadband the error is: the queue serves the largest first'),
      f32('stepKpaPerTick', 'kilopascal', 'Pressure change for each open tick expected at gain 1, 0 where there is nothing to learn'),
      f32('expectedKpa', 'kilopascal', 'What the last pulse should have given at gain 1, a size'),
      u16('restTicks', 'tick', 'Rest left after the last pulse'),
      u16('deadTicks', 'tick', 'Dead time left after the last close'),
      u16('settleTicks', 'tick', 'Time left before the last pulse’s step is read'),
      u8('openWish', 'none', 'Wish that the open valve serves, Hold if none is open', 'Wish'),
      u8('learnWish', 'none', 'Wish whose pulse is to be learned from', 'Wish'),
      u8('flowing', 'none', 'Wish whose oil flows: from the end of the opening stroke to the end of the closing one', 'Wish'),
      u8('isVoid', 'none', '1 once the pulse under way was found not to flow'),
      spare('u16'),
    ],
  },
  {
    name: 'ValveState',
    kind: 'state',
    at: { valveState: 'valve' },
    help: 'One latching valve as it is believed to be',
    fields: [
      f32('gain', 'ratio', 'Learned flow against the configured one'),
      f32('covariance', 'none', 'Covariance of the learned gain, 1/kPa²'),
      u32('quietTicks', 'tick', 'Time since the last stroke; held at its limit'),
      u16('openTicks', 'tick', 'Time since the opening stroke began; held at its limit'),
      u16('coilTicks', 'tick', 'Time left of the stroke under way'),
      u16('waitTicks', 'tick', 'How long the request has waited; held at its limit'),
      u8('belief', 'none', 'Believed position', 'Belief'),
      u8('coil', 'none', 'Stroke under way', 'Order'),
      u8('request', 'none', 'Stroke asked of the queue', 'Order'),
      u8('missedOpens', 'none', 'Opening strokes in a row that were found not to have opened it'),
      u8('missedCloses', 'none', 'Closing strokes in a row that were found not to have closed it'),
      u8('stuck', 'none', '1 once it has not obeyed strokeTries times in a row'),
    ],
  },
  {
    name: 'FaultState',
    kind: 'state',
    at: { bankFaults: 'bank', rowFaults: 'row' },
    help: 'Faults of the bank or of a row',
    fields: [u32('faults', 'bits', 'Raised faults'), u32('pending', 'bits', 'Faults whose timer runs')],
  },
  {
    name: 'FaultTimer',
    kind: 'state',
    at: { bankFaultTimer: 'bankFault', rowFaultTimer: 'rowFault' },
    help: 'Debounce and recovery of one fault',
    fields: [u16('ticks', 'tick', 'How long the condition has differed from the fault')],
  },
  {
    name: 'ChannelSetting',
    kind: 'derived',
    at: { channelSetting: 'channelKind' },
    help: 'Limits and conversion of one kind of analog input',
    fields: [
      f32('unitPerCount', 'none', 'Slope of the conversion'),
      f32('unitAtZero', 'none', 'Value at code 0'),
      u32('shortCounts', 'count', 'Codes below are a short'),
      u32('openCounts', 'count', 'Codes above are an open circuit'),
      u32('lowCounts', 'count', 'Codes below are out of range'),
      u32('highCounts', 'count', 'Codes above are out of range'),
      u32('flipCounts', 'count', 'A move beyond this and back is none that the sensor makes'),
      u32('rateCounts', 'count', 'Largest believable change in a tick'),
    ],
  },
  {
    name: 'Coefficients',
    kind: 'derived',
    at: { coefficients: 'bank' },
    help: 'What configure() works out once from the parameters',
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
      f32('setPointStepKpa', 'kilopascal', 'Largest set point change in a tick'),
      f32('floorKpa', 'kilopascal', 'Never let out below this: precharge + 1 bar'),
      f32('oilMlPerKpa', 'millilitrePerKilopascal', 'Compliance of the oil alone'),
      f32('gasMlKpa', 'none', 'Gas compliance times absolute pressure squared, mL·kPa'),
      f32('flowMlPerMsRootKpa', 'none', 'Valve flow per root of pressure drop, mL/(ms·√kPa)'),
      f32('slowWeight', 'ratio', 'Weight of a new error in its slow mean'),
      f32('noiseWeight', 'ratio', 'Weight of a new square in the variance'),
      f32('sensorWeight', 'ratio', 'Weight of a new value behind the load sensor’s lag'),
      ...Array.from({ length: 5 }, (_, index) =>
        f32(`band${index + 1}Weight`, 'ratio', `Weight of a new value in the predictor’s low-pass ${index + 1}`),
      ),
      f32('watchWeight', 'ratio', 'Weight of a new value in the watch’s low-pass'),
      f32('velocityFade', 'ratio', 'Share of its velocity that the watch forgets each tick'),
      f32('strokeVolumeMlPerMps', 'none', 'Oil that the row’s motion displaces in a tick, mL for each m/s'),
      f32('mlPerTickToMin', 'none', 'From mL a tick to mL a minute'),
      f32('gasWeight', 'ratio', 'Share of a gas temperature’s excess that is lost each tick'),
      f32('gasShare', 'ratio', 'Share of a fast pressure change that goes as the gas cools'),
      f32('leakWeight', 'ratio', 'Weight of a new flow in the leak’s slow mean'),
      f32('energyMjPerV2', 'none', 'Half the reservoir’s capacitance, mJ/V²'),
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
      u32('watchTicks', 'tick', 'watchMs'),
      u32('blindTicks', 'tick', 'How long the velocity is not used after a reading in doubt'),
      u32('retryTicks', 'tick', 'retryS'),
      u32('ventTicks', 'tick', 'ventMs'),
      u32('slotCycleTicks', 'tick', 'Turn of all banks that share the harness'),
      u32('slotStartTicks', 'tick', 'This bank’s place in the turn'),
    ],
  },
  {
    name: 'FaultSetting',
    kind: 'derived',
    at: { bankFaultSetting: 'bankFault', rowFaultSetting: 'rowFaultKind' },
    help: 'Times of one fault',
    fields: [u16('debounceTicks', 'tick', 'Debounce'), u16('recoveryTicks', 'tick', 'Recovery; 0 means never by itself')],
  },
];
