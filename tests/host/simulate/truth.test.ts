import { describe, expect, it } from 'vitest';
import { MessageFields } from '../../../host/assess/message-fields.js';
import { dataViewOf } from '../../../host/common/data-view.js';
import { describeContract } from '../../../host/contract/contract.js';
import { PlantRig } from '../../support/plant-rig.js';

const fields = new MessageFields(describeContract(), 'truth');
const read = (rig: PlantRig, offset: number): number => dataViewOf(rig.plant.truth).getFloat32(offset, true);
const truth = (rig: PlantRig, field: string): number => read(rig, fields.row(0, field, 'f32'));

describe('the true depth of an opener', () => {
  // At rest the wheels carry 150 N per millimetre of compression, and the opener is at its set depth at a compression of 3 mm.
  it.each([3500, 5000])('of a row at rest with %d kPa follows from the load', (startKpa) => {
    const rig = new PlantRig({ startKpa, machine: { seedDepthMm: 40, valveLeakMlPerMin: 0 }, drive: { speedMps: 0 } }).run(5000);
    expect(truth(rig, 'wheelN')).toBeGreaterThan(0);
    expect(truth(rig, 'depthMm')).toBeCloseTo(40 - 3 + truth(rig, 'wheelN') / 150, 2);
    expect(read(rig, fields.bank('setDepthMm', 'f32'))).toBe(40);
  });

  // The row hangs at the lower stop, 180 mm and what the stop gives below a frame that is 400 mm up: over 210 mm above the ground.
  it('of a lifted row is negative', () => {
    const rig = new PlantRig({ drive: { lowered: 0, speedMps: 0 } }).run(3000);
    expect(truth(rig, 'depthMm')).toBeLessThan(-160);
    expect(truth(rig, 'depthMm')).toBeCloseTo(50 - 3 + truth(rig, 'groundMm') - 400 - truth(rig, 'travelMm'), 2);
  });
});

describe('the true soil and stones', () => {
  it('are the soil at the set depth, and the stones that rose before the row', () => {
    const field = { stoneEveryM: 1, stoneHeightMm: 40, stoneLengthMm: 200, soilMinN: 700, soilMaxN: 700 };
    const rig = new PlantRig({ field, drive: { speedMps: 1 } });
    let rises = 0;
    let isRaised = false;
    for (let tick = 0; tick < 20_000; tick++) {
      rig.tick();
      expect(truth(rig, 'soilN')).toBeCloseTo(700, 3);
      const wasRaised: boolean = isRaised;
      // The equaliser halves a stone of 40 mm; hysteresis keeps a stone one.
      isRaised = truth(rig, 'groundMm') > (wasRaised ? 1 : 5);
      if (isRaised && !wasRaised) rises++;
      if (isRaised) expect(truth(rig, 'stonesMet')).toBeGreaterThanOrEqual(rises);
    }
    expect(truth(rig, 'stonesMet')).toBe(rises);
    expect(rises).toBeGreaterThan(8);
  });

  it('have no stone on a field without', () => {
    expect(truth(new PlantRig({ drive: { speedMps: 3 } }).run(1000), 'stonesMet')).toBe(0);
  });
});
