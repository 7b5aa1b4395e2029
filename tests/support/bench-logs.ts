import { MessageFields } from '../../host/assess/message-fields.js';
import { dataViewOf } from '../../host/common/data-view.js';
import { describeContract } from '../../host/contract/contract.js';
import { openRecording } from '../../host/recording/reader.js';

/** Logs as benches and displays write them, made from a recording of a simulated run; all data is invented. */

const contract = describeContract();

/** What a tick of the recording holds, in SI units; rows and valves count from 0. */
interface Tick {
  readonly tick: number;
  readonly targetN: number;
  readonly speedMps: number;
  readonly railKpa: number;
  readonly loadN: (row: number) => number;
  readonly pressureKpa: (row: number) => number;
  readonly accelerationMps2: (row: number) => number;
  /** -1 closing stroke, 0 none, 1 opening stroke. */
  readonly coil: (row: number, valve: number) => number;
  readonly isOpen: (row: number, valve: number) => boolean;
}

/** Default sensors: 10 % of 4096 counts is the lower value, 90 % the upper one. */
const measured = (counts: number, low: number, high: number): number => low + ((counts / 4096 - 0.1) / 0.8) * (high - low);

/** Yields the ticks of a recording with inputs and outputs; the object is reused. */
function* ticksOf(file: string): Generator<Tick> {
  const recording = openRecording(file, contract);
  const [input, output] = [new MessageFields(contract, 'input'), new MessageFields(contract, 'output')];
  const orders = Array.from({ length: recording.rows }, (_, row) =>
    ['supplyOrder', 'returnOrder'].map((name) => output.row(row, name, 'u8')),
  );
  const open = orders.map((valves) => valves.map(() => false));
  let inputs: DataView = new DataView(new ArrayBuffer(0));
  for (const { message, tick, payload } of recording.messages({ messages: ['input', 'output'] })) {
    const view = dataViewOf(payload);
    if (message === 'input') inputs = view;
    else {
      const orderOf = (row: number, valve: number): number => view.getUint8(orders[row]?.[valve] ?? 0);
      for (const [row, valves] of open.entries())
        for (const valve of valves.keys()) if (orderOf(row, valve) !== 0) valves[valve] = orderOf(row, valve) === 1;
      const counts = (row: number, name: string): number => inputs.getUint16(input.row(row, name, 'u16'), true);
      yield {
        tick,
        targetN: inputs.getFloat32(input.bank('targetLoadN', 'f32'), true),
        speedMps: inputs.getUint16(input.bank('groundSpeedMmPerS', 'u16'), true) / 1000,
        railKpa: measured(inputs.getUint16(input.bank('railCounts', 'u16'), true), 0, 25_000),
        loadN: (row) => measured(counts(row, 'loadCounts'), -500, 4500),
        pressureKpa: (row) => measured(counts(row, 'pressureCounts'), 0, 25_000),
        accelerationMps2: (row) => measured(counts(row, 'accelerationCounts'), -50, 50),
        coil: (row, valve) => [0, 1, -1][orderOf(row, valve)] ?? 0,
        isOpen: (row, valve) => open[row]?.[valve] ?? false,
      };
    }
  }
}

const VALVES = [0, 1];
const comma = (value: number, digits: number): string => value.toFixed(digits).replace('.', ',');
const two = (value: number): string => String(value).padStart(2, '0');

/** A text, and the lines of its rows. */
function written(head: readonly string[], file: string, everyTicks: number, row: (one: Tick) => string | undefined): string {
  const lines = [...head];
  for (const one of ticksOf(file)) {
    const line = one.tick % everyTicks === 0 ? row(one) : undefined;
    if (line !== undefined) lines.push(line);
  }
  return `${lines.join('\r\n')}\r\n`;
}

const rowsOf = (rows: number): number[] => Array.from({ length: rows }, (_, row) => row);
const eachValve = (rows: number, name: (row: number, valve: string) => string): string[] =>
  rowsOf(rows).flatMap((row) => ['supply', 'return'].map((valve) => name(row + 1, valve)));

/**
 * A bench logger at 500 Hz: semicolons, decimal comma, kgf, coil currents, a preamble, a gap of 40 ms and empty cells every second.
 * @param noiseA amplitude of the noise of the currents
 */
export function benchLog(file: string, rows: number, noiseA = 0.2): string {
  const head = [
    'Test stand 3;run 12',
    'recorded by hand',
    [
      'Time [s]',
      'Target [kgf]',
      'Speed [km/h]',
      'Rail pressure [bar]',
      ...rowsOf(rows).flatMap((row) => [`Load ${row + 1} [kgf]`, `Pressure ${row + 1} [bar]`, `Acc ${row + 1} [m/s²]`]),
      ...eachValve(rows, (row, valve) => `I ${valve} ${row} [A]`),
    ].join(';'),
  ];
  return written(head, file, 2, (one) => {
    const { tick } = one;
    if (tick > 5000 && tick < 5040) return undefined;
    const noise = (valve: number): number => noiseA * Math.sin(tick * 1.7 + valve);
    const cells = rowsOf(rows).flatMap((row) => [
      tick % 1000 === 500 ? '' : comma(one.loadN(row) / 9.80665, 3),
      comma(one.pressureKpa(row) / 100, 3),
      comma(one.accelerationMps2(row), 3),
    ]);
    const currents = rowsOf(rows).flatMap((row) => VALVES.map((valve) => comma(4 * one.coil(row, valve) + noise(valve), 3)));
    return [
      comma(tick / 1000, 3),
      comma(one.targetN / 9.80665, 3),
      comma(one.speedMps * 3.6, 3),
      comma(one.railKpa / 100, 3),
      ...cells,
      ...currents,
    ].join(';');
  });
}

/** A data logger on the bus at 1 kHz: commas, ms since 1970, a row of units, a column for each direction of each valve. */
export function busLog(file: string, rows: number): string {
  const startMs = Date.UTC(2026, 3, 30, 7, 12);
  const names = [
    'timestamp',
    'target_load',
    'ground_speed',
    ...rowsOf(rows).flatMap((row) => [`load_${row + 1}`, `press_${row + 1}`, `accel_${row + 1}`]),
  ];
  const units = ['ms', 'N', 'm/s', ...rowsOf(rows).flatMap(() => ['N', 'kPa', 'm/s2'])];
  const valves = eachValve(rows, (row, valve) => `${valve}_${row}_open,${valve}_${row}_close`);
  const head = [[...names, ...valves].join(','), [...units, ...valves.map(() => ',')].join(',')];
  return written(head, file, 1, (one) => {
    const sensors = rowsOf(rows).flatMap((row) => [one.loadN(row), one.pressureKpa(row), one.accelerationMps2(row)]);
    const switches = rowsOf(rows).flatMap((row) =>
      VALVES.flatMap((valve) => [Number(one.coil(row, valve) > 0), Number(one.coil(row, valve) < 0)]),
    );
    return [startMs + one.tick, one.targetN, one.speedMps, ...sensors.map((value) => value.toFixed(3)), ...switches].join(',');
  });
}

/** A display's log at 50 Hz: tabs, day first, lbf, psi, mph, positions of the valves. */
export function displayLog(file: string, rows: number): string {
  const head = [
    [
      'Date and time',
      'Target (lbf)',
      'GPS speed (mph)',
      ...rowsOf(rows).flatMap((row) => [`R${row + 1} load (lbf)`, `R${row + 1} pressure (psi)`]),
      ...eachValve(rows, (row, valve) => `R${row} ${valve} valve position`),
    ].join('\t'),
  ];
  return written(head, file, 20, (one) => {
    const seconds = Math.floor(one.tick / 1000);
    const time = `30.04.2026 07:${two(12 + Math.floor(seconds / 60))}:${two(seconds % 60)}.${String(one.tick % 1000).padStart(3, '0')}`;
    const sensors = rowsOf(rows).flatMap((row) => [one.loadN(row) / 4.4482216152605, one.pressureKpa(row) / 6.894757293168]);
    const positions = rowsOf(rows).flatMap((row) => VALVES.map((valve) => Number(one.isOpen(row, valve))));
    return [
      time,
      (one.targetN / 4.4482216152605).toFixed(1),
      (one.speedMps / 0.44704).toFixed(2),
      ...sensors.map((value) => value.toFixed(1)),
      ...positions,
    ].join('\t');
  });
}
