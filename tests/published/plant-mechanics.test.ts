import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ATMOSPHERE_PA, BARE_ROW, GRAVITY_MPS2, NO_SOIL, type Numbers, PlantRig } from '../support/plant-rig.js';
import { SPRING_MASS_DAMPER } from './figures/plant-closed-forms.js';

describe('a row on its wheels', () => {
  const { massKg, stiffnessNPerM, dampingNsPerM, forceN, samples, peakS, peakMm } = SPRING_MASS_DAMPER;

  /**
   * Sinking under a force that is there from time 0 on, mm, every half millisecond. Damping of the contact comes in over its
   * first 2 mm, so the row is preloaded: a lift spring bears 1 kN of its 1177 N, which leaves 2.2 mm. Then the spring lets go.
   */
  function sinkingMm(count: number): number[] {
    const machine = { ...BARE_ROW, massKg: 100, seedKg: massKg - 100, contactNPerM: stiffnessNPerM, contactNsPerM: dampingNsPerM };
    const rig = new PlantRig({ tickHz: 2000, startKpa: 0, machine: { ...machine, liftN: forceN }, field: NO_SOIL });
    const standingM = -(massKg * GRAVITY_MPS2 - forceN) / stiffnessNPerM;
    rig.setState({ heightM: standingM, speedMps: 0 });
    expect(rig.run(20).get('rowState', 'heightM')).toBeCloseTo(standingM, 12);
    rig.set('machine', { liftN: 0 });
    return Array.from({ length: count }, () => 1000 * (standingM - rig.tick().get('rowState', 'heightM')));
  }

  it('sinks under a step of force like a spring, mass and damper in closed form', () => {
    const sinking = sinkingMm(1000);
    for (const [seconds, mm] of samples) expect(sinking[Math.round(seconds * 2000) - 1]).toBeCloseTo(mm, 6);
  });

  it('is deepest where and when the closed form is', () => {
    const sinking = sinkingMm(1000);
    const at = sinking.indexOf(Math.max(...sinking));
    // The vertex of a parabola through the three values around the deepest.
    const [before = 0, deepest = 0, after = 0] = sinking.slice(at - 1, at + 2);
    const shift = (before - after) / (2 * (before - 2 * deepest + after));
    expect((at + 1 + shift) / 2000).toBeCloseTo(peakS, 6);
    expect(deepest - ((before - after) * shift) / 4).toBeCloseTo(peakMm, 5);
  });
});

/** Length of the cylinder from its pivot on the frame to the arm, m, from the geometry. */
function cylinderM(travelM: number, machine: Numbers): number {
  const angle = Math.asin(travelM / (machine.armM ?? Number.NaN));
  const attach = machine.attachM ?? Number.NaN;
  return Math.hypot(
    (machine.cylinderPivotRearM ?? Number.NaN) - attach * Math.cos(angle),
    (machine.cylinderPivotUpM ?? Number.NaN) - attach * Math.sin(angle),
  );
}

const LINKAGES = [
  { title: 'the default machine', armM: 0.4, attachM: 0.3, cylinderPivotRearM: 0.06, cylinderPivotUpM: 0.18 },
  { title: 'a long arm under an upright cylinder', armM: 0.6, attachM: 0.25, cylinderPivotRearM: 0.2, cylinderPivotUpM: 0.4 },
];

describe('the linkage', () => {
  /** Down force per cylinder force at a travel, from the forces of the plant. */
  function ratioAt(rig: PlantRig, travelM: number): number {
    const cylinderN = rig.get('derived', 'areaM2') * 1e6;
    return (rig.ratesFor({ heightM: travelM, speedMps: 0, chamberPa: ATMOSPHERE_PA + 1e6 }).cylinderN ?? Number.NaN) / cylinderN;
  }

  it.each(LINKAGES)('of $title has the ratio at which its cylinder extends as the row goes down', ({ title: _, ...machine }) => {
    const rig = new PlantRig({ machine });
    const slice = 1e-5;
    for (let mm = -180; mm <= 180; mm += 10) {
      const travelM = mm / 1000;
      const exact = (cylinderM(travelM - slice, machine) - cylinderM(travelM + slice, machine)) / (2 * slice);
      expect(Math.abs(ratioAt(rig, travelM) / exact - 1), `at ${mm} mm`).toBeLessThan(0.01);
    }
  });

  it.each(LINKAGES)('of $title does the same work at the row as its cylinder over its stroke', ({ title: _, ...machine }) => {
    const rig = new PlantRig({ machine });
    let strokeM = 0;
    for (let mm = -179.5; mm < 180; mm += 1) strokeM += 0.001 * ratioAt(rig, mm / 1000);
    const exact = cylinderM(-0.18, machine) - cylinderM(0.18, machine);
    expect(Math.abs(strokeM / exact - 1)).toBeLessThan(0.01);
  });

  it('of the default machine turns 1 bar into 22.1 N at level travel', () => {
    // 4.909 cm² and a ratio of 0.45 (our own design value).
    const rig = new PlantRig();
    const newtonPerBar = 1e5 * rig.get('derived', 'areaM2') * ratioAt(rig, 0);
    expect(newtonPerBar).toBeGreaterThan(21.5);
    expect(newtonPerBar).toBeLessThan(22.7);
  });
});

/** Energy of a row and its chamber, J, from its state. */
function storedJ(rig: PlantRig): number {
  const y = rig.state();
  const r = rig.ratesFor();
  const travelM = y.heightM - (r.frameM ?? 0);
  const deltaM = Math.max(0, (r.groundM ?? 0) - y.heightM);
  const massKg = rig.get('rowProperties', 'massKg');
  const motion = 0.5 * massKg * y.speedMps ** 2 + massKg * GRAVITY_MPS2 * y.heightM;
  const liftSpring = 0.5 * rig.get('machine', 'liftNPerM') * travelM ** 2 - rig.get('machine', 'liftN') * travelM;
  const contact = 0.5 * rig.get('rowProperties', 'contactNPerM') * deltaM ** 2;
  // Ideal gas: p0·V0/T0 ·T/(γ − 1). Oil: half of V/β·p². Bubbles at constant temperature: V·p·ln p.
  const gas = (rig.get('rowState', 'gasJPerK') * y.gasK) / (rig.get('machine', 'gasExponent') - 1);
  const oil = 0.5 * rig.get('derived', 'oilM3PerPa') * y.chamberPa ** 2 + rig.get('derived', 'airM3Pa') * Math.log(y.chamberPa);
  return motion + liftSpring + contact + gas + oil;
}

interface Power {
  readonly inW: number;
  readonly heatW: number;
  readonly throughW: number;
}

/** Power from ground, soil, frame, rail, air and the surroundings of the gas, and power lost as heat, W. */
function power(rig: PlantRig): Power {
  const y = rig.state();
  const r = rig.ratesFor();
  const at = (name: string): number => r[name] ?? Number.NaN;
  const relative = y.speedMps - at('frameMps');
  const sinking = at('groundMps') - y.speedMps;
  const deltaM = at('groundM') - y.heightM;
  const ground = at('wheelN') * at('groundMps');
  const soil = (at('openerN') + at('closingN')) * y.speedMps;
  const frame = (at('springN') + at('reboundN') + at('frictionN') + at('stopN') - at('cylinderN')) * at('frameMps');
  const supplyPa = rig.get('plant', 'railPa');
  const returnPa = rig.get('plant', 'returnPa');
  const rail = supplyPa * at('supplyM3PerS') - returnPa * at('returnM3PerS');
  const pistonM3PerS = (-at('cylinderN') * relative) / (y.chamberPa - ATMOSPHERE_PA);
  const gasHeat =
    (rig.get('rowState', 'gasJPerK') / (rig.get('machine', 'gasExponent') - 1)) * ((293.15 - y.gasK) / rig.get('machine', 'gasThermalS'));
  const valves = (supplyPa - y.chamberPa) * at('supplyM3PerS') + (y.chamberPa - returnPa) * at('returnM3PerS');
  const tyre = deltaM > 0 ? (at('wheelN') - rig.get('rowProperties', 'contactNPerM') * deltaM) * sinking : 0;
  const rubbing = -(at('reboundN') + at('frictionN') + at('stopN')) * relative;
  return {
    inW: ground + soil + frame + rail + gasHeat - ATMOSPHERE_PA * pistonM3PerS,
    heatW: valves + tyre + rubbing,
    throughW: Math.abs(ground) + Math.abs(soil) + Math.abs(frame) + Math.abs(rail),
  };
}

interface Balance {
  readonly inJ: number;
  readonly heatJ: number;
  readonly storedJ: number;
  readonly throughJ: number;
}

/** Runs a row over rough ground with pulses of both valves, and integrates its energy by the trapezoid rule. */
function balanceOf(seed: number, field: Numbers, seconds = 4): Balance {
  const rig = new PlantRig({ seed, field: { roughnessCm3: 1024, stoneEveryM: 8, soilNoiseRatio: 0.08, ...field }, drive: { speedMps: 3 } });
  rig.run(300);
  const sum = { inJ: 0, heatJ: 0, throughJ: 0 };
  const h = rig.stepS;
  let last: Power | undefined;
  let first: number | undefined;
  let stored = 0;
  const sample = (): void => {
    const now = power(rig);
    stored = storedJ(rig);
    first ??= stored;
    if (last !== undefined) {
      sum.inJ += 0.5 * h * (last.inW + now.inW);
      sum.heatJ += 0.5 * h * (last.heatW + now.heatW);
      sum.throughJ += 0.5 * h * (last.throughW + now.throughW);
    }
    last = now;
  };
  for (let tick = 0; tick < seconds * 1000; tick++) {
    const phase = tick % 250;
    rig.order('supply', phase < 3 ? 1 : phase < 12 ? 0 : phase < 15 ? 2 : 0);
    rig.order('return', phase >= 120 && phase < 123 ? 1 : phase >= 132 && phase < 135 ? 2 : 0);
    rig.tick(sample);
  }
  return { ...sum, storedJ: stored - (first ?? 0) };
}

describe('energy', () => {
  it.each([1, 2, 3])('is conserved over rough ground: all of it is stored or becomes heat (seed %i)', (seed) => {
    const { inJ, heatJ, storedJ: stored, throughJ } = balanceOf(seed, {});
    // The run must be eventful: hundreds of joules become heat.
    expect(heatJ).toBeGreaterThan(300);
    expect(heatJ).toBeLessThan(800);
    expect(Math.abs(inJ - heatJ - stored) / throughJ).toBeLessThan(0.001);
    expect(Math.abs(inJ - heatJ - stored) / heatJ).toBeLessThan(0.001);
  });
});

describe('forces on a row', () => {
  const number = (min: number, max: number): fc.Arbitrary<number> => fc.double({ min, max, noNaN: true });
  const rough = new PlantRig({ field: { roughnessCm3: 1024, soilNoiseRatio: 0.08 } }).run(500);
  const states = fc.record({
    heightM: number(-0.2, 0.2),
    speedMps: number(-2, 2),
    chamberPa: number(ATMOSPHERE_PA, 2e7),
    gasK: number(250, 350),
    sensedN: number(-500, 5000),
  });

  it('add up to mass times acceleration', () => {
    fc.assert(
      fc.property(states, (state) => {
        const r = rough.ratesFor(state);
        const at = (name: string): number => r[name] ?? Number.NaN;
        const upN =
          at('wheelN') + at('openerN') + at('closingN') + at('frictionN') + at('stopN') + at('springN') + at('reboundN') - at('cylinderN');
        expect(105 * (at('speedMps2') + GRAVITY_MPS2)).toBeCloseTo(upN, 6);
      }),
    );
  });

  it('never pull where they can only push, and never add energy where they dissipate it', () => {
    fc.assert(
      fc.property(states, (state) => {
        const r = rough.ratesFor(state);
        const relative = state.speedMps - (r.frameMps ?? 0);
        for (const name of ['wheelN', 'openerN', 'closingN', 'reboundW']) expect(r[name]).toBeGreaterThanOrEqual(0);
        expect((r.frictionN ?? 0) * relative).toBeLessThanOrEqual(0);
        expect((r.reboundN ?? 0) * relative).toBeLessThanOrEqual(0);
      }),
    );
  });

  it('do not change when ground, frame and row are raised together', () => {
    const still = { speedMps: 0 };
    const flat = (heightM: number): PlantRig =>
      new PlantRig({ drive: { speedMps: 0 }, profile: { points: [new Float32Array(40).fill(heightM)], lengthM: 1 } });
    const [low, high] = [flat(0), flat(0.5)];
    fc.assert(
      fc.property(states, ({ heightM, ...rest }) => {
        const below = low.ratesFor({ ...rest, ...still, heightM });
        const above = high.ratesFor({ ...rest, ...still, heightM: heightM + 0.5 });
        for (const name of ['wheelN', 'openerN', 'downN', 'speedMps2']) expect(above[name]).toBeCloseTo(below[name] ?? Number.NaN, 5);
      }),
    );
  });

  it('change sign with the motion: friction, and a rebound damper with equal damping in both directions', () => {
    const rig = new PlantRig({ machine: { reboundUpRatio: 1 }, drive: { speedMps: 0 } });
    fc.assert(
      fc.property(number(0, 3), (speedMps) => {
        const up = rig.ratesFor({ speedMps });
        const down = rig.ratesFor({ speedMps: -speedMps });
        for (const name of ['frictionN', 'reboundN']) expect(up[name]).toBeCloseTo(0 - (down[name] ?? Number.NaN), 9);
      }),
    );
  });

  it('are equal for equal rows over the same ground', () => {
    const points = Float32Array.from({ length: 2000 }, (_, index) => 0.02 * Math.sin(index / 30));
    const rig = new PlantRig({ rows: 5, profile: { points: [points], lengthM: 50 }, field: { soilMinN: 700, soilMaxN: 700 } }).run(2000);
    for (let row = 1; row < 5; row++) expect(rig.state(row)).toEqual(rig.state(0));
  });
});
