import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { describeContract } from '../../../host/contract/contract.js';
import { type Machine, machineNames, readMachine } from '../../../host/machine/machine.js';
import { type Sizing, sizeMachine } from '../../../host/sizing/size-machine.js';
import { type Sizes, sizesOf } from '../../../host/sizing/sizes.js';
import type { SizingInput } from '../../../host/sizing/sizing-input.js';
import type { Quantity } from '../../../shared/machine.js';
import { PARAMETERS } from '../../../shared/parameters.js';
import { SIZING } from '../../../shared/sizing.js';
import { notFinite, PARTS, sizeArbitraryMachines } from '../../support/arbitrary-machine.js';
import { PROJECT } from '../../support/project.js';
import { sized } from '../../support/sized.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();
const file = join(folder, 'm.yaml');

function machineOf(text: string): Machine {
  writeFileSync(file, `title: Made up\n${text}`);
  const machine = readMachine(PROJECT, file, contract);
  rmSync(file);
  return machine;
}
const sizingOf = (text: string): Sizing => sizeMachine(machineOf(text));

const resultOf = ({ checks }: Sizing, name: string): string | undefined => checks.find((one) => one.name === name)?.result;

describe('the table of sizing', () => {
  it('has defaults within limits, and names that no other quantity has, and no parameter but the one it sets', () => {
    const quantities = SIZING.flatMap((part) => part.quantities);
    for (const one of quantities) {
      expect(one.default, one.name).toBeGreaterThanOrEqual(one.min);
      expect(one.default, one.name).toBeLessThanOrEqual(one.max);
    }
    const names = PARTS.flatMap((part) => part.quantities).map(({ name }) => name);
    for (const { name } of quantities) expect(names.filter((one) => one === name)).toEqual([name]);
    const shared = quantities.filter(({ name }) => PARAMETERS.some((one) => one.name === name));
    expect(shared.map(({ name }) => name)).toEqual(['reservoirLoadW']);
    expect(new Set(PARTS.map(({ name }) => name)).size).toBe(PARTS.length);
  });

  it('is read from a machine file with units, separately from the values for simulation', () => {
    const { sizing, values } = machineOf('service: { hectaresPerYear: 50 ha }\nhoses: { supplyHoseM: 20 ft }\nconsumers: none\n');
    expect(sizing.hectaresPerYear).toBeCloseTo(50, 12);
    expect(sizing.supplyHoseM).toBeCloseTo(6.096, 12);
    expect(sizing).toMatchObject({ fanLpm: 0, meterW: 0, alternatorA: 200 });
    expect(values.fanLpm).toBeUndefined();
  });

  it('sets the parameter of the same name, which has the same unit, limits and default', () => {
    const parameter = PARAMETERS.find(({ name }) => name === 'reservoirLoadW');
    const quantity = SIZING.flatMap(({ quantities }) => quantities).find(({ name }) => name === 'reservoirLoadW');
    const common = ({ unit, min, max, default: value }: Omit<Quantity, 'name'>) => [unit, min, max, value];
    if (parameter === undefined || quantity === undefined) throw new Error('no such name');
    expect(common(quantity)).toEqual(common(parameter));
    const machine = machineOf('capacitor: { reservoirLoadW: 20 }\n');
    expect([machine.sizing.reservoirLoadW, machine.parameters.reservoirLoadW]).toEqual([20, 20]);
    const overridden = machineOf('capacitor: { reservoirLoadW: 20 }\ncontroller: { reservoirLoadW: 5 }\n');
    expect([overridden.sizing.reservoirLoadW, overridden.parameters.reservoirLoadW]).toEqual([20, 5]);
  });

  it.each([
    ['half a row', 'work: { rowCount: 2.5 }\n', 'm.yaml:2:19: work.rowCount is 2.5; it must be an integer between 1 and 48.'],
    ['half a star', 'wiring: { starWired: 0.5 }\n', 'm.yaml:2:22: wiring.starWired is 0.5; it must be an integer between 0 and 1.'],
    [
      'descending speeds',
      'work: { speedMaxMps: 2 }\n',
      'm.yaml:2:22: speedMaxMps is 2, but speedTypicalMps is 3. speedTypicalMps must be at most speedMaxMps.',
    ],
    [
      'descending targets',
      'work: { targetLoadMinN: 500 }\n',
      'targetLoadTypicalN is 450. targetLoadMinN must be at most targetLoadTypicalN.',
    ],
    ['descending supply voltages', 'climate: { supplyMinV: 16 }\n', 'supplyMinV must be less than supplyMaxV.'],
    ['hot oil colder than cold oil', 'climate: { oilColdC: 40, oilHotC: 30 }\n', 'oilColdC must be less than oilHotC.'],
    ['a coil hotter than its limit', 'cooling: { coilLimitC: 80 }\n', 'coilHotC must be less than coilLimitC.'],
    ['a value out of range', 'hoses: { rowHoseMm: 1 }\n', 'hoses.rowHoseMm is 1; it must be between 2 and 30 mm.'],
    ['an unknown quantity', 'hoses: { rowHoseCm: 1 }\n', 'unknown key `rowHoseCm` in hoses; '],
  ])('refuses %s', (_, text, words) => {
    expect(() => machineOf(text)).toThrow(InputError);
    expect(() => machineOf(text)).toThrow(words);
  });
});

describe('every machine in the checkout', () => {
  it.each(machineNames(PROJECT))('%s has finite values and all checks', (name) => {
    const sizing = sizeMachine(readMachine(PROJECT, name, contract));
    expect(notFinite(sizing)).toEqual([]);
    const names = sizing.checks.map((one) => one.name);
    expect(new Set(names).size).toBe(names.length);
    // Three rules are about gas.
    expect(names).toHaveLength(sizing.accumulator === undefined ? 33 : 36);
    for (const one of sizing.checks) for (const word of [one.reason, one.remedy, one.rule, one.source]) expect(word).not.toBe('');
  });

  it('gets the same sizing twice, and JSON preserves it', () => {
    const machine = readMachine(PROJECT, 'with-reservoir', contract);
    const sizing = sizeMachine(machine);
    expect(JSON.parse(JSON.stringify(sizing))).toEqual(sizing);
    expect(sizeMachine(machine)).toEqual(sizing);
  });
});

describe('any machine', () => {
  // tests/slow/sizing.test.ts tries ten times as many.
  it('is refused with an InputError, or has finite values and a result for each check', () => sizeArbitraryMachines(50, folder));
});

/** How a result changes as a quantity grows: 1 up, −1 down, 0 not at all. */
const MONOTONE: readonly [keyof SizingInput, number, number, 1 | -1 | 0, string, (sizes: Sizes) => number][] = [
  ['capAreaCm2', 1, 20, 1, 'force per pressure', ({ force }) => force.newtonPerBar],
  ['targetLoadMaxN', 500, 4000, 1, 'highest pressure', ({ force }) => force.workMaxKpa],
  ['railNominalKpa', 8000, 30000, 1, 'highest down force', ({ force }) => force.downForceMaxN],
  ['accumulatorMl', 50, 3000, 1, 'compliance', ({ compliance }) => compliance.typicalMlPerBar],
  ['accumulatorMl', 50, 3000, -1, 'spring', ({ compliance }) => compliance.springNPerM],
  ['accumulatorMl', 50, 3000, -1, 'float swing', ({ float }) => float.swingN],
  ['accumulatorMl', 50, 3000, 1, 'usable volume', ({ accumulator }) => accumulator?.usableIsothermalMl ?? Number.NaN],
  ['accumulatorMl', 50, 3000, -1, 'slew', ({ slew }) => slew.typical.upNPerS],
  ['airRatio', 0, 0.1, -1, 'bulk modulus', ({ compliance }) => compliance.effectiveBulkMpa],
  ['gasHotC', 20, 120, 1, 'hot precharge', ({ accumulator }) => accumulator?.prechargeHotKpa ?? Number.NaN],
  ['gasHotC', 20, 120, -1, 'highest recommended precharge', ({ accumulator }) => accumulator?.prechargeMaxKpa ?? Number.NaN],
  ['floatMm', 5, 150, 1, 'volume needed', ({ accumulator }) => accumulator?.volumeNeededMl ?? Number.NaN],
  ['floatSwingN', 100, 1500, -1, 'volume needed', ({ accumulator }) => accumulator?.volumeNeededMl ?? Number.NaN],
  ['valveFlowLpm', 1, 40, 1, 'slew down', ({ slew }) => slew.typical.downNPerS],
  ['returnFlowRatio', 0.2, 5, 1, 'slew down', ({ slew }) => slew.typical.downNPerS],
  ['returnFlowRatio', 0.2, 5, 0, 'slew up', ({ slew }) => slew.typical.upNPerS],
  ['minPulseMs', 1, 50, 1, 'minimum pulse', ({ slew }) => slew.typical.minPulseUpN],
  ['oilColdC', -40, 39, 1, 'cold flow', ({ valve }) => valve.coldLpm],
  ['viscosityAt40', 10, 100, -1, 'cold flow', ({ valve }) => valve.coldLpm],
  ['adcFullScaleCounts', 256, 65535, -1, 'load per count', ({ sensors }) => sensors.loadNPerCount],
  ['adcFullScaleCounts', 256, 65535, -1, 'load noise', ({ sensors }) => sensors.loadNoiseN],
  ['coilOhm', 0.5, 20, 1, 'pull-in voltage', ({ harness }) => harness.pullInHotV],
  ['coilMh', 0.5, 50, 1, 'pull-in voltage', ({ harness }) => harness.pullInColdV],
  ['coilMh', 0.5, 50, -1, 'stroke energy', ({ strokes }) => strokes[4]?.energyMj ?? Number.NaN],
  ['strokeMs', 1, 20, 1, 'stroke energy', ({ strokes }) => strokes[4]?.energyMj ?? Number.NaN],
  ['sourceV', 9, 16, 1, 'coil power', ({ duty }) => duty.bankW],
  ['dutyPulsesPerMin', 1, 1000, 1, 'coil power', ({ duty }) => duty.bankW],
  ['dutyPulsesPerMin', 1, 400, 1, 'oil', ({ oil }) => oil.machineLpm],
  ['dutyPulsesPerMin', 1, 1000, -1, 'life', ({ life }) => life.lifeRatio],
  ['dutyPulsesPerMin', 1, 1000, 1, 'coil temperature', ({ coilHeat }) => coilHeat.coilMaxC],
  ['rowCount', 2, 48, 1, 'queue utilisation', ({ duty }) => duty.queueUtilisation],
  ['wireAwg', 4, 24, -1, 'voltage at the last row', ({ harness }) => harness.lastRowHotV],
  ['leadM', 0, 40, -1, 'voltage at the last row', ({ harness }) => harness.lastRowColdV],
  ['strokesAtOnce', 1, 20, -1, 'voltage at the last row', ({ harness }) => harness.lastRowHotV],
  ['leadM', 0, 20, 1, 'wire area needed', ({ harness }) => harness.segments[0]?.neededMm2 ?? Number.NaN],
  ['capacitorAgeingRatio', 0, 0.6, 1, 'reservoir needed', ({ reservoir }) => reservoir.neededUf],
  ['capacitorEsrOhm', 0, 0.05, 1, 'reservoir needed', ({ reservoir }) => reservoir.neededUf],
  ['supplyMinV', 8.5, 15, -1, 'reservoir needed', ({ reservoir }) => reservoir.neededUf],
  ['reservoirLoadW', 0, 20, 1, 'reservoir needed', ({ reservoir }) => reservoir.neededUf],
  ['reservoirUf', 5000, 1000000, 1, 'closing strokes available', ({ reservoir }) => reservoir.closesAvailable],
  ['supplyHoseMm', 5, 50, -1, 'hose drop', ({ oil }) => oil.warm.supplyHoseDropKpa],
  ['supplyHoseM', 0, 50, -1, 'rail margin', ({ oil }) => oil.railMarginKpa],
  ['fanLpm', 0, 5, -1, 'spare pump flow', ({ supplyBudgets }) => supplyBudgets[2]?.spareLpm ?? Number.NaN],
  ['meterW', 0, 100, -1, 'spare alternator power', ({ supplyBudgets }) => supplyBudgets[0]?.spareW ?? Number.NaN],
  ['roughnessTypicalCm3', 10, 100000, 1, 'rebound heat', ({ heat }) => heat.reboundW],
  ['stoneTypicalMm', 1, 200, 1, 'rebound heat', ({ heat }) => heat.reboundW],
  ['bounceHz', 0, 5, 1, 'rebound heat', ({ heat }) => heat.reboundW],
  ['oilColdC', -30, 39, 1, 'rail margin', ({ oil }) => oil.railMarginKpa],
  ['oilColdC', -30, 39, 1, 'slew down, coldest oil', ({ slew }) => slew.coldOil.downNPerS],
  ['fanLpm', 0, 5, -1, 'rail margin', ({ oil }) => oil.railMarginKpa],
  ['returnHoseMm', 5, 50, 1, 'return margin', ({ oil }) => oil.returnMarginKpa],
  ['supplyHoseMm', 5, 50, -1, 'velocity', ({ oil }) => oil.supplyHoseMps],
  ['rowHoseMm', 2, 30, 1, 'slew up, coldest oil', ({ slew }) => slew.coldOil.upNPerS],
  ['prechargeAbsoluteKpa', 200, 1500, -1, 'gas ratio', ({ accumulator }) => accumulator?.gasRatio ?? Number.NaN],
  ['wireAwg', 4, 24, -1, 'ampacity', ({ harness }) => harness.ampacityA],
  ['coilHotC', 20, 100, -1, 'ampacity', ({ harness }) => harness.ampacityA],
  ['dutyPulsesPerMin', 1, 1000, 1, 'RMS current', ({ duty }) => duty.bankMaxRmsA],
  ['harnessOhm', 0, 0.5, -1, 'voltage at the last row without a reservoir', (sizes) => sizes.harness.lastRowHotV],
  ['contactNPerM', 50000, 500000, -1, 'lug ratio', ({ resonance }) => resonance.lugRatio],
  ['reboundOrificeMm', 0.5, 5, -1, 'rebound heat', ({ heat }) => heat.reboundW],
  ['contactNPerM', 50000, 500000, 1, 'natural frequency, wheels on the ground', ({ resonance }) => resonance.wheelsOnHz],
  ['liftNPerM', 0, 5000, 1, 'natural frequency, wheels off the ground', ({ resonance }) => resonance.wheelsOffHz],
  ['hectaresPerYear', 10, 50000, -1, 'life', ({ life }) => life.lifeRatio],
  ['proportionalOhm', 1, 50, 1, 'break-even duty, I²R', ({ proportional }) => proportional.breakEvenI2rPulsesPerMin],
  ['proportionalOhm', 1, 50, 0, 'break-even duty, V·I', ({ proportional }) => proportional.breakEvenViPulsesPerMin],
  ['massKg', 50, 200, 0, 'coil power', ({ duty }) => duty.bankW],
];

describe('a result is monotonic', () => {
  it.each(MONOTONE)('in %s from %f to %f (%i): %s', (name, from, to, direction, _, result) => {
    const isInteger = ['rowCount', 'wireAwg', 'strokesAtOnce'].includes(name);
    const value = fc.double({ min: from, max: to, noNaN: true }).map((one) => (isInteger ? Math.round(one) : one));
    const other = fc.record({ reservoirUf: fc.constantFrom(0, 47000), starWired: fc.constantFrom(0, 1) });
    fc.assert(
      fc.property(value, value, other, (one, two, setting) => {
        const [low, high] = one < two ? [one, two] : [two, one];
        const [less, more] = [low, high].map((at) => result(sizesOf(sized({ ...setting, [name]: at })))) as [number, number];
        const slack = 1e-9 * Math.max(1, Math.abs(less));
        if (direction === 0) expect(more).toBe(less);
        else expect(direction * (more - less)).toBeGreaterThanOrEqual(-slack);
      }),
      { numRuns: 40, seed: 3 },
    );
    // And it does change over the whole range.
    const [first, last] = [from, to].map((at) => result(sizesOf(sized({ [name]: at })))) as [number, number];
    expect(Math.sign(last - first)).toBe(direction);
  });
});

/** A machine that passes a check, one that is marginal, one that fails. */
const CHECKED: readonly [string, string, string, string][] = [
  ['cylinder-stroke', '', '', 'cylinder: { cylinderStrokeMm: 150 }'],
  ['float-travel', '', 'work: { floatMm: 170 }', 'work: { floatMm: 190 }'],
  ['minimum-pressure', '', 'row: { massKg: 118 }', 'row: { massKg: 150 }'],
  // 20 °C; absolute 18.68 bar of lowest working pressure, hot gas 1.17056 of the precharge.
  ['precharge-ratio', '', 'accumulator: { prechargeAbsoluteKpa: 1500 }', 'accumulator: { prechargeAbsoluteKpa: 1600 }'],
  // 100.2 bar absolute over 12 bar is 8.35; over 4 bar 25, in any accumulator too much.
  ['gas-ratio', 'accumulator: { prechargeAbsoluteKpa: 1300 }', '', 'accumulator: { prechargeAbsoluteKpa: 400 }'],
  ['float-oil-ratio', '', 'accumulator: { accumulatorMl: 70 }', 'accumulator: { accumulatorMl: 40 }'],
  ['float-swing', '', 'work: { floatSwingN: 350 }', 'work: { floatSwingN: 300 }'],
  ['rail-margin', 'climate: { oilColdC: 30 }', 'climate: { oilColdC: 0 }', ''],
  ['return-margin', 'climate: { oilColdC: 0 }', 'climate: { oilColdC: 0 }\nhoses: { returnHoseM: 14 }', ''],
  ['slew-up-time', 'climate: { oilColdC: 0 }', '', 'valve: { valveFlowLpm: 2 }'],
  ['slew-down-time', 'climate: { oilColdC: 20 }', '', 'valve: { valveFlowLpm: 2 }'],
  ['minimum-pulse', '', 'valve: { valveFlowLpm: 15 }', 'valve: { valveFlowLpm: 30 }'],
  ['pump-margin', '', 'consumers: { liftLpm: 80 }', 'consumers: { fanLpm: 4 }'],
  ['supply-hose-drop', '', 'hoses: { supplyHoseMm: 10 }', 'hoses: { supplyHoseMm: 6 }'],
  ['row-hose-drop', '', 'hoses: { rowHoseMm: 3.5 }', 'hoses: { rowHoseMm: 3 }'],
  ['pressure-hose-velocity', '', 'hoses: { supplyHoseMm: 13 }', 'hoses: { supplyHoseMm: 10 }'],
  ['return-hose-velocity', '', 'hoses: { returnHoseMm: 16.5 }', 'hoses: { returnHoseMm: 13 }'],
  ['cold-oil-viscosity', 'climate: { oilColdC: 0 }', '', 'climate: { oilColdC: -30 }'],
  ['cylinder-temperature', '', 'cooling: { sealLimitC: 65 }', 'cooling: { sealLimitC: 55 }'],
  ['load-sensor-margin', 'work: { targetLoadMaxN: 1000 }', 'work: { targetLoadMaxN: 1100 }', ''],
  ['load-resolution', '', 'sensors: { adcFullScaleCounts: 512 }', 'sensors: { adcFullScaleCounts: 256, loadAtNinetyPercentN: 20000 }'],
  ['pressure-sensor-margin', '', 'sensors: { pressureAtNinetyPercentKpa: 14500 }', 'sensors: { pressureAtNinetyPercentKpa: 14000 }'],
  // Between the natural frequencies, 0.9 m at 2 m/s, is not safe either.
  ['resonance-ratio', '', 'wheel: { lugPitchM: 0.2 }', 'wheel: { lugPitchM: 0.9 }'],
  ['supply-voltage-margin', '', '', 'supply: { sourceV: 24 }'],
  ['stroke-time-margin', '', 'valve: { moveMs: 5 }', 'valve: { moveMs: 6 }'],
  ['last-row-voltage-ratio', 'wiring: { wireAwg: 10 }', '', 'wiring: { wireAwg: 24 }'],
  ['wire-area', 'wiring: { wireAwg: 0 }', 'reservoir: none\nwiring: { wireAwg: 14 }', 'climate: { supplyMinV: 5 }'],
  ['fuse-rating', '', 'wiring: { fuseA: 15 }', 'wiring: { fuseA: 20 }'],
  ['fuse-load', '', 'wiring: { fuseA: 2 }', 'wiring: { fuseA: 1 }'],
  ['close-wait-error', 'work: { rowCount: 4 }', 'work: { rowCount: 12 }', ''],
  ['queue-utilisation', '', 'work: { dutyPulsesPerMin: 1000 }', 'work: { dutyPulsesPerMin: 2000 }'],
  ['reservoir-strokes', 'reservoir: { reservoirUf: 100000 }', '', 'reservoir: none'],
  ['coil-temperature', '', 'cooling: { coilLimitC: 95 }', 'cooling: { coilLimitC: 89 }'],
  ['alternator-margin', '', 'consumers: { meterW: 50 }', 'consumers: { meterW: 80 }'],
  ['stroke-life-ratio', '', 'service: { serviceYears: 20 }', 'service: { serviceYears: 40 }'],
  ['power-rule', 'work: { dutyPulsesPerMin: 50 }', '', 'work: { dutyPulsesPerMin: 160 }'],
];

describe('a design check', () => {
  it('is in this table', () => {
    expect(CHECKED.map(([name]) => name)).toEqual(sizingOf('').checks.map(({ name }) => name));
  });

  // These two rules have no marginal range.
  const withoutMarginal = ['cylinder-stroke', 'supply-voltage-margin'];
  it.each(CHECKED)('%s passes, is marginal and fails', (name, passing, marginal, failing) => {
    expect(resultOf(sizingOf(passing), name)).toBe('pass');
    if (!withoutMarginal.includes(name)) expect(resultOf(sizingOf(marginal), name)).toBe('marginal');
    expect(resultOf(sizingOf(failing), name)).toBe('fail');
  });

  it('has the operator of its limit', () => {
    for (const one of sizingOf('').checks) {
      const holds = one.operator === '<=' ? one.value <= one.limit : one.value >= one.limit;
      expect(holds, one.name).toBe(one.result === 'pass');
    }
  });

  it('passes at its limit and fails beyond', () => {
    // Both sides of the stroke needed over the travel, 164.7 mm.
    const needed = sizingOf('').force.cylinderStrokeNeededMm;
    expect(resultOf(sizingOf(`cylinder: { cylinderStrokeMm: ${needed} }`), 'cylinder-stroke')).toBe('pass');
    expect(resultOf(sizingOf(`cylinder: { cylinderStrokeMm: ${needed - 1e-6} }`), 'cylinder-stroke')).toBe('fail');
  });
});

describe('the sensitivity to 10 % more of a quantity', () => {
  const { sensitivity } = sizingOf('');
  const changeOf = (name: string) => sensitivity.find(({ quantity }) => quantity === name)?.changePercent;

  it('is 10 % for a proportional result', () => {
    expect(changeOf('capAreaCm2')?.newtonPerBar).toBeCloseTo(10, 9);
    expect(changeOf('pullA')?.pullInHotV).toBeCloseTo(10, 9);
    expect(changeOf('dutyPulsesPerMin')?.bankCoilW).toBeCloseTo(10, 9);
    expect(changeOf('minPulseMs')?.minPulseUpN).toBeCloseTo(10, 9);
  });

  it('is 21 % for a result that grows with the square, and 33.1 % with the cube', () => {
    expect(changeOf('sourceV')?.bankCoilW).toBeCloseTo(21, 9);
    // 1.1³ = 1.331.
    const smooth = sizingOf('work: { stoneTypicalEveryM: 0 }\nframe: { bounceHz: 0 }\n').sensitivity;
    for (const name of ['speedTypicalMps', 'rodAreaCm2'])
      expect(smooth.find(({ quantity }) => quantity === name)?.changePercent.reboundW).toBeCloseTo(33.1, 9);
  });

  it('is −1/11 for an inversely proportional result, and zero for an unrelated one', () => {
    expect(changeOf('dutyPulsesPerMin')?.lifeYears).toBeCloseTo(-100 / 11, 9);
    expect(changeOf('coilOhm')?.upNPerS).toBe(0);
    expect(changeOf('capAreaCm2')?.bankCoilW).toBe(0);
  });
});

describe('supply budgets', () => {
  it('scale with the rows, and match that of the machine', () => {
    const { supplyBudgets, supplyBudget } = sizingOf('work: { rowCount: 36 }');
    expect(supplyBudgets.map(({ rows }) => rows)).toEqual([24, 36, 48]);
    expect(supplyBudget).toEqual(supplyBudgets[1]);
    // By hand: fans 1.2 L/min a row; meters, cleaners and openers 25 + 2 + 2 W a row and 60 W of displays.
    expect(supplyBudgets.map(({ fansLpm }) => fansLpm)).toEqual([
      expect.closeTo(28.8, 9),
      expect.closeTo(43.2, 9),
      expect.closeTo(57.6, 9),
    ]);
    expect(supplyBudgets.map(({ otherW }) => otherW)).toEqual([756, 1104, 1452]);
    // 200 and 80 A at 13.2 V.
    expect(supplyBudget).toMatchObject({ alternatorW: 2640, tractorW: 1056 });
    for (const one of supplyBudgets) {
      expect(one.totalLpm + one.spareLpm).toBeCloseTo(one.pumpLpm, 9);
      expect(one.electricalW + one.tractorW + one.spareW).toBeCloseTo(one.alternatorW, 9);
    }
  });
});
