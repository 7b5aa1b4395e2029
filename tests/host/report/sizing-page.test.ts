import { describe, expect, it } from 'vitest';
import { readMachine } from '../../../host/machine/machine.js';
import { sizingPage } from '../../../host/report/sizing/sizing-page.js';
import type { System } from '../../../host/report/sizing/sizing-units.js';
import { sizeMachine } from '../../../host/sizing/size-machine.js';
import { sizingInputOf } from '../../../host/sizing/sizing-input.js';
import { PROJECT } from '../../support/project.js';

/** A machine with its input and its sizing. */
function sizedMachine(name: string) {
  const machine = readMachine(PROJECT, name);
  return { machine, input: sizingInputOf(machine), sizing: sizeMachine(machine) };
}

const sizedOnce = new Map<string, ReturnType<typeof sizedMachine>>();

/** Sizes each machine once, however many tests look at it. */
function sizedBy(name: string): ReturnType<typeof sizedMachine> {
  const known = sizedOnce.get(name) ?? sizedMachine(name);
  sizedOnce.set(name, known);
  return known;
}

function pageOf(name: string, units: System, words: { title?: string; note?: string } = {}): string {
  const { machine, input, sizing } = sizedBy(name);
  const { title, note } = machine;
  return sizingPage({ name: machine.name, title, note, tool: '0.0.0', ...words }, input, sizing, units);
}

/** Returns the paths of all numbers in a value. */
function numbersIn(value: unknown, path = ''): string[] {
  if (typeof value === 'number') return [path];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([name, one]) => numbersIn(one, path === '' ? name : `${path}.${name}`));
}

const shownIn = (page: string): Map<string, string> =>
  new Map([...page.matchAll(/data-path="([^"]+)">([^<]*)/g)].map(([, path = '', text = '']) => [path, text]));

/** Returns tags that are not closed in the order in which they were opened, except those whose end tags HTML allows to omit. */
function wronglyNested(page: string): string[] {
  const free = ['meta', 'input', 'tr', 'td', 'th', 'dt', 'dd', 'li', 'thead', 'tbody'];
  const open: string[] = [];
  const wrong: string[] = [];
  for (const [, slash, tag = '', rest = ''] of page.replace(/<style>[\s\S]*?<\/style>/, '').matchAll(/<(\/?)([a-z][a-z0-9]*)([^<>]*)>/gi)) {
    if (free.includes(tag) || rest.endsWith('/')) continue;
    if (slash === '') open.push(tag);
    else if (open.pop() !== tag) wrong.push(tag);
  }
  return [...wrong, ...open];
}

const MACHINES = ['default', 'with-reservoir', 'no-accumulator', 'no-lift-spring', 'research-8-row', 'field-24-row', 'wide-48-row'];

describe.each(MACHINES)('the page of %s', (name) => {
  it.each(['si', 'us'] as const)('shows every number of the JSON, %s', (units) => {
    const { input, sizing } = sizedBy(name);
    const shown = shownIn(pageOf(name, units));
    const paths = [...numbersIn(sizing), ...numbersIn({ input })];
    expect(paths.length).toBeGreaterThan(700);
    expect(paths.filter((path) => !/\d/.test(shown.get(path) ?? ''))).toEqual([]);
  });

  it('is well-formed, needs no network, has no script and no missing number', () => {
    const page = pageOf(name, 'us');
    expect(wronglyNested(page)).toEqual([]);
    expect(page).not.toMatch(/<script|<link|<img|<iframe|<object|https?:|@import|\bsrc=|\bhref=|\bon\w+=/i);
    for (const [address] of page.matchAll(/url\([^)]*\)/g)) expect(address).toBe('url(#hatch)');
    expect(page).not.toMatch(/NaN|Infinity|undefined/);
    expect(page.match(/<svg class="drawing"/g)).toHaveLength(3);
  });
});

describe('the page of a machine', () => {
  it('has numbers in both systems of units', () => {
    // By hand: 44.829 bar · 14.5038; 18.288 m is 60 ft; 85 °C and 9/5, 32.
    const [si, us] = (['si', 'us'] as const).map((units) => shownIn(pageOf('default', units))) as [
      Map<string, string>,
      Map<string, string>,
    ];
    expect([si.get('force.workTypicalKpa'), us.get('force.workTypicalKpa')]).toEqual(['44.83', '650.2']);
    expect([si.get('life.widthM'), us.get('life.widthM')]).toEqual(['18.29', '60.00']);
    expect([si.get('strokes.2.coilC'), us.get('strokes.2.coilC')]).toEqual(['85', '185']);
  });

  it('escapes text from the machine file', () => {
    const page = pageOf('default', 'si', { title: '<b>A & "B"</b>', note: "<script>alert('x')</script>" });
    expect(page).toContain('&lt;b&gt;A &amp; &quot;B&quot;&lt;/b&gt;');
    expect(page).not.toMatch(/<b>|<script/);
  });

  it('states the results of checks in words, and has the cautions', () => {
    const page = pageOf('default', 'si');
    expect(page).toContain('✕ FAIL</span> reservoir');
    expect(page).toContain('! marginal</span> slew-down-time');
    for (const words of ['Stored energy', 'Release the pressure', 'trained people', 'disconnect the battery', 'Local codes'])
      expect(page).toContain(words);
  });

  it('draws the parts of the machine', () => {
    expect(pageOf('no-accumulator', 'si')).toContain('no accumulator');
    expect(pageOf('default', 'si')).toContain('Harness, daisy chain: longer of two arms, 12 of 24 rows');
    expect(pageOf('research-8-row', 'si')).toContain('Harness, star: all 8 rows in one arm');
  });

  it('draws the return valve with its own flow: 0.85 of 8 L/min', () => {
    const flows = [...pageOf('default', 'si').matchAll(/(supply|return) valve<.*?>([\d.]+ L\/min)</gs)].map(([, name, flow]) => [
      name,
      flow,
    ]);
    expect(flows).toEqual([
      ['supply', '8 L/min'],
      ['return', '6.8 L/min'],
    ]);
  });

  it.each(['default', 'research-8-row', 'wide-48-row'])('%s: the last segment ends at the voltage of the last row', (name) => {
    const { harness } = sizedBy(name).sizing;
    const isCold = harness.lastRowColdV / harness.pullInColdV < harness.lastRowHotV / harness.pullInHotV;
    expect(harness.segments.at(-1)?.farEndV).toBeCloseTo(isCold ? harness.lastRowColdV : harness.lastRowHotV, 9);
  });
});
