import type { Contract } from '../../host/contract/contract.js';
import { recordAddress, recordOf } from '../../host/contract/contract.js';

/** Index and name of every 32-bit float in outputs, probes and state, for the maximum number of rows. */
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
