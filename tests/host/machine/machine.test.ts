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

describe('the machines of the checkout', () => {
  it.each(machineNames(PROJECT))('%s is valid and states that it is invented', (name) => {
    const { title, note, values } = readMachine(PROJECT, name, contract);
    expect(title).not.toBe('');
    expect(note).toContain('Invented');
    expect(Object.keys(values)).toHaveLength(MACHINE.flatMap(({ quantities }) => quantities).length);
  });

  it('default has all defaults, without an accelerometer and a reservoir', () => {
    const { values } = readMachine(PROJECT, 'default', contract);
    const defaults = Object.fromEntries(MACHINE.flatMap(({ quantities }) => quantities.map((one) => [one.name, one.default])));
    expect(values).toEqual({ ...defaults, accelerationFitted: 0, reservoirUf: 0 });
  });
});

describe('quantities', () => {
  it('are numbers in the unit of their name, or text with another unit', () => {
    const { values } = machineOf(
      'row: { frictionN: "10 lbf" }\naccumulator: { prechargeAbsoluteKpa: 12 bar, accumulatorMl: 300 }\nrail: { railNominalKpa: "2.2e3 psi" }\nspread: { massSpreadRatio: 5 % }\n',
    );
    // By hand: 10 lbf · 4.4482216152605 N; 12 bar · 100 kPa; 2200 psi · 6.894757293168 kPa; 5 · 0.01.
    expect(values.frictionN).toBeCloseTo(44.482216152605, 12);
    expect(values).toMatchObject({ prechargeAbsoluteKpa: 1200, accumulatorMl: 300, massSpreadRatio: 0.05 });
    expect(values.railNominalKpa).toBeCloseTo(15168.4660449696, 9);
  });

  it('may be at their limits', () => {
    const { values } = machineOf('row: { massKg: 5 }\nactuator: { capAreaCm2: 50 }\n');
    expect(values).toMatchObject({ massKg: 5, capAreaCm2: 50 });
  });

  it.each([
    [
      'unit of another kind',
      'row: { frictionN: 10 bar }\n',
      'm.yaml:2:19: row.frictionN is "10 bar"; it must be between 0 and 1000 N, as a number or as text with one of the units N, lbf, kN, daN, kgf.',
    ],
    [
      'unknown unit',
      'row: { frictionN: 10 furlong }\n',
      'm.yaml:2:19: row.frictionN is "10 furlong"; it must be between 0 and 1000 N, as a number or as text with one of the units N, lbf, kN, daN, kgf.',
    ],
    [
      'number as text without a unit',
      'row:\n  frictionN: "10"\n',
      'm.yaml:3:14: row.frictionN is "10"; it must be between 0 and 1000 N, as a number or as text with ',
    ],
    [
      'text without a number',
      'row: { frictionN: much }\n',
      'm.yaml:2:19: row.frictionN is "much"; it must be between 0 and 1000 N, as a number or as text with ',
    ],
    ['value below the limit', 'row: { massKg: 4.99 }\n', 'm.yaml:2:16: row.massKg is 4.99; it must be between 5 and 1000 kg.'],
    [
      'value above the limit after conversion',
      'row: { massKg: "2205 lb" }\n',
      'm.yaml:2:16: row.massKg is "2205 lb"; it must be between 5 and 1000 kg.',
    ],
    ['negative area', 'actuator: { capAreaCm2: -4.9 }\n', 'm.yaml:2:25: actuator.capAreaCm2 is -4.9; it must be between 0.5 and 50 cm².'],
    [
      'NaN',
      'oil: { viscosityAt40: .nan }\n',
      'm.yaml:2:23: oil.viscosityAt40 is NaN; it must be a number in mm²/s, or text with another unit.',
    ],
    [
      'fraction of a count',
      'sensors: { adcFullScaleCounts: 4095.5 }\n',
      'm.yaml:2:32: sensors.adcFullScaleCounts is 4095.5; it must be an integer between 256 and 65535 counts.',
    ],
    [
      'boolean for a number',
      'row: { massKg: true }\n',
      'm.yaml:2:16: row.massKg is true; it must be a number in kg, or text with another unit.',
    ],
  ])('a %s is refused', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });
});

describe('parts', () => {
  it('that are left out have their defaults, and parts that are none have values for that', () => {
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
    ['required part as none', 'row: none\n', 'm.yaml:2:6: row is "none"; it must be a mapping.'],
    [
      'word other than none',
      'rebound: nothing\n',
      'm.yaml:2:10: rebound is "nothing"; it must be none, or a mapping of reboundOrificeMm, rodAreaCm2, reboundUpRatio.',
    ],
    ['unknown part', 'wheels: { }\n', 'm.yaml:2:1: unknown key `wheels`; did you mean `wheel`?'],
    ['unknown quantity', 'rebound: { rodAreaMm2: 300 }\n', 'm.yaml:2:12: unknown key `rodAreaMm2` in rebound; did you mean `rodAreaCm2`?'],
    [
      'quantity of another part',
      'row: { liftN: 3 }\n',
      'm.yaml:2:8: unknown key `liftN` in row; it must be one of closingN, massKg, seedKg, frictionN, closingSoftMm, seedDepthMm, closingReachMm and 1 more.',
    ],
    ['number for a part', 'rebound: 3\n', 'm.yaml:2:10: rebound is 3; it must be a mapping or text.'],
  ])('a %s is refused', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });
});

describe('quantities that contradict each other are refused at the first one in the file', () => {
  it.each([
    [
      'precharge above the rail',
      'accumulator: { prechargeAbsoluteKpa: 16000 }\n',
      'm.yaml:2:38: prechargeAbsoluteKpa is 16000, but railNominalKpa is 15000. The precharge must be below the rail pressure: prechargeAbsoluteKpa - 101.325 < railNominalKpa.',
    ],
    [
      'rail below the precharge',
      'rail: { railNominalKpa: 1000 }\n',
      'm.yaml:2:25: railNominalKpa is 1000, but prechargeAbsoluteKpa is 1200. The precharge must be below the rail pressure: ',
    ],
    ['arm too short', 'linkage: { armM: 0.25 }\n', 'm.yaml:2:18: armM is 0.25, but attachM is 0.3. attachM must be at most armM.'],
    [
      'attachment beyond the arm',
      'linkage: { attachM: 0.41 }\n',
      'm.yaml:2:21: attachM is 0.41, but armM is 0.4. attachM must be at most armM.',
    ],
    [
      'travel as long as the arm',
      'linkage: { travelUpMm: 400 }\n',
      'm.yaml:2:24: travelUpMm is 400, but armM is 0.4. travelUpMm must be less than armM.',
    ],
    [
      'cylinder that pulls up at the top',
      // By hand: asin(0.18 / 0.4) = 26.74°, whose tangent is 0.504; 0.4 m · 0.504 = 0.2016 m, above 0.18 m.
      'linkage: { cylinderPivotRearM: 0.4 }\n',
      'The cylinder must push down over the whole travel: ',
    ],
    [
      'cylinder that pulls up at the bottom',
      'linkage: { cylinderPivotRearM: -0.4 }\n',
      'm.yaml:2:32: cylinderPivotRearM is -0.4, but cylinderPivotUpM is 0.18, ',
    ],
    [
      'inverted load span',
      'sensors:\n  loadAtTenPercentN: 3000\n  loadAtNinetyPercentN: 2000\n',
      'm.yaml:3:22: loadAtTenPercentN is 3000, but loadAtNinetyPercentN is 2000. loadAtTenPercentN must be less than loadAtNinetyPercentN.',
    ],
    [
      'inverted pressure span',
      'sensors: { pressureAtTenPercentKpa: 5000, pressureAtNinetyPercentKpa: 4000 }\n',
      'm.yaml:2:37: pressureAtTenPercentKpa is 5000, but ',
    ],
    [
      'empty rail span',
      'sensors: { railAtTenPercentKpa: 5000, railAtNinetyPercentKpa: 5000 }\n',
      'm.yaml:2:33: railAtTenPercentKpa is 5000, but ',
    ],
    [
      'relief below the rail',
      'rail: { reliefKpa: 15000 }\n',
      'm.yaml:2:20: reliefKpa is 15000, but railNominalKpa is 15000. railNominalKpa must be less than reliefKpa.',
    ],
    [
      'return above the rail',
      'rail: { railNominalKpa: 1500, returnKpa: 1600 }\n',
      'm.yaml:2:42: returnKpa is 1600, but railNominalKpa is 1500. returnKpa must be less than railNominalKpa.',
    ],
    [
      'oil that thickens with heat',
      'oil: { viscosityAt40: 5 }\n',
      'm.yaml:2:23: viscosityAt40 is 5, but viscosityAt100 is 6.8. viscosityAt100 must be less than viscosityAt40.',
    ],
    [
      'proportional valve without a span',
      'proportional: { proportionalMinA: 1.1 }\n',
      'm.yaml:2:35: proportionalMinA is 1.1, but proportionalMaxA is 1.1. proportionalMinA must be less than proportionalMaxA.',
    ],
  ])('%s', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });

  it('except that the precharge is ignored without an accumulator', () => {
    expect(machineOf('accumulator: none\nrail: { railNominalKpa: 1000 }\n').values.railNominalKpa).toBe(1000);
  });

  it('and accepted at the limit', () => {
    expect(machineOf('linkage: { attachM: 0.4, cylinderPivotRearM: 0.35 }\n').values.attachM).toBe(0.4);
    expect(
      machineOf('accumulator: { prechargeAbsoluteKpa: 15101 }\ncontroller: { setPointMaxKpa: 16000 }\n').values.prechargeAbsoluteKpa,
    ).toBe(15101);
  });
});

describe('the controller gets', () => {
  it.each([
    [2, 4, 4],
    [4, 2, 4],
    [3, 3, 3],
  ])('of a frame that lifts in %f s and lowers in %f s the longer time, %f s', (liftS, lowerS, expected) => {
    expect(machineOf(`frame: { liftS: ${liftS}, lowerS: ${lowerS} }\n`).parameters.liftS).toBe(expected);
  });

  it('every quantity that is also a parameter, and the linkage ratio', () => {
    const { parameters } = readMachine(PROJECT, 'default', contract);
    // By hand: the lever of the cylinder is 0.18 · 0.3 / √(0.24² + 0.18²) = 0.054 / 0.3 = 0.18 m, over an arm of 0.4 m.
    expect(parameters.linkageRatio).toBeCloseTo(0.45, 12);
    expect({ ...parameters, linkageRatio: 0.45 }).toEqual({
      liftS: 2.5,
      adcFullScaleCounts: 4096,
      soilAheadFitted: 0,
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
      reservoirLoadW: 0,
    });
  });

  it.each([
    // By hand: the lever of a cylinder straight above its attachment is attachM: 0.2 / 0.4, and 0.3 / 0.3.
    [{ cylinderPivotRearM: 0.2, cylinderPivotUpM: 0.5, attachM: 0.2, armM: 0.4 }, 0.5],
    [{ cylinderPivotRearM: 0.3, cylinderPivotUpM: 0.1, attachM: 0.3, armM: 0.3 }, 1],
    // Pivot above the arm's pivot, a 3-4-5 triangle: the lever is 0.3 · 0.4 / 0.5 = 0.24 m, over an arm of 0.8 m.
    [{ cylinderPivotRearM: 0, cylinderPivotUpM: 0.3, attachM: 0.4, armM: 0.8 }, 0.3],
  ])('for the linkage %j the ratio %f', (values, ratio) => {
    expect(linkageRatioOf(values)).toBeCloseTo(ratio, 12);
  });

  it('values clamped to the limits of its parameters', () => {
    expect(machineOf('accumulator: none\n').parameters).toMatchObject({ accumulatorMl: 10, prechargeAbsoluteKpa: 150 });
    const steep = 'linkage: { cylinderPivotRearM: 0.29, cylinderPivotUpM: 0.2, attachM: 0.02, armM: 0.6 }\n';
    // By hand: 0.2 · 0.02 / √(0.27² + 0.2²) / 0.6 = 0.0198, and the minimum is 0.05.
    expect(machineOf(steep).parameters.linkageRatio).toBe(0.05);
  });

  it('the overrides in `controller`', () => {
    const { parameters, values } = machineOf('controller: { valveFlowLpm: 6, strategy: threshold, deadbandN: 50 }\n');
    expect(parameters).toMatchObject({ valveFlowLpm: 6, strategy: 0, deadbandN: 50 });
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

describe('a machine file', () => {
  it('that does not exist is refused with the known names', () => {
    expect(() => readMachine(PROJECT, 'defalt', contract)).toThrow(/defalt\.yaml: there is no machine defalt; did you mean `default`\?/);
  });
  it('that does not exist is refused by its path', () => {
    expect(() => readMachine(PROJECT, './nowhere.yaml', contract)).toThrow('./nowhere.yaml: no such file.');
  });
  it('needs a title', () => {
    writeFileSync(file, 'note: None\n');
    expect(() => readMachine(PROJECT, file, contract)).toThrow('m.yaml:1:1: title is missing; it must be text on one line.');
  });
});
