import type { Contract } from '../../host/contract/contract.js';
import { recordAddress, recordOf } from '../../host/contract/contract.js';

/** Where every 32-bit float of outputs, probes and state stands, for all rows that the binary has room for. */
export function floatPlaces(contract: Contract): { index: number; name: string }[] {
  return contract.places.flatMap((place) => {
    const { kind, fields } = recordOf(contract, place.record);
    if (kind !== 'output' && kind !== 'probe' && kind !== 'state') return [];
    const floats = fields.filter((field) => field.type === 'f32');
    return Array.from({ length: place.count }, (_, at) =>
      floats.map((field) => ({
        index: (recordAddress(contract, place, at) + field.offset) / 4,
        name: `${place.name}[${at}].${field.name}`,
      })),
    ).flat();
  });
}
