import { dataViewOf } from '../../host/common/data-view.js';
import { describeContract, recordOf } from '../../host/contract/contract.js';
import { Noise } from './noise.js';

const contract = describeContract();
const BANK_BYTES = recordOf(contract, 'BankInput').size;
const ROW_BYTES = recordOf(contract, 'RowInput').size;
const offsetOf = (record: string, name: string): number =>
  recordOf(contract, record).fields.find((field) => field.name === name)?.offset ?? Number.NaN;

/**
 * Inputs as a pure function of the tick: a bank that works most of the time, with a swinging load and pressure, and occasional
 * nonsense.
 */
export function arbitraryInputs(input: Uint8Array, tick: number): void {
  const noise = new Noise(tick * 2654435761 + 1);
  noise.fill(input);
  if (tick % 97 === 0) return;
  const view = dataViewOf(input);
  view.setFloat32(offsetOf('BankInput', 'targetLoadN'), tick % 400 < 200 ? 450 : 900, true);
  view.setFloat32(offsetOf('BankInput', 'oilTemperatureC'), 40, true);
  view.setUint16(offsetOf('BankInput', 'railCounts'), 2370 + noise.between(0, 9), true);
  view.setUint16(offsetOf('BankInput', 'supplyMv'), tick % 600 > 580 ? 7000 : 12800, true);
  for (const name of ['lowered', 'enabled']) view.setUint8(offsetOf('BankInput', name), 1);
  view.setUint8(offsetOf('BankInput', 'shutDown'), 0);
  for (let at = BANK_BYTES; at < input.length; at += ROW_BYTES) {
    view.setUint16(at + offsetOf('RowInput', 'loadCounts'), 1100 + 150 * Math.sin(tick / 40 + at) + noise.between(0, 9), true);
    view.setUint16(at + offsetOf('RowInput', 'pressureCounts'), 900 + 200 * Math.sin(tick / 90 + at) + noise.between(0, 9), true);
    view.setUint8(at + offsetOf('RowInput', 'enabled'), 1);
  }
}
