import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { describeContract } from '../../../host/contract/contract.js';
import { type Machine, machineNames, readMachine } from '../../../host/machine/machine.js';
import type { Given } from '../../../host/sizing/given.js';
import { type Sizing, sizeMachine } from '../../../host/sizing/size-machine.js';
import { type Sizes, sizesOf } from '../../../host/sizing/sizes.js';
import { MACHINE, type Part, type Quantity } from '../../../shared/machine.js';
import { PARAMETERS } from '../../../shared/parameters.js';
import { SIZING } from '../../../shared/sizing.js';
import { temporaryFolder } from '../../support/command.js';
import { sized } from '../../support/sized.js';

const contract = describeContract();
const folder = temporaryFolder();
const file = join(folder, 'm.yaml');
const PARTS: readonly Part[] = [...MACHINE, ...SIZING];

function machineOf(text: string): Machine {
  writeFileSync(file, `title: Made up\n${text}`);
  const machine = readMachine(file, contract);
  rmSync(file);
  return machine;
}
const sizingOf = (text: string): Sizing => sizeMachine(machineOf(text));

/** Paths of all numbers that are not finite, and of all values that are no number where one should be. */
function notFinite(value: unknown, path = ''): string[] {
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [`${path} ${value}`];
  if (typeof value === 'string') return [];
  if (typeof value !== 'object' || value === null) return [`${path} ${value}`];
  return Object.entries(value).flatMap(([name, one]) => notFinite(one, `${path}.${name}`));
}

const verdictOf = ({ checks }: Sizing, name: string): string | undefined => checks.find((one) => one.name === name)?.verdict;

describe('the table of sizing', () => {
  it('has defaults within its limits and names that no machine, parameter or part has', () => {
    const quantities = SIZING.flatMap((part) => part.quantities);
    for (const one of quantities) {
      expect(one.default, one.name).toBeGreaterThanOrEqual(one.min);
      expect(one.default, one.name).toBeLessThanOrEqual(one.max);
    }
    const names = [...PARTS.flatMap((part) => part.quantities), ...PARAMETERS].map(({ name }) => name);
    for (const { name } of quantities) expect(names.filter((one) => one === name)).toEqual([name]);
    expect(new Set(PARTS.map(({ name }) => name)).size).toBe(PARTS.length);
  });

  it('stands in a machine file with its units, apart from what a simulation gets', () => {
    const { sizing, values } = machineOf('service: { hectaresPerYear: 50 ha }\nhoses: { supplyHoseM: 20 ft }\nconsumers: none\n');
    expect(sizing.hectaresPerYear).toBeCloseTo(50, 12);
    expect(sizing.supplyHoseM).toBeCloseTo(6.096, 12);
    expect(sizing).toMatchObject({ fanLpm: 0, meterW: 0, alternatorA: 200 });
    expect(values.fanLpm).toBeUndefined();
  });

  it.each([
    ['a half row', 'work: { rowCount: 2.5 }\n', 'm.yaml:2:19: rowCount 2.5 — allowed: a whole number'],
    ['a half star', 'wiring: { starWired: 0.5 }\n', 'm.yaml:2:22: starWired 0.5 — allowed: a whole number'],
    ['speeds upside down', 'work: { speedMostMps: 2 }\n', 'm.yaml:2:23: speedMostMps 2 — allowed: speedUsualMps <= speedMostMps'],
    ['targets upside down', 'work: { targetLeastN: 500 }\n', 'targetLeastN <= targetUsualN, and targetUsualN is 450'],
    ['supplies upside down', 'climate: { supplyLeastV: 16 }\n', 'supplyLeastV < supplyMostV'],
    ['oil that is colder hot', 'climate: { oilColdC: 40, oilHotC: 30 }\n', 'oilColdC < oilHotC'],
    ['a coil hotter than its limit', 'cooling: { coilLimitC: 80 }\n', 'coilHotC < coilLimitC'],
    ['something beyond a limit', 'hoses: { rowHoseMm: 1 }\n', 'rowHoseMm 1 — allowed: a number from 2 to 30 mm'],
    ['something unknown', 'hoses: { rowHoseCm: 1 }\n', 'hoses key "rowHoseCm"'],
  ])('does not let %s pass', (_, text, words) => {
    expect(() => machineOf(text)).toThrow(InputError);
    expect(() => machineOf(text)).toThrow(words);
  });
});

describe('every machine in the checkout', () => {
  it.each(machineNames())('%s has finite metrics and all checks', (name) => {
    const sizing = sizeMachine(readMachine(name, contract));
    expect(notFinite(sizing)).toEqual([]);
    const names = sizing.checks.map((one) => one.name);
    expect(new Set(names).size).toBe(names.length);
    expect(names).toHaveLength(30);
    for (const one of sizing.checks) for (const word of [one.reason, one.remedy, one.rule, one.source]) expect(word).not.toBe('');
  });

  it('gets the same twice, and nothing of it can be in the way of JSON', () => {
    const machine = readMachine('with-reservoir', contract);
    const sizing = sizeMachine(machine);
    expect(JSON.parse(JSON.stringify(sizing))).toEqual(sizing);
    expect(sizeMachine(machine)).toEqual(sizing);
  });
});

/** Values of a quantity: its ends, its default, and anything between, small ones as likely as large ones. */
function arbitraryValue({ min, max, default: byDefault, unit, name }: Quantity): fc.Arbitrary<number> {
  const isWhole = unit === 'count' || ['rowCount', 'starWired', 'harnessArms', 'wireAwg', 'thinnestAwg'].includes(name);
  const between = fc.double({ min: 0, max: 1, noNaN: true }).map((share) => min + (max - min) * share ** 3);
  const any = fc.oneof(fc.constantFrom(min, max, byDefault), between, between);
  return isWhole ? any.map(Math.round) : any;
}

/** A machine file: words and a few of all quantities; parts that may be missing sometimes are. */
function arbitraryMachine(): fc.Arbitrary<object> {
  const partOf = ({ none, quantities }: Part): fc.Arbitrary<object | string> => {
    const record = fc.record(
      Object.fromEntries(
        quantities.map((one) => [
          one.name,
          fc.oneof({ weight: 25, arbitrary: fc.constant(one.default) }, { weight: 1, arbitrary: arbitraryValue(one) }),
        ]),
      ),
    );
    return none === undefined ? record : fc.oneof({ weight: 5, arbitrary: record }, { weight: 1, arbitrary: fc.constant('none') });
  };
  const parts = Object.fromEntries(PARTS.map((part) => [part.name, partOf(part)]));
  const controller = fc.record(
    {
      strokesAtOnce: fc.integer({ min: 1, max: 96 }),
      strokeMs: fc.double({ min: 1, max: 3, noNaN: true }),
      slotCount: fc.integer({ min: 1, max: 16 }),
    },
    { requiredKeys: [] },
  );
  return fc.record({ title: fc.constant('Made up'), ...parts, controller });
}

describe('any machine', () => {
  it('is refused with a place, or has finite metrics and a verdict on each rule', () => {
    let accepted = 0;
    const runs = 500;
    fc.assert(
      fc.property(arbitraryMachine(), (written) => {
        writeFileSync(file, JSON.stringify(written));
        let machine: Machine;
        try {
          machine = readMachine(file, contract);
        } catch (error) {
          expect(error).toBeInstanceOf(InputError);
          return;
        }
        accepted += 1;
        const sizing = sizeMachine(machine);
        expect(notFinite(sizing)).toEqual([]);
        for (const one of sizing.checks) expect(['pass', 'near', 'fail']).toContain(one.verdict);
      }),
      // Two hundred quantities shrink for ever.
      { numRuns: runs, seed: 20, endOnFailure: true },
    );
    // Something must have come so far.
    expect(accepted).toBeGreaterThan(runs / 4);
  });

  it('even at a limit of each single quantity', () => {
    let accepted = 0;
    for (const part of PARTS)
      for (const { name, min, max } of part.quantities)
        for (const value of [min, max]) {
          writeFileSync(file, JSON.stringify({ title: 'Made up', [part.name]: { [name]: value } }));
          try {
            expect(notFinite(sizeMachine(readMachine(file, contract))), `${name} ${value}`).toEqual([]);
            accepted += 1;
          } catch (error) {
            expect(error, `${name} ${value}`).toBeInstanceOf(InputError);
          }
        }
    expect(accepted).toBeGreaterThan(200);
  });
});

/** What more of a quantity does to a metric: 1 up, −1 down, 0 nothing. */
const MONOTONE: readonly [keyof Given, number, number, 1 | -1 | 0, string, (sizes: Sizes) => number][] = [
  ['capAreaCm2', 1, 20, 1, 'force per pressure', ({ force }) => force.newtonPerBar],
  ['targetMostN', 500, 4000, 1, 'highest pressure', ({ force }) => force.workMostKpa],
  ['railNominalKpa', 8000, 30000, 1, 'highest down force', ({ force }) => force.downForceMostN],
  ['accumulatorMl', 50, 3000, 1, 'compliance', ({ compliance }) => compliance.usualMlPerBar],
  ['accumulatorMl', 50, 3000, -1, 'spring', ({ compliance }) => compliance.springNPerM],
  ['accumulatorMl', 50, 3000, -1, 'swing over the float', ({ accumulator }) => accumulator.floatSwingN],
  ['accumulatorMl', 50, 3000, 1, 'usable volume', ({ accumulator }) => accumulator.usableSlowMl],
  ['accumulatorMl', 50, 3000, -1, 'slew', ({ slew }) => slew.usual.upNPerS],
  ['airRatio', 0, 0.1, -1, 'bulk modulus', ({ compliance }) => compliance.effectiveBulkMpa],
  ['gasHotC', 20, 120, 1, 'hot precharge', ({ accumulator }) => accumulator.prechargeHotKpa],
  ['gasHotC', 20, 120, -1, 'precharge advised', ({ accumulator }) => accumulator.prechargeAdvisedKpa],
  ['floatMm', 5, 150, 1, 'volume needed', ({ accumulator }) => accumulator.volumeNeededMl],
  ['floatSwingN', 100, 1500, -1, 'volume needed', ({ accumulator }) => accumulator.volumeNeededMl],
  ['valveFlowLpm', 1, 40, 1, 'slew down', ({ slew }) => slew.usual.downNPerS],
  ['minPulseMs', 1, 50, 1, 'smallest pulse', ({ slew }) => slew.usual.leastPulseUpN],
  ['oilColdC', -40, 39, 1, 'cold flow', ({ valve }) => valve.coldLpm],
  ['viscosityAt40', 10, 100, -1, 'cold flow', ({ valve }) => valve.coldLpm],
  ['adcFullScaleCounts', 256, 65535, -1, 'step of the load', ({ sensors }) => sensors.loadNPerCount],
  ['adcFullScaleCounts', 256, 65535, -1, 'noise of the load', ({ sensors }) => sensors.loadNoiseN],
  ['coilOhm', 0.5, 20, 1, 'sure voltage', ({ harness }) => harness.surelyMovesHotV],
  ['coilMh', 0.5, 50, 1, 'sure voltage', ({ harness }) => harness.surelyMovesColdV],
  ['coilMh', 0.5, 50, -1, 'energy of a stroke', ({ strokes }) => strokes[4]?.energyMj ?? Number.NaN],
  ['strokeMs', 1, 20, 1, 'energy of a stroke', ({ strokes }) => strokes[4]?.energyMj ?? Number.NaN],
  ['sourceV', 9, 16, 1, 'power of the strokes', ({ duty }) => duty.bankW],
  ['dutyPulsesPerMin', 1, 1000, 1, 'power of the strokes', ({ duty }) => duty.bankW],
  ['dutyPulsesPerMin', 1, 400, 1, 'oil', ({ oil }) => oil.machineLpm],
  ['dutyPulsesPerMin', 1, 1000, -1, 'life', ({ life }) => life.lifeRatio],
  ['dutyPulsesPerMin', 1, 1000, 1, 'temperature of a coil', ({ coilHeat }) => coilHeat.coilHottestC],
  ['rowCount', 2, 48, 1, 'time in the queue', ({ duty }) => duty.queueShare],
  ['wireAwg', 4, 24, -1, 'last row’s voltage', ({ harness }) => harness.lastRowHotV],
  ['leadM', 0, 40, -1, 'last row’s voltage', ({ harness }) => harness.lastRowColdV],
  ['strokesAtOnce', 1, 20, -1, 'last row’s voltage', ({ harness }) => harness.lastRowHotV],
  ['leadM', 0, 20, 1, 'area of the wires', ({ harness }) => harness.segments[0]?.neededMm2 ?? Number.NaN],
  ['capacitorAgeingRatio', 0, 0.6, 1, 'reservoir needed', ({ reservoir }) => reservoir.neededUf],
  ['capacitorEsrOhm', 0, 0.05, 1, 'reservoir needed', ({ reservoir }) => reservoir.neededUf],
  ['supplyLeastV', 8.5, 15, -1, 'reservoir needed', ({ reservoir }) => reservoir.neededUf],
  ['keptAliveW', 0, 20, 1, 'reservoir needed', ({ reservoir }) => reservoir.neededUf],
  ['reservoirUf', 5000, 1000000, 1, 'closes that are paid for', ({ reservoir }) => reservoir.closesPaid],
  ['supplyHoseMm', 5, 50, -1, 'drop of the hose', ({ oil }) => oil.supplyHoseDropKpa],
  ['supplyHoseM', 0, 50, -1, 'rail margin', ({ oil }) => oil.railMarginKpa],
  ['fanLpm', 0, 5, -1, 'what the pump has left', ({ budgets }) => budgets[2]?.leftLpm ?? Number.NaN],
  ['meterW', 0, 100, -1, 'what the alternator has left', ({ budgets }) => budgets[0]?.leftW ?? Number.NaN],
  ['roughnessUsualCm3', 10, 100000, 1, 'rebound heat', ({ heat }) => heat.reboundW],
  ['reboundOrificeMm', 0.5, 5, -1, 'rebound heat', ({ heat }) => heat.reboundW],
  ['contactNPerM', 50000, 500000, 1, 'standing row’s natural frequency', ({ resonance }) => resonance.standingHz],
  ['liftNPerM', 0, 5000, 1, 'hanging row’s natural frequency', ({ resonance }) => resonance.hangingHz],
  ['hectaresPerYear', 10, 50000, -1, 'life', ({ life }) => life.lifeRatio],
  ['proportionalOhm', 1, 50, 1, 'duty up to which the rule holds', ({ proportional }) => proportional.ruleHoldsToI2rPulsesPerMin],
  ['proportionalOhm', 1, 50, 0, 'the same on V·I', ({ proportional }) => proportional.ruleHoldsToViPulsesPerMin],
  ['massKg', 50, 200, 0, 'power of the strokes', ({ duty }) => duty.bankW],
];

describe('more of a quantity moves a metric one way', () => {
  it.each(MONOTONE)('%s from %f to %f (%i): %s', (name, from, to, way, _, metric) => {
    const isWhole = ['rowCount', 'wireAwg', 'strokesAtOnce'].includes(name);
    const value = fc.double({ min: from, max: to, noNaN: true }).map((one) => (isWhole ? Math.round(one) : one));
    const other = fc.record({ reservoirUf: fc.constantFrom(0, 47000), starWired: fc.constantFrom(0, 1) });
    fc.assert(
      fc.property(value, value, other, (one, two, setting) => {
        const [low, high] = one < two ? [one, two] : [two, one];
        const [less, more] = [low, high].map((at) => metric(sizesOf(sized({ ...setting, [name]: at })))) as [number, number];
        const slack = 1e-9 * Math.max(1, Math.abs(less));
        if (way === 0) expect(more).toBe(less);
        else expect(way * (more - less)).toBeGreaterThanOrEqual(-slack);
      }),
      { numRuns: 40, seed: 3 },
    );
    // And it does move over the whole of the range.
    const [least, most] = [from, to].map((at) => metric(sizesOf(sized({ [name]: at })))) as [number, number];
    expect(Math.sign(most - least)).toBe(way);
  });
});

/** A machine that passes a check, one that is near, one that fails. */
const JUDGED: readonly [string, string, string, string][] = [
  ['cylinder-stroke', '', '', 'cylinder: { cylinderStrokeMm: 150 }'],
  ['float-travel', '', 'work: { floatMm: 170 }', 'work: { floatMm: 190 }'],
  ['row-too-heavy', '', 'row: { massKg: 118 }', 'row: { massKg: 150 }'],
  // 20 °C; absolute 18.68 bar of lowest working pressure, hot gas 1.17056 of the precharge.
  ['precharge', '', 'accumulator: { prechargeAbsoluteKpa: 1500 }', 'accumulator: { prechargeAbsoluteKpa: 1600 }'],
  ['accumulator-room', '', 'accumulator: { accumulatorMl: 70 }', 'accumulator: none'],
  ['float-swing', '', 'work: { floatSwingN: 350 }', 'work: { floatSwingN: 300 }'],
  ['rail-margin', '', 'climate: { railMarginKpa: 5000 }', 'rail: { railNominalKpa: 9000 }'],
  ['slew-up', '', 'climate: { oilColdC: -30 }', 'valve: { valveFlowLpm: 2 }'],
  ['slew-down', 'climate: { oilColdC: 0 }', '', 'valve: { valveFlowLpm: 2 }'],
  ['smallest-pulse', '', 'valve: { valveFlowLpm: 12 }', 'valve: { valveFlowLpm: 30 }'],
  ['pump', '', 'consumers: { liftLpm: 80 }', 'consumers: { fanLpm: 4 }'],
  ['supply-hose', '', 'hoses: { supplyHoseMm: 9 }', 'hoses: { supplyHoseMm: 6 }'],
  ['row-hose', '', 'hoses: { rowHoseMm: 3.5 }', 'hoses: { rowHoseMm: 3 }'],
  ['cold-oil', 'climate: { oilColdC: 0 }', '', 'climate: { oilColdC: -30 }'],
  ['cylinder-heat', '', 'cooling: { sealLimitC: 60 }', 'cooling: { sealLimitC: 50 }'],
  ['load-sensor-range', '', 'work: { targetMostN: 1500 }', 'work: { targetMostN: 2000 }'],
  ['load-step', '', 'sensors: { adcFullScaleCounts: 512 }', 'sensors: { adcFullScaleCounts: 256, loadAtNinetyPercentN: 20000 }'],
  ['pressure-sensor-range', '', 'sensors: { pressureAtNinetyPercentKpa: 14500 }', 'sensors: { pressureAtNinetyPercentKpa: 14000 }'],
  ['resonance', '', 'wheel: { lugPitchM: 0.2 }', 'wheel: { lugPitchM: 0.3 }'],
  ['supply-range', '', '', 'supply: { sourceV: 24 }'],
  ['stroke-time', '', 'valve: { moveMs: 5 }', 'valve: { moveMs: 6 }'],
  ['last-row-voltage', '', 'reservoir: none\nwiring: { wireAwg: 14 }', 'wiring: { wireAwg: 24 }'],
  ['wire-gauge', 'wiring: { wireAwg: 0 }', 'reservoir: none\nwiring: { wireAwg: 14 }', 'climate: { supplyLeastV: 5 }'],
  ['strokes-at-once', '', 'work: { rowCount: 36 }\n', 'controller: { strokesAtOnce: 1 }'],
  ['queue-share', '', 'work: { dutyPulsesPerMin: 1000 }', 'work: { dutyPulsesPerMin: 2000 }'],
  ['reservoir', 'reservoir: { reservoirUf: 100000 }', '', 'reservoir: none'],
  ['coil-heat', '', 'cooling: { coilLimitC: 95 }', 'cooling: { coilLimitC: 89 }'],
  ['alternator', '', 'consumers: { meterW: 50 }', 'consumers: { meterW: 80 }'],
  ['stroke-life', '', 'service: { serviceYears: 20 }', 'service: { serviceYears: 40 }'],
  ['power-rule', 'work: { dutyPulsesPerMin: 50 }', '', 'work: { dutyPulsesPerMin: 160 }'],
];

describe('a design check', () => {
  it('is in this table', () => {
    expect(JUDGED.map(([name]) => name)).toEqual(sizingOf('').checks.map(({ name }) => name));
  });

  // The one rule that knows no "near", and what is so near that the table's machines do not show it.
  const withoutNear = ['cylinder-stroke', 'supply-range'];
  it.each(JUDGED)('%s', (name, passing, near, failing) => {
    expect(verdictOf(sizingOf(passing), name)).toBe('pass');
    if (!withoutNear.includes(name)) expect(verdictOf(sizingOf(near), name)).toBe('near');
    expect(verdictOf(sizingOf(failing), name)).toBe('fail');
  });

  it('says in which direction its value is off', () => {
    for (const one of sizingOf('').checks) {
      const holds = one.is === '<=' ? one.value <= one.limit : one.value >= one.limit;
      expect(holds, one.name).toBe(one.verdict === 'pass');
    }
  });

  it('passes at its limit and fails beyond', () => {
    // Both sides of the cylinder's stroke, 164.7 mm over the travel.
    const needed = sizingOf('').force.cylinderStrokeNeededMm;
    expect(verdictOf(sizingOf(`cylinder: { cylinderStrokeMm: ${needed} }`), 'cylinder-stroke')).toBe('pass');
    expect(verdictOf(sizingOf(`cylinder: { cylinderStrokeMm: ${needed - 1e-6} }`), 'cylinder-stroke')).toBe('fail');
  });
});

describe('what a tenth more of a choice does', () => {
  const { sensitivity } = sizingOf('');
  const changeOf = (choice: string) => sensitivity.find((one) => one.choice === choice)?.changePercent;

  it('is a tenth more where a metric goes with it', () => {
    expect(changeOf('capAreaCm2')?.newtonPerBar).toBeCloseTo(10, 9);
    expect(changeOf('pullA')?.surelyMovesHotV).toBeCloseTo(10, 9);
    expect(changeOf('dutyPulsesPerMin')?.bankCoilW).toBeCloseTo(10, 9);
    expect(changeOf('minPulseMs')?.leastPulseUpN).toBeCloseTo(10, 9);
  });

  it('is 21 % where it goes with its square, and a third where with its cube', () => {
    expect(changeOf('sourceV')?.bankCoilW).toBeCloseTo(21, 9);
    // 1.1³ = 1.331.
    expect(changeOf('speedUsualMps')?.reboundW).toBeCloseTo(33.1, 9);
    expect(changeOf('rodAreaCm2')?.reboundW).toBeCloseTo(33.1, 9);
  });

  it('is an eleventh less where a metric goes against it, and nothing where they have nothing to do with each other', () => {
    expect(changeOf('dutyPulsesPerMin')?.lifeYears).toBeCloseTo(-100 / 11, 9);
    expect(changeOf('coilOhm')?.upNPerS).toBe(0);
    expect(changeOf('capAreaCm2')?.bankCoilW).toBe(0);
  });
});

describe('budgets', () => {
  it('go with the rows, and with the machine’s own', () => {
    const { budgets, budget } = sizingOf('work: { rowCount: 36 }');
    expect(budgets.map(({ rows }) => rows)).toEqual([24, 36, 48]);
    expect(budget).toEqual(budgets[1]);
    // By hand: fans 1.2 L/min a row; meters, cleaners and openers 25 + 2 + 2 W a row and 60 W of displays.
    expect(budgets.map(({ fansLpm }) => fansLpm)).toEqual([expect.closeTo(28.8, 9), expect.closeTo(43.2, 9), expect.closeTo(57.6, 9)]);
    expect(budgets.map(({ othersW }) => othersW)).toEqual([756, 1104, 1452]);
    // 200 and 80 A at 13.2 V.
    expect(budget).toMatchObject({ alternatorW: 2640, tractorW: 1056 });
    for (const one of budgets) {
      expect(one.totalLpm + one.leftLpm).toBeCloseTo(one.pumpLpm, 9);
      expect(one.electricalW + one.tractorW + one.leftW).toBeCloseTo(one.alternatorW, 9);
    }
  });
});
