import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { describeContract } from '../../../host/contract/contract.js';
import { linkageRatioOf, type Machine, machineNames, readMachine } from '../../../host/machine/machine.js';
import { MACHINE } from '../../../shared/machine.js';
import { PROJECT } from '../../support/project.js';

const contract = describeContract();
const folder = mkdtempSync(join(tmpdir(), 'latchbench-machine-'));
const file = join(folder, 'm.yaml');
afterAll(() => rmSync(folder, { recursive: true }));

function machineOf(text: string): Machine {
  writeFileSync(file, `title: Made up\n${text}`);
  return readMachine(PROJECT, file, contract);
}

/** The message of the InputError, without the folder. */
function refusal(text: string): string {
  try {
    machineOf(text);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return error.message.replaceAll(`${folder}/`, '');
  }
  throw new Error('no error was thrown');
}

describe('the machines in the checkout', () => {
  it.each(machineNames(PROJECT))('%s is in order, and says that it is invented', (name) => {
    const { title, note, values } = readMachine(PROJECT, name, contract);
    expect(title).not.toBe('');
    expect(note).toContain('Invented');
    expect(Object.keys(values)).toHaveLength(MACHINE.flatMap(({ quantities }) => quantities).length);
  });

  it('default has every default but for what it lacks', () => {
    const { values } = readMachine(PROJECT, 'default', contract);
    const defaults = Object.fromEntries(MACHINE.flatMap(({ quantities }) => quantities.map((one) => [one.name, one.default])));
    expect(values).toEqual({ ...defaults, accelerationFitted: 0, reservoirUf: 0 });
  });
});

describe('quantities', () => {
  it('are numbers in the unit of their name, or texts with another unit', () => {
    const { values } = machineOf(
      'row: { frictionN: "10 lbf" }\naccumulator: { prechargeAbsoluteKpa: 12 bar, accumulatorMl: 300 }\nrail: { railNominalKpa: "2.2e3 psi" }\nspread: { massSpreadRatio: 5 % }\n',
    );
    // By hand: 10 lbf · 4.4482216152605 N; 12 bar · 100 kPa; 2200 psi · 6.894757293168 kPa; 5 · 0.01.
    expect(values.frictionN).toBeCloseTo(44.482216152605, 12);
    expect(values).toMatchObject({ prechargeAbsoluteKpa: 1200, accumulatorMl: 300, massSpreadRatio: 0.05 });
    expect(values.railNominalKpa).toBeCloseTo(15168.4660449696, 9);
  });

  it('may stand on their limits', () => {
    const { values } = machineOf('row: { massKg: 5 }\nactuator: { capAreaCm2: 50 }\n');
    expect(values).toMatchObject({ massKg: 5, capAreaCm2: 50 });
  });

  it.each([
    [
      'unit of another kind',
      'row: { frictionN: 10 bar }\n',
      'm.yaml:2:19: frictionN "10 bar" — allowed: a number from 0 to 1000 N, or a text of a number and one of newton, N, lbf',
    ],
    [
      'unit that is none',
      'row: { frictionN: 10 furlong }\n',
      'm.yaml:2:19: frictionN "10 furlong" — allowed: a number from 0 to 1000 N, or a text of a number and one of newton, N, lbf',
    ],
    [
      'number as text without a unit',
      'row:\n  frictionN: "10"\n',
      'm.yaml:3:14: frictionN "10" — allowed: a number from 0 to 1000 N, or a',
    ],
    [
      'text without a number',
      'row: { frictionN: much }\n',
      'm.yaml:2:19: frictionN "much" — allowed: a number from 0 to 1000 N, or a text',
    ],
    ['value below the limit', 'row: { massKg: 4.99 }\n', 'm.yaml:2:16: massKg 4.99 — allowed: a number from 5 to 1000 kg'],
    [
      'value above the limit after conversion',
      'row: { massKg: "2205 lb" }\n',
      'm.yaml:2:16: massKg "2205 lb" — allowed: a number from 5 to 1000 kg',
    ],
    ['area below nothing', 'actuator: { capAreaCm2: -4.9 }\n', 'm.yaml:2:25: capAreaCm2 -4.9 — allowed: a number from 0.5 to 50 cm²'],
    ['number without unit', 'oil: { viscosityAt40: .nan }\n', 'm.yaml:2:23: oil.viscosityAt40 is NaN; it must be a number or text.'],
    [
      'part of a code',
      'sensors: { adcFullScaleCounts: 4095.5 }\n',
      'm.yaml:2:32: adcFullScaleCounts 4095.5 — allowed: a whole number from 256 to 65535 counts',
    ],
    ['switch for a number', 'row: { massKg: true }\n', 'm.yaml:2:16: row.massKg is true; it must be a number or text.'],
  ])('a %s is refused', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });
});

describe('parts', () => {
  it('that are left out have their defaults, those that are none their own values', () => {
    expect(machineOf('').values).toMatchObject({ accumulatorMl: 320, liftN: 600, accelerationFitted: 1, reservoirUf: 47000 });
    const none = 'accumulator: none\nliftSpring: none\nrebound: none\naccelerometer: none\nreservoir: none\nspread: none\n';
    expect(machineOf(none).values).toMatchObject({
      accumulatorMl: 0,
      prechargeAbsoluteKpa: 1200,
      liftN: 0,
      liftNPerM: 0,
      rodAreaCm2: 0,
      accelerationFitted: 0,
      reservoirUf: 0,
      massSpreadRatio: 0,
    });
  });

  it.each([
    ['part that must be there', 'row: none\n', 'm.yaml:2:6: row is "none"; it must be a mapping.'],
    [
      'other word',
      'rebound: nothing\n',
      'm.yaml:2:10: rebound "nothing" — allowed: a mapping of reboundOrificeMm, rodAreaCm2, reboundUpRatio; or none',
    ],
    ['unknown part', 'wheels: { }\n', 'm.yaml:2:1: unknown key `wheels`; did you mean `wheel`?'],
    ['unknown quantity', 'rebound: { rodAreaMm2: 300 }\n', 'm.yaml:2:12: unknown key `rodAreaMm2` in rebound; did you mean `rodAreaCm2`?'],
    [
      'quantity of another part',
      'row: { liftN: 3 }\n',
      'm.yaml:2:8: unknown key `liftN` in row; it must be one of massKg, seedKg, frictionN, closingN, seedDepthMm.',
    ],
    ['number for a part', 'rebound: 3\n', 'm.yaml:2:10: rebound is 3; it must be a mapping or text.'],
  ])('a %s is refused', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });
});

describe('quantities that do not go with one another are refused at the first that is written', () => {
  it.each([
    [
      'precharge above the rail',
      'accumulator: { prechargeAbsoluteKpa: 16000 }\n',
      'm.yaml:2:38: prechargeAbsoluteKpa 16000 — allowed: no precharge above the rail: prechargeAbsoluteKpa less 101.325 kPa of atmosphere < railNominalKpa, and railNominalKpa is 15000',
    ],
    [
      'rail below the precharge',
      'rail: { railNominalKpa: 1000 }\n',
      'm.yaml:2:25: railNominalKpa 1000 — allowed: no precharge above the rail: ',
    ],
    ['arm too short', 'linkage: { armM: 0.25 }\n', 'm.yaml:2:18: armM 0.25 — allowed: attachM <= armM, and attachM is 0.3'],
    ['attachment beyond the arm', 'linkage: { attachM: 0.41 }\n', 'm.yaml:2:21: attachM 0.41 — allowed: attachM <= armM, and armM is 0.4'],
    [
      'travel as long as the arm',
      'linkage: { travelUpMm: 400 }\n',
      'm.yaml:2:24: travelUpMm 400 — allowed: travelUpMm < armM, and armM is 0.4',
    ],
    [
      'cylinder that pulls up at the top',
      // By hand: asin(0.18 / 0.4) = 26.74°, whose tangent is 0.504; 0.4 m · 0.504 = 0.2016 m, above 0.18 m.
      'linkage: { cylinderPivotRearM: 0.4 }\n',
      'm.yaml:2:32: cylinderPivotRearM 0.4 — allowed: a cylinder that pushes down over the whole travel: ',
    ],
    [
      'cylinder that pulls up at the bottom',
      'linkage: { cylinderPivotRearM: -0.4 }\n',
      'm.yaml:2:32: cylinderPivotRearM -0.4 — allowed: a cylinder that',
    ],
    [
      'load span upside down',
      'sensors:\n  loadAtTenPercentN: 3000\n  loadAtNinetyPercentN: 2000\n',
      'm.yaml:3:22: loadAtTenPercentN 3000 — allowed: loadAtTenPercentN < loadAtNinetyPercentN, and loadAtNinetyPercentN is 2000',
    ],
    [
      'pressure span upside down',
      'sensors: { pressureAtTenPercentKpa: 5000, pressureAtNinetyPercentKpa: 4000 }\n',
      'm.yaml:2:37: pressureAtTenPercentKpa 5000',
    ],
    [
      'rail span upside down',
      'sensors: { railAtTenPercentKpa: 5000, railAtNinetyPercentKpa: 5000 }\n',
      'm.yaml:2:33: railAtTenPercentKpa 5000',
    ],
    [
      'relief below the rail',
      'rail: { reliefKpa: 15000 }\n',
      'm.yaml:2:20: reliefKpa 15000 — allowed: railNominalKpa < reliefKpa, and railNominalKpa is 15000',
    ],
    [
      'return above the rail',
      'rail: { railNominalKpa: 1500, returnKpa: 1600 }\n',
      'm.yaml:2:42: returnKpa 1600 — allowed: returnKpa < railNominalKpa',
    ],
    [
      'oil that thickens with heat',
      'oil: { viscosityAt40: 5 }\n',
      'm.yaml:2:23: viscosityAt40 5 — allowed: viscosityAt100 < viscosityAt40, and viscosityAt100 is 6.8',
    ],
    [
      'proportional valve without a span',
      'proportional: { proportionalMinA: 1.1 }\n',
      'm.yaml:2:35: proportionalMinA 1.1 — allowed: proportionalMinA < proportionalMaxA, and proportionalMaxA is 1.1',
    ],
  ])('%s', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });

  it('but a precharge counts for nothing where there is no accumulator', () => {
    expect(machineOf('accumulator: none\nrail: { railNominalKpa: 1000 }\n').values.railNominalKpa).toBe(1000);
  });

  it('and just in order is in order', () => {
    expect(machineOf('linkage: { attachM: 0.4, cylinderPivotRearM: 0.35 }\n').values.attachM).toBe(0.4);
    expect(
      machineOf('accumulator: { prechargeAbsoluteKpa: 15101 }\ncontroller: { setPointMaxKpa: 16000 }\n').values.prechargeAbsoluteKpa,
    ).toBe(15101);
  });
});

describe('the controller is told', () => {
  it('every quantity that is a parameter too, and the linkage’s ratio', () => {
    const { told } = readMachine(PROJECT, 'default', contract);
    // By hand: the lever of the cylinder is 0.18 · 0.3 / √(0.24² + 0.18²) = 0.054 / 0.3 = 0.18 m, over an arm of 0.4 m.
    expect(told.linkageRatio).toBeCloseTo(0.45, 12);
    expect({ ...told, linkageRatio: 0.45 }).toEqual({
      liftS: 2.5,
      adcFullScaleCounts: 4096,
      loadLagHz: 5,
      loadAtTenPercentN: -500,
      loadAtNinetyPercentN: 4500,
      pressureAtTenPercentKpa: 0,
      pressureAtNinetyPercentKpa: 25000,
      accelerationFitted: 0,
      accelerationAtTenPercentMps2: -50,
      accelerationAtNinetyPercentMps2: 50,
      railAtTenPercentKpa: 0,
      railAtNinetyPercentKpa: 25000,
      lugPitchM: 0.15,
      capAreaCm2: 4.909,
      linkageRatio: 0.45,
      accumulatorMl: 320,
      prechargeAbsoluteKpa: 1200,
      gasExponent: 1.4,
      gasThermalS: 6,
      chamberOilMl: 60,
      bulkModulusMpa: 1200,
      valveFlowLpm: 8,
      valveFlowDropKpa: 10000,
      railNominalKpa: 15000,
      returnKpa: 200,
      reservoirUf: 0,
    });
  });

  it.each([
    // By hand: a cylinder straight above its attachment has the whole attachM as its lever: 0.2 / 0.4, and 0.3 / 0.3.
    [{ cylinderPivotRearM: 0.2, cylinderPivotUpM: 0.5, attachM: 0.2, armM: 0.4 }, 0.5],
    [{ cylinderPivotRearM: 0.3, cylinderPivotUpM: 0.1, attachM: 0.3, armM: 0.3 }, 1],
    // Pivot above the arm's own, triangle of 3, 4 and 5: 0.3 · 0.4 / 0.5 = 0.24 m of lever over 0.8 m.
    [{ cylinderPivotRearM: 0, cylinderPivotUpM: 0.3, attachM: 0.4, armM: 0.8 }, 0.3],
  ])('of the linkage %j a ratio of %f', (values, ratio) => {
    expect(linkageRatioOf(values)).toBeCloseTo(ratio, 12);
  });

  it('the nearest that its limits allow', () => {
    expect(machineOf('accumulator: none\n').told).toMatchObject({ accumulatorMl: 10, prechargeAbsoluteKpa: 150 });
    const steep = 'linkage: { cylinderPivotRearM: 0.29, cylinderPivotUpM: 0.2, attachM: 0.02, armM: 0.6 }\n';
    // By hand: 0.2 · 0.02 / √(0.27² + 0.2²) / 0.6 = 0.0198, and the min is 0.05.
    expect(machineOf(steep).told.linkageRatio).toBe(0.05);
  });

  it('what `controller` says on top', () => {
    const { told, values } = machineOf('controller: { valveFlowLpm: 6, strategy: threshold, deadbandN: 50 }\n');
    expect(told).toMatchObject({ valveFlowLpm: 6, strategy: 0, deadbandN: 50 });
    expect(values.valveFlowLpm).toBe(8);
  });

  it.each([
    [
      'unknown parameter',
      'controller: { deadBandN: 50 }\n',
      'm.yaml:2:15: unknown key `deadBandN` in controller; did you mean `deadbandN`?',
    ],
    [
      'parameter beyond its limits',
      'controller: { deadbandN: 0 }\n',
      'm.yaml:2:26: controller.deadbandN is 0; it must be between 1 and 1000 N.',
    ],
    [
      'rule broken by `controller`',
      'controller: { setPointMaxKpa: 1000 }\n',
      'm.yaml:2:31: setPointMaxKpa is 1000, but prechargeAbsoluteKpa is 1200. setPointMaxKpa must be at least prechargeAbsoluteKpa.',
    ],
    [
      'rule broken by the machine',
      'accumulator: { prechargeAbsoluteKpa: 130 bar }\n',
      'm.yaml:2:38: prechargeAbsoluteKpa is 13000, but setPointMaxKpa is 12000. setPointMaxKpa must be at least prechargeAbsoluteKpa.',
    ],
    [
      'tick rate, which a scenario sets',
      'controller: { tickHz: 500 }\n',
      'm.yaml:2:15: unknown key `tickHz` in controller; it must be one of liftS, ',
    ],
  ])('but no %s', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });
});

describe('a machine that is not there', () => {
  it('is answered with those that are', () => {
    expect(() => readMachine(PROJECT, 'defalt', contract)).toThrow(/defalt\.yaml: machine "defalt" — allowed: one of .*default.*/);
  });
  it('by its path, too', () => {
    expect(() => readMachine(PROJECT, './nowhere.yaml', contract)).toThrow('./nowhere.yaml: no such file.');
  });
  it('needs a title', () => {
    writeFileSync(file, 'note: None\n');
    expect(() => readMachine(PROJECT, file, contract)).toThrow('m.yaml:1:1: title is missing; it must be text.');
  });
});
