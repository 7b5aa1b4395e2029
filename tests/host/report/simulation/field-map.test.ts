import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { plainText } from '../../../../host/report/form/colours.js';
import { fieldMap } from '../../../../host/report/simulation/field-map.js';
import { readScenario } from '../../../../host/simulate/scenario.js';
import { PROJECT } from '../../../support/project.js';
import { temporaryFolder } from '../../../support/temporary-folder.js';

const folder = temporaryFolder();

/** 100 m: 2 m/s for 40 m, up to 4 m/s over 30 m (10 s), 30 m at 4 m/s (7.5 s). */
const FIELD = `title: Two parts
story: Invented.
rows: 4
seconds: 37.5
field:
  class: D
  segments:
    - { name: loam, toM: 50 }
    - { name: sand, class: B, hardnessRatio: 0.4, stoneEveryM: 0 }
  stones: [{ atM: 10, row: [1, 3], heightMm: 80 }, { atM: 10.5, rowShareRatio: 0.5 }, { atM: 60 }]
  steps: [{ atM: 75, heightMm: -120 }, { atM: 80 }]
drive:
  - { atS: 0, speedMps: 2 }
  - { atM: 40, speedMps: 2 }
  - { atM: 70, speedMps: 4 }
events:
  - { atS: 5, what: valve-leak, row: 2, valve: supply }
`;

/** The map in 60 characters: 50 for the pass, 2 m each. */
function mapOf(text: string): string {
  const file = join(folder, 'two-parts.yaml');
  writeFileSync(file, text);
  return plainText(fieldMap(readScenario(PROJECT, file), 60));
}

it('draws what is where along the pass', () => {
  const lines = mapOf(FIELD).split('\n');
  const lineOf = (name: string): string => lines.find((line) => line.startsWith(`${name} `))?.slice(10) ?? '';
  expect(lineOf('m')).toBe('0         20        40        60        80     100');
  expect(lineOf('segment')).toBe(`${'|loam'.padEnd(25)}|sand`);
  expect(lineOf('class')).toBe(`${'|D'.padEnd(25)}|B`);
  expect(lineOf('hardness')).toBe(`${'|1'.padEnd(25)}|0.4`);
  // Two stones in the sixth character.
  expect(lineOf('stones')).toBe(`${' '.repeat(5)}2${' '.repeat(24)}o`);
  expect(lineOf('steps')).toBe(`${' '.repeat(37)}\\  /`);
  expect(lineOf('speed')).toMatch(/^▄{20}[▅▆▇█]{15}█{15}$/);
  expect(lineOf('drive')).toBe(`${' '.repeat(20)}d${' '.repeat(14)}d`);
  // 5 s at 2 m/s.
  expect(lineOf('events')).toBe(`${' '.repeat(5)}x`);
});

it('lists the segments and every place with its distance and time', () => {
  const text = mapOf(FIELD);
  expect(text).toMatch(/^sand +50 +100 +B +0.4 +0.5714 +0.7559 +none$/m);
  expect(text).toMatch(/^ *10 +5 +event +valve-leak, row 2, valve supply$/m);
  expect(text).toMatch(/^ *10\.5 +5\.25 +stone +50 mm high, 200 mm long, in 50 % of all rows$/m);
  expect(text).toMatch(/^ *70 +30 +drive +speedMps 4$/m);
  expect(text).toMatch(/^ *75 +31\.25 +step +120 mm down over 0\.3 m$/m);
});

it('says where the machine stands still', () => {
  expect(mapOf('title: A\nstory: Invented.\nrows: 1\nseconds: 2\ndrive: [{ atS: 0, speedMps: 0 }]\n')).toContain(
    'the machine stands still',
  );
});
