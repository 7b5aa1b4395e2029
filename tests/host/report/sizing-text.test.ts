import { stripVTControlCharacters } from 'node:util';
import { describe, expect, it } from 'vitest';
import { readMachine } from '../../../host/machine/machine.js';
import { sizingText } from '../../../host/report/sizing/sizing-text.js';
import { digitsApart, kindAt, kindOf, withUnit, written } from '../../../host/report/sizing/sizing-units.js';
import { sizeMachine } from '../../../host/sizing/size-machine.js';
import { PROJECT } from '../../support/project.js';

const machine = readMachine(PROJECT, 'default');
const sizing = sizeMachine(machine);
const textOf = (units: 'si' | 'us'): string => stripVTControlCharacters(sizingText(machine, sizing, units));

describe('a number on the sheet', () => {
  it.each([
    [0, '0'],
    [-0.0001, '−0.000100'],
    [9.9999, '10.00'],
    [999.96, '1000'],
    [12345.6, '12 346'],
    [-12345.6, '−12 346'],
    [24, '24'],
    [0.45, '0.4500'],
  ])('%d is written %s', (value, text) => expect(written(value)).toBe(text));

  it.each([
    [-3.804, -3.804, 4],
    [-3.80401, -3.804, 6],
    [164.7, 164.7 - 1e-6, 9],
    [12, 3, 4],
    [1, 1 + 1e-15, 4],
  ])('%d beside the limit %d has %i digits', (value, limit, digits) => {
    expect(digitsApart(value, limit, kindOf('none'), 'si')).toBe(digits);
  });

  it('of a wire area is a gauge on a US sheet: the thinnest that has it', () => {
    // ASTM B258: 12 AWG has 3.3088 mm², 4/0 107.2 mm².
    const area = kindOf('squareMillimetre');
    expect([3.3, 3.4, 107, 110].map((mm2) => withUnit(mm2, area, 'us'))).toEqual(['12 AWG', '11 AWG', '4/0 AWG', 'over 4/0 AWG']);
    expect(withUnit(3.3, area, 'si')).toBe('3.300 mm²');
  });

  // By hand, from the definitions: psi 6.894757293168 kPa, lbf 4.4482216152605 N, gallon 3.785411784 L, inch 25.4 mm,
  // horsepower 745.6999 W, foot 0.3048 m, acre 4046.8564224 m².
  it.each([
    ['force.workTypicalKpa', 6894.757293168, '68.95 bar', '1000 psi'],
    ['deadbandN', 444.82216152605, '444.8 N', '100.0 lbf'],
    ['oil.rowLpm', 37.85411784, '37.85 L/min', '10.00 US gal/min'],
    ['valve.orificeMm', 25.4, '25.40 mm', '1.000 in'],
    ['heat.cylinderMaxC', 100, '100 °C', '212 °F'],
    ['heat.cylinderRiseK', 10, '10 K', '18 °F'],
    ['oil.machineW', 745.6998715822702, '745.7 W', '1 hp'],
    ['supplyBudget.hydraulicW', 7456.998715822702, '7457 W', '10 hp'],
    ['supplyBudget.coilsW', 745.7, '745.7 W', '745.7 W'],
    ['life.widthM', 3.048, '3.048 m', '10.00 ft'],
    ['life.hectaresPerHour', 0.40468564224, '0.4047 ha/h', '1.000 acre/h'],
    // 1 N/bar is 1/4.4482216152605 lbf in 14.503773773 psi.
    ['force.newtonPerBar', 64.516, '64.52 N/bar', '1.000 lbf/psi'],
    ['force.newtonPerBarRaised', 64.516, '64.52 N/bar', '1.000 lbf/psi'],
    ['harness.segments.0.neededAwg', 12, '12 AWG', '12 AWG'],
    ['harness.segments.0.neededAwg', -3, '4/0 AWG', '4/0 AWG'],
    ['harness.wireOhmPerM', 1, '1 Ω/m', '0.3048 Ω/ft'],
  ])('%s %d is %s or %s', (path, value, si, us) => {
    expect(withUnit(value, kindAt(path), 'si')).toBe(si);
    expect(withUnit(value, kindAt(path), 'us')).toBe(us);
  });
});

describe('the sheet of a machine as text', () => {
  it('begins with the checks, failing ones first and with all details', () => {
    const text = textOf('si');
    const places = [
      '\nFAIL  rail-margin: −29.66 bar; must be >= 20 bar (marginal: >= 0 bar)',
      '\nFAIL  reservoir-strokes: 0; must be >= 24',
      '\nmarginal  slew-down-time: ',
      '\npass  cylinder-stroke ',
      '\nForce\n',
    ].map((part) => text.indexOf(part));
    expect(places.every((place) => place > 0)).toBe(true);
    expect([...places].sort((a, b) => a - b)).toEqual(places);
    const [failing] = sizing.checks.filter(({ result }) => result === 'fail');
    const flat = text.replace(/\s+/g, ' ');
    for (const part of [failing?.reason, failing?.remedy, failing?.rule, failing?.source]) expect(flat).toContain(part);
    expect(text).toContain('5 of 36 design checks fail, 5 are marginal, 26 pass');
  });

  it('says under what conditions a check is marginal, and never compares a value with itself', () => {
    const text = textOf('si');
    expect(text).toContain('slew-up-time: 0.6778 s; must be <= 0.5000 s (0.1802 s with oil at 40 °C (104 °F))');
    const wide = readMachine(PROJECT, 'wide-48-row');
    const wideText = stripVTControlCharacters(sizingText(wide, sizeMachine(wide), 'us'));
    expect(wideText).toMatch(/pump-margin: −1\.\d+ US gal\/min; must be >= 0 US gal\/min \(.* US gal\/min on average while planting\)/);
    expect(wideText).toContain('wire-area: 10 AWG; must be no thicker than 12 AWG (marginal: no thicker than 4/0 AWG)');
    for (const [, value, limit] of `${text}${wideText}`.matchAll(/^(?:FAIL|marginal) {2}[\w-]+: (.*); must be \S+ (.*?)(?: \(|$)/gm))
      expect(value).not.toBe(limit);
  });

  it('says nothing about gas on a machine without an accumulator', () => {
    const stiff = readMachine(PROJECT, 'no-accumulator');
    const stiffSizing = sizeMachine(stiff);
    expect(stiffSizing.accumulator).toBeUndefined();
    const text = stripVTControlCharacters(sizingText(stiff, stiffSizing, 'si'));
    const sections = text.slice(text.indexOf('Design checks'), text.indexOf('\nCautions\n'));
    expect(sections).toContain('Fit an accumulator');
    expect(sections.replace('Fit an accumulator: oil alone', '')).not.toMatch(/accumulator|precharge|\bgas\b/i);
    expect(text).toContain('\nStiffness\n');
  });

  it('has the same values in both systems of units, and every section', () => {
    expect(textOf('si')).toMatch(/^ {2}typical working pressure +44\.83 bar$/m);
    expect(textOf('us')).toMatch(/^ {2}typical working pressure +650\.2 psi$/m);
    expect(textOf('us')).not.toMatch(/ (bar|L\/min|mm|kN\/m)$/m);
    for (const title of ['Sensors', 'Coil and strokes', 'Reservoir capacitor', 'Life', 'Sensitivity', 'Cautions'])
      expect(textOf('us')).toContain(`\n${title}\n`);
  });

  it('has no missing numbers, and prose of at most 110 characters', () => {
    const text = textOf('si');
    expect(text).not.toMatch(/NaN|Infinity|undefined/);
    for (const line of text.split('\n').filter((one) => /^ {6}(why|remedy|rule|source)|^ {2}- /.test(one)))
      expect(line.length).toBeLessThanOrEqual(111);
  });
});
