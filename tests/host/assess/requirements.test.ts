import { describe, expect, it } from 'vitest';
import { BANK_METRICS, type FaultSpan, type Metrics, ROW_METRICS, type RowMetricName } from '../../../host/assess/metrics.js';
import { checkRequirements, evaluateRequirements, type Requirement, requirementsSchema } from '../../../host/assess/requirements.js';
import { InputError } from '../../../host/common/input-error.js';
import { parseYaml } from '../../../host/common/yaml-file.js';

const SCHEMA = { type: 'object', properties: { requirements: requirementsSchema() } };

/** Reads requirements of a run of 4 rows and 60 s, as in a scenario; the first is in line 2. */
function read(...lines: string[]): readonly Requirement[] {
  const text = `requirements:\n${lines.map((line) => `  - { ${line} }\n`).join('')}`;
  const file = parseYaml<{ requirements: unknown[] }>(text, 's.yaml', SCHEMA);
  return checkRequirements(file.value.requirements, { rows: 4, seconds: 60 }, file, ['requirements']);
}

function refusal(...lines: string[]): string {
  try {
    read(...lines);
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
  throw new Error('no error was thrown');
}

describe('requirements', () => {
  it('are read as they are written', () => {
    const lines = [
      'metric: loadRmsN, min: 40, max: 70',
      'metric: chamberMinKpa, min: 1200, over: min',
      'metric: liftOffPercent, max: 5, row: 4',
      'metric: bankMinV, min: 9',
      'fault: loadOpen, row: 2, fromS: 12, toS: 12.5',
      'fault: railLow, never: true',
      'faults: none',
    ];
    expect(read(...lines)).toEqual([
      { metric: 'loadRmsN', min: 40, max: 70 },
      { metric: 'chamberMinKpa', min: 1200, over: 'min' },
      { metric: 'liftOffPercent', max: 5, row: 4 },
      { metric: 'bankMinV', min: 9 },
      { fault: 'loadOpen', row: 2, fromS: 12, toS: 12.5 },
      { fault: 'railLow', never: true },
      { faults: 'none' },
    ]);
  });

  // biome-ignore format: a table reads best with one case to a line
  it.each([
    ['an unknown metric', 'metric: loadRmsM, max: 70', '2:15: requirements[0].metric is "loadRmsM"; did you mean `loadRmsN`?'],
    ['an unknown key', 'metric: loadRmsN, maxx: 70', '2:25: unknown key `maxx` in requirements[0]; did you mean `max`?'],
    ['an unknown fault', 'fault: loadOpened, row: 1, never: true', '2:14: requirements[0].fault is "loadOpened"; did you mean `loadOpen`?'],
    ['a limit that is a word', 'metric: loadRmsN, max: much', '2:30: requirements[0].max is "much"; it must be a number.'],
    ['a limit that is infinite', 'metric: loadRmsN, max: .inf', '2:30: requirements[0].max is Infinity; it must be a number.'],
    ['an unknown combination of the rows', 'metric: loadRmsN, max: 1, over: median', '2:39: requirements[0].over is "median"; it must be one of mean, min, max.'],
    ['a word other than none', 'faults: any', '2:15: requirements[0].faults is "any"; it must be none.'],
    ['never false', 'fault: railLow, never: false', '2:30: requirements[0].never is false; it must be true.'],
    ['a time before the run', 'fault: railLow, fromS: -1, toS: 1', '2:30: requirements[0].fromS is -1; it must be at least 0 s.'],
    ['no subject', 'min: 1', '2:5: a requirement needs one of the keys metric, fault, faults.'],
    ['two subjects', 'metric: loadRmsN, max: 1, fault: loadOpen', '2:40: fault cannot be combined with metric. The keys beside metric are min, max, over, row.'],
    ['a time for a metric', 'metric: loadRmsN, max: 1, toS: 3', '2:38: toS cannot be combined with metric. The keys beside metric are min, max, over, row.'],
    ['a limit for a fault', 'fault: railLow, max: 1', '2:28: max cannot be combined with fault. The keys beside fault are row, fromS, toS, never.'],
    ['a row for no faults', 'faults: none, row: 1', '2:26: row cannot be combined with faults.'],
    ['no limit', 'metric: loadRmsN', '2:5: loadRmsN needs min, max, or both.'],
    ['min above max', 'metric: loadRmsN, min: 71, max: 70', '2:30: min is 71, but max is 70. min must be at most max.'],
    ['a row that does not exist', 'metric: loadRmsN, max: 1, row: 5', '2:38: row is 5; it must be between 1 and 4.'],
    ['a row beyond the maximum', 'metric: loadRmsN, max: 1, row: 49', '2:38: requirements[0].row is 49; it must be between 1 and 48.'],
    ['a row and a combination of all rows', 'metric: loadRmsN, max: 1, row: 1, over: mean', '2:47: over and row exclude each other.'],
    ['a row for a metric of the bank', 'metric: bankMinV, min: 9, row: 1', '2:38: bankMinV is a metric of the bank and has no row.'],
    ['a combination of rows for a metric of the bank', 'metric: bankMinV, min: 9, over: min', '2:39: bankMinV is a metric of the bank and has no over.'],
    ['no row for a fault of rows', 'fault: loadOpen, never: true', '2:5: loadOpen needs a row between 1 and 4.'],
    ['a row for a fault of the bank', 'fault: railLow, row: 1, never: true', '2:28: railLow is a fault of the bank and has no row.'],
    ['a fault in a row that does not exist', 'fault: loadOpen, row: 5, never: true', '2:29: row is 5; it must be between 1 and 4.'],
    ['no time for a fault', 'fault: railLow', '2:5: railLow needs fromS and toS, or never: true.'],
    ['no end for a fault', 'fault: railLow, fromS: 1', '2:5: railLow needs fromS and toS, or never: true.'],
    ['never at a time', 'fault: railLow, never: true, fromS: 1', '2:30: never excludes fromS and toS.'],
    ['an end that is not after the start', 'fault: railLow, fromS: 2, toS: 2', '2:38: toS is 2; it must be greater than fromS, 2 s.'],
    ['an end after the run', 'fault: railLow, fromS: 2, toS: 60.5', '2:38: toS is 60.5; it must be at most 60 s, the end of the run.'],
  ])('with %s are refused', (_, line, words) => {
    expect(refusal(line)).toContain(`s.yaml:${words}`);
  });

  it('are all checked: an error is reported at its line', () => {
    expect(refusal('faults: none', 'metric: loadRmsN, max: 1', 'fault: railLow')).toContain('s.yaml:4:5: railLow needs fromS and toS');
  });
});

/** Metrics of a run of two rows in which every row metric is 50 and 70, and every metric of the bank 12. */
function metricsWith(faults: readonly FaultSpan[] = []): Metrics {
  const ofRows = <Value>(value: Value): Record<RowMetricName, Value> =>
    Object.fromEntries(ROW_METRICS.map(({ name }) => [name, value])) as Record<RowMetricName, Value>;
  return {
    rows: 2,
    seconds: 60,
    byRow: ofRows([50, 70]),
    over: ofRows({ mean: 60, min: 50, max: 70 }),
    bank: Object.fromEntries(BANK_METRICS.map(({ name }) => [name, 12])) as Metrics['bank'],
    faults,
    pressureCycles: [],
  };
}

const span = (name: string, row: number, fromS: number, toS: number): FaultSpan => ({
  name,
  scope: row === 0 ? 'bank' : 'row',
  row,
  fromS,
  toS,
  isSetAtEnd: false,
});

describe('a metric', () => {
  // biome-ignore format: a table reads best with one case to a line
  it.each<[string, Requirement, string, string, boolean]>([
    ['between its limits', { metric: 'loadRmsN', min: 40, max: 70 }, 'loadRmsN, mean over rows: 40 to 70 N', '60 N', true],
    ['at its lower limit', { metric: 'loadRmsN', min: 60 }, 'loadRmsN, mean over rows: at least 60 N', '60 N', true],
    ['at its upper limit', { metric: 'loadRmsN', max: 60 }, 'loadRmsN, mean over rows: at most 60 N', '60 N', true],
    ['below its limit: much better than expected fails too', { metric: 'loadRmsN', min: 60.001, max: 70 }, 'loadRmsN, mean over rows: 60.001 to 70 N', '60 N', false],
    ['above its limit', { metric: 'loadRmsN', max: 59.999 }, 'loadRmsN, mean over rows: at most 59.999 N', '60 N', false],
    ['of the lowest row, by default', { metric: 'chamberMinKpa', min: 50 }, 'chamberMinKpa, min over rows: at least 50 kPa', '50 kPa', true],
    ['of the highest row, by default', { metric: 'missedStrokes', max: 69 }, 'missedStrokes, max over rows: at most 69', '70', false],
    ['combined as the requirement says', { metric: 'loadRmsN', min: 70, over: 'max' }, 'loadRmsN, max over rows: at least 70 N', '70 N', true],
    ['of one row', { metric: 'loadRmsN', max: 50, row: 1 }, 'loadRmsN of row 1: at most 50 N', '50 N', true],
    ['of a row that does not exist', { metric: 'loadRmsN', max: 50, row: 3 }, 'loadRmsN of row 3: at most 50 N', 'no value', false],
    ['of the bank', { metric: 'peakCoilsA', max: 12 }, 'peakCoilsA: at most 12 A', '12 A', true],
  ])('%s is evaluated', (_, requirement, text, measured, met) => {
    expect(evaluateRequirements(metricsWith(), [requirement])).toMatchObject([{ requirement: text, measured, met }]);
  });

  it('just beyond its limit is printed with enough digits to show it', () => {
    const metrics = { ...metricsWith(), bank: { ...metricsWith().bank, peakCoilsA: 12.0004 } };
    expect(evaluateRequirements(metrics, [{ metric: 'peakCoilsA', max: 12 }])).toMatchObject([{ measured: '12.0004 A', met: false }]);
  });

  it('that is NaN never meets a requirement', () => {
    const metrics = { ...metricsWith(), bank: { ...metricsWith().bank, peakCoilsA: Number.NaN } };
    const results = evaluateRequirements(metrics, [
      { metric: 'peakCoilsA', min: -1e9 },
      { metric: 'peakCoilsA', max: 1e9 },
    ]);
    expect(results.map(({ measured, met }) => [measured, met])).toEqual([
      ['no value', false],
      ['no value', false],
    ]);
  });
});

describe('a fault', () => {
  const metrics = metricsWith([span('loadOpen', 2, 12.021, 20), span('railLow', 0, 30, 40), span('loadOpen', 2, 50, 51)]);

  // biome-ignore format: a table reads best with one case to a line
  it.each<[string, Requirement, string, string, boolean]>([
    ['set in time', { fault: 'loadOpen', row: 2, fromS: 12, toS: 12.5 }, 'loadOpen of row 2 set between 12 and 12.5 s', 'set at 12.021 s', true],
    ['set again in time', { fault: 'loadOpen', row: 2, fromS: 50, toS: 52 }, 'loadOpen of row 2 set between 50 and 52 s', 'set at 50 s', true],
    ['set too early, although still set', { fault: 'loadOpen', row: 2, fromS: 13, toS: 14 }, 'loadOpen of row 2 set between 13 and 14 s', 'set at 12.021 s', false],
    ['set too late', { fault: 'loadOpen', row: 2, fromS: 12, toS: 12.02 }, 'loadOpen of row 2 set between 12 and 12.02 s', 'set at 12.021 s', false],
    ['of another row', { fault: 'loadOpen', row: 1, fromS: 12, toS: 12.5 }, 'loadOpen of row 1 set between 12 and 12.5 s', 'not set', false],
    ['of the bank', { fault: 'railLow', fromS: 29, toS: 30 }, 'railLow set between 29 and 30 s', 'set at 30 s', true],
    ['that must never be set and is', { fault: 'railLow', never: true }, 'railLow never set', 'set at 30 s', false],
    ['that must never be set and is not', { fault: 'loadShort', row: 2, never: true }, 'loadShort of row 2 never set', 'not set', true],
    ['of any kind', { faults: 'none' }, 'no faults', 'loadOpen of row 2 set at 12.021 s', false],
  ])('%s is evaluated', (_, requirement, text, measured, met) => {
    expect(evaluateRequirements(metrics, [requirement])).toMatchObject([{ requirement: text, measured, met }]);
  });

  it('that is never set meets the requirement of no faults', () => {
    expect(evaluateRequirements(metricsWith(), [{ faults: 'none' }])).toEqual([{ requirement: 'no faults', measured: 'none', met: true }]);
  });
});
