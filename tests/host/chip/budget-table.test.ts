import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { ChipBudget } from '../../../host/chip/budget.js';
import { acceptBudgets, type BudgetMetric, checkBudgets, metricsOf, readBudgets } from '../../../host/chip/budget-table.js';
import { InputError } from '../../../host/common/input-error.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();

let files = 0;
function fileOf(text: string): string {
  const file = join(folder, `${++files}.yaml`);
  writeFileSync(file, text);
  return file;
}

const metric = (value: number, rest: Partial<BudgetMetric> = {}): BudgetMetric => ({
  chip: 'cortex-m4f',
  rows: 24,
  metric: 'textBytes',
  value,
  ...rest,
});
const APPROVAL = { by: 'A. Maintainer', reason: 'one more filter', date: '2026-03-04' };

describe('a metric of a chip budget', () => {
  // 5 % of 1000 is 50: 1050 is still within, 950 too.
  it.each([
    [1051, 'worse'],
    [1050, 'within'],
    [1000, 'within'],
    [950, 'within'],
    [949, 'better'],
    [0, 'better'],
  ])('of %i, accepted as 1000, is %s', (value, result) => {
    expect(checkBudgets([metric(value)], [metric(1000)])).toEqual([{ ...metric(value), accepted: 1000, result }]);
  });

  it('that was accepted as 0 is worse as soon as it is larger', () => {
    expect(checkBudgets([metric(0), metric(1)], [metric(0)]).map(({ result }) => result)).toEqual(['within', 'worse']);
  });

  it('is new where chip, rows or name differ', () => {
    const measured = [metric(1, { chip: 'rv32imafc' }), metric(1, { rows: 1 }), metric(1, { metric: 'dataBytes' })];
    expect(checkBudgets(measured, [metric(1)])).toEqual(measured.map((one) => ({ ...one, accepted: undefined, result: 'new' })));
  });
});

describe('the metrics of a chip budget', () => {
  const cost = { meanInstructions: 900.5, maxInstructions: 1500, stackUsedBytes: 300 };
  const budget: ChipBudget = {
    chip: 'cortex-m4f',
    rows: 24,
    textBytes: 1,
    dataBytes: 2,
    bssBytes: 3,
    stackBytes: 4,
    controllerTextBytes: 5,
    controllerRamBytes: 6,
    stackPath: [],
    settings: { threshold: cost, cascade: cost, predictive: { ...cost, meanInstructions: 7 }, accelerometer: cost },
  };

  it('are its sizes and two costs per setting, without the stack in use, which varies', () => {
    const metrics = metricsOf(budget);
    expect(metrics).toHaveLength(6 + 4 * 2);
    expect(metrics.slice(0, 6).map(({ metric: name, value }) => [name, value])).toEqual([
      ['textBytes', 1],
      ['dataBytes', 2],
      ['bssBytes', 3],
      ['stackBytes', 4],
      ['controllerTextBytes', 5],
      ['controllerRamBytes', 6],
    ]);
    expect(metrics).toContainEqual({ chip: 'cortex-m4f', rows: 24, metric: 'predictive.meanInstructions', value: 7 });
    expect(metrics).toContainEqual({ chip: 'cortex-m4f', rows: 24, metric: 'cascade.maxInstructions', value: 1500 });
  });

  it('are read from the table as they were written', () => {
    const file = fileOf(acceptBudgets(metricsOf(budget), APPROVAL, join(folder, 'none-yet.yaml')));
    expect(readBudgets(file)).toEqual(metricsOf(budget));
  });
});

describe('an acceptance', () => {
  const BEFORE = `acceptances:
  - { date: 2026-01-02, by: B. Before, reason: first }
metrics:
  - { chip: cortex-m4f, rows: 24, metric: textBytes, value: 1000 }
  - { chip: cortex-m4f, rows: 48, metric: textBytes, value: 2000 }
  - { chip: rv32imafc, rows: 24, metric: textBytes, value: 3000 }
`;

  it('replaces what was measured, keeps the rest, and is added after the earlier acceptances', () => {
    const text = acceptBudgets([metric(1200), metric(9, { metric: 'dataBytes' })], APPROVAL, fileOf(BEFORE));
    expect(readBudgets(fileOf(text))).toEqual([
      metric(2000, { rows: 48 }),
      metric(3000, { chip: 'rv32imafc' }),
      metric(1200),
      metric(9, { metric: 'dataBytes' }),
    ]);
    const [first, second] = [text.indexOf('B. Before'), text.indexOf('A. Maintainer')];
    expect(first).toBeGreaterThan(0);
    expect(second).toBeGreaterThan(first);
    expect(text).toMatch(/^# Chip budget: limits for the controller/);
    expect(text).toContain('one more filter');
    // One metric per line, so that a diff shows which have changed.
    expect(text).toContain('{ chip: cortex-m4f, rows: 24, metric: textBytes, value: 1200 }\n');
  });

  it('of nothing is refused', () => {
    expect(() => acceptBudgets([], APPROVAL, fileOf(BEFORE))).toThrow(InputError);
  });

  it('is not added to an invalid table', () => {
    expect(() => acceptBudgets([metric(1)], APPROVAL, fileOf(BEFORE.replace('rows: 48', 'rows: 49')))).toThrow(InputError);
  });

  it.each([
    ['a row count that is too large', BEFORE.replace('rows: 48', 'rows: 49'), 5],
    ['a negative metric', BEFORE.replace('value: 3000', 'value: -1'), 6],
    ['a date that is not a date', BEFORE.replace('2026-01-02', 'yesterday'), 2],
    ['an unknown key', BEFORE.replace('value: 1000', 'valu: 1000'), 4],
    ['invalid YAML', BEFORE.replace('acceptances:', 'acceptances: ['), 2],
  ])('is not read from a table with %s, and the error has the place', (_, text, line) => {
    const file = fileOf(text);
    expect(() => readBudgets(file)).toThrow(InputError);
    expect(() => readBudgets(file)).toThrow(new RegExp(`${file}:${line}:\\d+`));
  });

  it('is not read from a table that does not exist', () => {
    expect(() => readBudgets(join(folder, 'nowhere.yaml'))).toThrow(InputError);
  });
});
