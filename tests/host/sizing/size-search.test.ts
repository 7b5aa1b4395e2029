import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import { changedMachine, readMachine } from '../../../host/machine/machine.js';
import { catalogueNames, readCatalogue } from '../../../host/sizing/search/catalogue.js';
import { changesOf, type Design, type DesignMetrics, Weigher } from '../../../host/sizing/search/design.js';
import { beats, isConfirmed, pickFinalists, simulatedGains } from '../../../host/sizing/search/finalists.js';
import { dominates, Front, gains } from '../../../host/sizing/search/front.js';
import { designCount, search, searchFrom } from '../../../host/sizing/search/search.js';
import { temporaryFolder } from '../../support/command.js';

const folder = temporaryFolder();
let files = 0;
function fileOf(text: string): string {
  const file = join(folder, `${++files}.yaml`);
  writeFileSync(file, text);
  return file;
}

const metrics = (coilW: number, oilW: number, leastPulseN = 30, slewS = 0.5, cost = 100): DesignMetrics => ({
  coilW,
  oilW,
  leastPulseN,
  slewS,
  cost,
});

describe('a design against another', () => {
  // Steps of 2 %: ln 2 / ln 1.02 = 35.003, so that half is 35 steps better.
  it.each([
    ['half of one metric', metrics(2, 1000), metrics(4, 1000), [35, 0, 0, 0, 0]],
    ['twice of another', metrics(4, 2000), metrics(4, 1000), [0, -35, 0, 0, 0]],
    ['the same', metrics(4, 1000), metrics(4, 1000), [0, 0, 0, 0, 0]],
    ['a price of nothing', metrics(4, 1000, 30, 0.5, 0), metrics(4, 1000), [0, 0, 0, 0, 1000]],
    ['nothing twice', metrics(4, 1000, 30, 0.5, 0), metrics(4, 1000, 30, 0.5, 0), [0, 0, 0, 0, 0]],
  ])('of %s', (_, one, other, gained) => expect(gains(one, other)).toEqual(gained));

  it('dominates where it is better in one metric and worse in none; it beats from two on', () => {
    const present: Design = { picks: [0], metrics: metrics(4, 1000) };
    const [one, two, mixed] = [metrics(2, 1000), metrics(2, 500), metrics(2, 1100)].map((made) => ({ picks: [1], metrics: made }));
    expect([one, two, mixed, present].map((design) => dominates(design?.metrics ?? metrics(9, 9), present.metrics))).toEqual([
      true,
      true,
      false,
      false,
    ]);
    expect([one, two, mixed].map((design) => beats(design ?? present, present))).toEqual([false, true, false]);
  });
});

// Metrics that lie whole steps apart, so that it is plain which is better.
const someMetrics = fc
  .array(fc.integer({ min: 0, max: 4 }), { minLength: 5, maxLength: 5 })
  .map(([a = 0, b = 0, c = 0, d = 0, e = 0]) => metrics(10 + a, 10 + b, 10 + c, 10 + d, 10 + e));

describe('a front', () => {
  test.prop([fc.array(someMetrics, { minLength: 1, maxLength: 40 })])('is what nothing dominates, whatever the order', (all) => {
    const designs = all.map((made, index) => ({ picks: [index], metrics: made }));
    const values = ({ metrics: made }: Design): string => Object.values(made).join(' ');
    // The definition itself, on the numbers: no other is at most as large everywhere and not the same.
    const isBeaten = (one: Design): boolean =>
      designs.some(
        (other) =>
          values(other) !== values(one) &&
          Object.entries(other.metrics).every(([name, value]) => value <= one.metrics[name as keyof DesignMetrics]),
      );
    const expected = [...new Set(designs.filter((one) => !isBeaten(one)).map(values))].sort();
    expect(new Front(designs).designs.map(values).sort()).toEqual(expected);
    expect(new Front([...designs].reverse()).designs.map(values).sort()).toEqual(expected);
  });
});

const SMALL = `title: Small
scenario: target-step
choices:
  valve:
    each: row
    cost: 60
    options: [{ cost: 50, valveFlowLpm: 6 }, { name: a large one, cost: 70, valveFlowLpm: 12 L/min }]
  rail: { each: machine, quantity: railNominalKpa, from: 120 bar, to: 160 bar, step: 10 bar }
  wires:
    each: machine
    options: [{ cost: 5, wireAwg: 10 }]
`;

describe('a catalogue', () => {
  it('has for each choice the machine as it is and what is listed, prices over all rows', () => {
    const { choices } = readCatalogue(fileOf(SMALL), 8);
    expect(choices.map(({ name, options }) => [name, options.length])).toEqual([
      ['valve', 3],
      ['rail', 6],
      ['wires', 2],
    ]);
    expect(choices[0]?.options).toEqual([
      { name: 'as it is', cost: 480, changes: {} },
      { name: 'valveFlowLpm 6', cost: 400, changes: { valveFlowLpm: 6 } },
      { name: 'a large one', cost: 560, changes: { valveFlowLpm: 12 } },
    ]);
    expect(choices[1]?.options.map(({ changes }) => changes.railNominalKpa)).toEqual([undefined, 12000, 13000, 14000, 15000, 16000]);
    expect(choices[2]?.options.map(({ cost }) => cost)).toEqual([0, 5]);
  });

  it.each(catalogueNames())('%s is in order, goes with every machine, and says that it is invented', (name) => {
    const catalogue = readCatalogue(name, 24);
    expect(catalogue.note).toMatch(/invented/i);
    for (const machine of ['default', 'research-8-row', 'field-24-row', 'wide-48-row'])
      expect(new Weigher(readMachine(machine), catalogue).present.metrics.cost).toBeGreaterThan(0);
  });

  it.each([
    [
      'an unknown quantity',
      SMALL.replace('valveFlowLpm: 6', 'valveFlow: 6'),
      /:7:27: choices\.valve\.options\[0\] key "valveFlow" — allowed: .*valveFlowLpm/,
    ],
    ['what a machine is for', SMALL.replace('valveFlowLpm: 6', 'rowCount: 6'), /:7:27: .* key "rowCount"/],
    ['a quantity beyond its limits', SMALL.replace('wireAwg: 10', 'wireAwg: 99'), /:11:35: wireAwg 99 — allowed: a number from 0 to 24/],
    ['an option about nothing', SMALL.replace(', wireAwg: 10', ''), /:11:15: option — allowed: some quantity/],
    ['steps of nothing', SMALL.replace('step: 10 bar', 'step: 0'), /:8:\d+: step 0 — allowed: at most 200 steps/],
    ['steps downwards', SMALL.replace('to: 160 bar', 'to: 100 bar'), /:8:\d+: to "100 bar" — allowed: above from, which is 12000/],
    ['no steps', SMALL.replace(', step: 10 bar', ''), /:8:9: rail — allowed: a list of options; or quantity, from, to and step/],
    [
      'both',
      SMALL.replace('    options: [{ cost: 5', '    step: 1\n    options: [{ cost: 5'),
      /:7:11: step besides options 1 — allowed: one of the two/,
    ],
    [
      'a quantity in two choices',
      SMALL.replace('wireAwg: 10', 'railNominalKpa: 12000'),
      /:10:5: railNominalKpa in two choices .*— allowed: it is in rail already/,
    ],
    ['a price below nothing', SMALL.replace('cost: 5,', 'cost: -5,'), /:11:23: .*cost -5 — allowed: a number from 0/],
    ['no choice', 'title: None\nscenario: target-step\nchoices: {}\n', /:3:10: choices/],
    ['a scenario that there is not', SMALL.replace('target-step', 'target-stop'), /:2:11: scenario "target-stop" — allowed: .*target-step/],
  ])('with %s is refused at its place', (_, text, message) => {
    expect(() => readCatalogue(fileOf(text), 24)).toThrow(message);
  });
});

describe('weighing', () => {
  const machine = readMachine('default');

  it('leaves the machine as it is where nothing is chosen, and counts prices', () => {
    const weigher = new Weigher(machine, readCatalogue(fileOf(SMALL), 24));
    expect(weigher.present.metrics.cost).toBe(60 * 24);
    expect(weigher.weigh([0, 0, 0])?.metrics).toEqual(weigher.present.metrics);
    expect(weigher.weigh([1, 0, 1])?.metrics.cost).toBe(50 * 24 + 5);
  });

  it('refuses what fails a check that the machine passes, and what does not go together', () => {
    const text = `title: Odd\nscenario: target-step\nchoices:\n  wires: { each: machine, options: [{ cost: 1, wireAwg: 24 }] }\n  gas: { each: row, options: [{ cost: 1, prechargeAbsoluteKpa: 19000 }] }\n`;
    const weigher = new Weigher(machine, readCatalogue(fileOf(text), 24));
    // AWG 24 is 0.2 mm² where 2.8 are needed; a precharge of 190 bar lies above the rail of 150.
    expect(weigher.weigh([1, 0])).toBeUndefined();
    expect(weigher.weigh([0, 1])).toBeUndefined();
    expect(weigher.weigh([0, 0])).toBeDefined();
  });
});

describe('a search', () => {
  const machine = readMachine('default');
  const large = new Weigher(machine, readCatalogue('row-hydraulics', 24));
  const ignore = (): void => {};

  it('goes through a small catalogue as a whole', () => {
    const weigher = new Weigher(machine, readCatalogue(fileOf(SMALL), 24));
    const state = search(weigher, searchFrom(1), 5, ignore);
    expect([designCount(weigher), state.tries]).toEqual([36, 36]);
    const all = [0, 1, 2].flatMap((valve) =>
      [0, 1, 2, 3, 4, 5].flatMap((rail) => [0, 1].map((wires) => weigher.weigh([valve, rail, wires]))),
    );
    const fit = all.filter((one) => one !== undefined);
    expect(state.fit).toBe(fit.length);
    const front = state.front.map((picks) => weigher.weigh(picks));
    for (const one of fit)
      expect(front.some((member) => member !== undefined && gains(member.metrics, one.metrics).every((gain) => gain >= 0))).toBe(true);
  });

  it('is the same with the same seed, another with another', () => {
    const [one, same, other] = [1, 1, 2].map((seed) => search(large, searchFrom(seed), 400, ignore));
    expect(same).toEqual(one);
    expect(other?.front).not.toEqual(one?.front);
  });

  it('goes on as if it had never stopped', () => {
    const kept = JSON.parse(JSON.stringify(search(large, searchFrom(7), 300, ignore)));
    expect(search(large, kept, 700, ignore)).toEqual(search(large, searchFrom(7), 700, ignore));
    // What has been done already is not done again.
    expect(search(large, kept, 100, ignore)).toEqual(kept);
  });

  it('has a front of which no design dominates another, all in order', () => {
    const { front } = search(large, searchFrom(3), 600, ignore);
    const designs = front.map((picks) => large.weigh(picks));
    expect(designs.length).toBeGreaterThan(20);
    for (const one of designs) {
      expect(one).toBeDefined();
      expect(designs.some((other) => other !== undefined && one !== undefined && dominates(other.metrics, one.metrics))).toBe(false);
    }
  });
});

describe('finalists', () => {
  const design = (pick: number, ...made: Parameters<typeof metrics>): Design => ({ picks: [pick], metrics: metrics(...made) });
  const present = design(0, 4, 1000);
  const front = [design(1, 2, 990), design(2, 3, 500), design(3, 3.9, 980, 15), design(4, 1, 2000), design(5, 3, 400)];

  it('beat the machine as it is: the best on the whole first, then the best in each metric', () => {
    // Whole steps of 2 %: 1 gains 35 in coil power only; 2: 14 and 35; 3: 1, 1 and 35; 4 loses in oil; 5: 14 and 46.
    expect(pickFinalists(front, present, 4).map(({ picks: [pick] }) => pick)).toEqual([5, 3, 2]);
    expect(pickFinalists(front, present, 1).map(({ picks: [pick] }) => pick)).toEqual([5]);
    expect(pickFinalists([front[3] ?? present], present, 5)).toEqual([]);
  });

  const before = { coilTotalW: 10, hydraulicW: 100, loadRmsN: 60, inBandPercent: 90, liftOffPercent: 20 };
  it.each([
    ['two better', { coilTotalW: 9, hydraulicW: 90 }, true],
    ['one better', { coilTotalW: 9 }, false],
    ['two better and one worse by more than 2 %', { coilTotalW: 9, hydraulicW: 90, loadRmsN: 61.3 }, false],
    ['two better and one worse by less', { coilTotalW: 9, hydraulicW: 90, loadRmsN: 61.1 }, true],
    ['less time in the band', { coilTotalW: 9, hydraulicW: 90, inBandPercent: 88 }, false],
    ['more time in the band', { coilTotalW: 9, inBandPercent: 92 }, true],
  ])('with %s: %o → %s', (_, change, confirmed) => {
    expect(isConfirmed({ ...before, ...change }, before)).toBe(confirmed);
  });

  it('gain where less is better by less, and in the band by more', () => {
    expect(simulatedGains({ ...before, coilTotalW: 5, inBandPercent: 99 }, before)).toEqual(
      [0.5, 0, 0, 0.1, 0].map((gain) => expect.closeTo(gain, 12)),
    );
  });
});

describe('the machine file of a design', () => {
  it('has the changes, keeps what a person wrote, and makes a part of `none`', () => {
    const machine = readMachine('default');
    const text = changedMachine(machine, 'Another', 'Because.', { valveFlowLpm: 6, reservoirUf: 68000, wireAwg: 14, strokeMs: 2 });
    const read = readMachine(fileOf(text));
    expect([read.title, read.note]).toEqual(['Another', 'Because.']);
    expect(read.values).toEqual({ ...machine.values, valveFlowLpm: 6, reservoirUf: 68000, chargeOhm: expect.any(Number) });
    expect(read.sizing).toEqual({ ...machine.sizing, wireAwg: 14 });
    expect(read.controller).toEqual({ strokeMs: 2 });
    expect(read.values.accelerationFitted).toBe(0);
  });

  it('is the same machine where nothing is changed', () => {
    const machine = readMachine('wide-48-row');
    const read = readMachine(fileOf(changedMachine(machine, machine.title, machine.note, {})));
    expect({ ...read, name: '', file: '' }).toEqual({ ...machine, name: '', file: '' });
    expect(readFileSync(read.file, 'utf8')).toContain('title: ');
  });

  it('sizes to the metrics that the search gave it', () => {
    const machine = readMachine('default');
    const weigher = new Weigher(machine, readCatalogue('row-hydraulics', 24));
    const picks = [3, 2, 2, 13, 4, 0, 4, 0, 0, 0];
    const found = weigher.weigh(picks);
    expect(found).toBeDefined();
    const read = readMachine(fileOf(changedMachine(machine, 'Found', 'x', changesOf(weigher.catalogue, picks))));
    const again = new Weigher(read, weigher.catalogue).present.metrics;
    expect({ ...again, cost: 0 }).toEqual({ ...found?.metrics, cost: 0 });
  });
});
