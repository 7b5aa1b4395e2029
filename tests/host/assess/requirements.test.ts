import { describe, expect, it } from 'vitest';
import { BANK_FIGURES, type FaultSpan, type Figures, ROW_FIGURES, type RowFigureName } from '../../../host/assess/metrics.js';
import { checkRequirements, judge, type Requirement, requirementsSchema } from '../../../host/assess/requirements.js';
import { InputError } from '../../../host/common/input-error.js';
import { parseYaml } from '../../../host/common/yaml-file.js';

const SCHEMA = { type: 'object', properties: { requirements: requirementsSchema() } };

/** Reads requirements of a run of 4 rows and 60 s as a scenario's reader does; the first stands in line 2. */
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
      'figure: loadRmsN, least: 40, most: 70',
      'figure: chamberLeastKpa, least: 1200, over: least',
      'figure: liftOffPercent, most: 5, row: 4',
      'figure: leastBankV, least: 9',
      'fault: loadOpen, row: 2, fromS: 12, toS: 12.5',
      'fault: railLow, never: true',
      'faults: none',
    ];
    expect(read(...lines)).toEqual([
      { figure: 'loadRmsN', least: 40, most: 70 },
      { figure: 'chamberLeastKpa', least: 1200, over: 'least' },
      { figure: 'liftOffPercent', most: 5, row: 4 },
      { figure: 'leastBankV', least: 9 },
      { fault: 'loadOpen', row: 2, fromS: 12, toS: 12.5 },
      { fault: 'railLow', never: true },
      { faults: 'none' },
    ]);
  });

  // biome-ignore format: a table reads best with one case to a line
  it.each([
    ['an unknown figure', 'figure: loadRmsM, most: 70', '2:15: requirements[0].figure "loadRmsM" — allowed: one of loadRmsN, '],
    ['an unknown key', 'figure: loadRmsN, mots: 70', '2:25: requirements[0] key "mots" — allowed: one of most, '],
    ['an unknown fault', 'fault: loadOpened, row: 1, never: true', '2:14: requirements[0].fault "loadOpened" — allowed: one of loadOpen, '],
    ['a limit that is a word', 'figure: loadRmsN, most: much', '2:31: requirements[0].most "much" — allowed: a number'],
    ['a limit that is infinite', 'figure: loadRmsN, most: .inf', '2:31: requirements[0].most Infinity — allowed: a number'],
    ['something else made of the rows', 'figure: loadRmsN, most: 1, over: median', '2:40: requirements[0].over "median" — allowed: one of mean, least, most'],
    ['another word for no faults', 'faults: any', '2:15: requirements[0].faults "any" — allowed: "none"'],
    ['never false', 'fault: railLow, never: false', '2:30: requirements[0].never false — allowed: true'],
    ['a moment before the run', 'fault: railLow, fromS: -1, toS: 1', '2:30: requirements[0].fromS -1 — allowed: a number from 0 up s'],
    ['no subject', 'least: 1', '2:5: requirement without a subject — allowed: one of figure, fault, faults'],
    ['two subjects', 'figure: loadRmsN, most: 1, fault: loadOpen', '2:41: figure with fault "loadOpen" — allowed: only figure, least, most, over, row'],
    ['a time for a figure', 'figure: loadRmsN, most: 1, toS: 3', '2:39: figure with toS 3 — allowed: only figure, least, most, over, row'],
    ['a limit for a fault', 'fault: railLow, most: 1', '2:29: fault with most 1 — allowed: only fault, row, fromS, toS, never'],
    ['a row for no faults', 'faults: none, row: 1', '2:26: faults with row 1 — allowed: only faults'],
    ['no limit', 'figure: loadRmsN', '2:5: least or most of loadRmsN is missing — allowed: one of them, or both'],
    ['limits that are crossed', 'figure: loadRmsN, least: 71, most: 70', '2:32: least 71 — allowed: up to most, 70'],
    ['a row that is not there', 'figure: loadRmsN, most: 1, row: 5', '2:39: row 5 — allowed: a whole number from 1 to 4'],
    ['a row beyond all rows', 'figure: loadRmsN, most: 1, row: 49', '2:39: requirements[0].row 49 — allowed: a whole number from 1 to 48'],
    ['a row and something of all rows', 'figure: loadRmsN, most: 1, row: 1, over: mean', '2:48: row with over "mean" — allowed: one of the two'],
    ['a row for a figure of the bank', 'figure: leastBankV, least: 9, row: 1', '2:42: leastBankV with row 1 — allowed: neither over nor row: it is a figure of the bank'],
    ['rows for a figure of the bank', 'figure: leastBankV, least: 9, over: least', '2:43: leastBankV with over "least" — allowed: neither'],
    ['no row for a fault of rows', 'fault: loadOpen, never: true', '2:5: row of loadOpen is missing — allowed: a whole number from 1 to 4'],
    ['a row for a fault of the bank', 'fault: railLow, row: 1, never: true', '2:28: railLow with row 1 — allowed: no row: it is a fault of the bank'],
    ['a fault in a row that is not there', 'fault: loadOpen, row: 5, never: true', '2:29: row 5 — allowed: a whole number from 1 to 4'],
    ['no time for a fault', 'fault: railLow', '2:5: when of railLow is missing — allowed: fromS and toS, or never: true'],
    ['no end for a fault', 'fault: railLow, fromS: 1', '2:5: when of railLow is missing — allowed: fromS and toS, or never: true'],
    ['never at a time', 'fault: railLow, never: true, fromS: 1', '2:30: fromS or toS with never true — allowed: one of the two'],
    ['an end before the begin', 'fault: railLow, fromS: 2, toS: 2', '2:38: toS 2 — allowed: after fromS, 2 s'],
    ['an end after the run', 'fault: railLow, fromS: 2, toS: 60.5', '2:38: toS 60.5 — allowed: up to 60 s, the run’s end'],
  ])('with %s are refused', (_, line, words) => {
    expect(refusal(line)).toContain(`s.yaml:${words}`);
  });

  it('are all checked: an error stands at its own line', () => {
    expect(refusal('faults: none', 'figure: loadRmsN, most: 1', 'fault: railLow')).toContain('s.yaml:4:5: when of railLow is missing');
  });
});

/** Figures of a run of two rows in which each figure of rows is 50 and 70, and each of the bank 12. */
function figuresWith(faults: readonly FaultSpan[] = []): Figures {
  const ofRows = <Value>(value: Value): Record<RowFigureName, Value> =>
    Object.fromEntries(ROW_FIGURES.map(({ name }) => [name, value])) as Record<RowFigureName, Value>;
  return {
    rows: 2,
    seconds: 60,
    byRow: ofRows([50, 70]),
    over: ofRows({ mean: 60, least: 50, most: 70 }),
    bank: Object.fromEntries(BANK_FIGURES.map(({ name }) => [name, 12])) as Figures['bank'],
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
  isRaisedAtEnd: false,
});

describe('a figure', () => {
  // biome-ignore format: a table reads best with one case to a line
  it.each<[string, Requirement, string, string, boolean]>([
    ['between its limits', { figure: 'loadRmsN', least: 40, most: 70 }, 'loadRmsN, mean over rows: 40 to 70 N', '60 N', true],
    ['at its lower limit', { figure: 'loadRmsN', least: 60 }, 'loadRmsN, mean over rows: at least 60 N', '60 N', true],
    ['at its upper limit', { figure: 'loadRmsN', most: 60 }, 'loadRmsN, mean over rows: at most 60 N', '60 N', true],
    ['below its limit: much better than expected fails too', { figure: 'loadRmsN', least: 60.001, most: 70 }, 'loadRmsN, mean over rows: 60.001 to 70 N', '60 N', false],
    ['above its limit', { figure: 'loadRmsN', most: 59.999 }, 'loadRmsN, mean over rows: at most 59.999 N', '60 N', false],
    ['of the least row, as its kind says', { figure: 'chamberLeastKpa', least: 50 }, 'chamberLeastKpa, least over rows: at least 50 kPa', '50 kPa', true],
    ['of the row with most, as its kind says', { figure: 'missedStrokes', most: 69 }, 'missedStrokes, most over rows: at most 69', '70', false],
    ['of what the requirement says', { figure: 'loadRmsN', least: 70, over: 'most' }, 'loadRmsN, most over rows: at least 70 N', '70 N', true],
    ['of one row', { figure: 'loadRmsN', most: 50, row: 1 }, 'loadRmsN of row 1: at most 50 N', '50 N', true],
    ['of a row that is not there', { figure: 'loadRmsN', most: 50, row: 3 }, 'loadRmsN of row 3: at most 50 N', 'no value', false],
    ['of the bank', { figure: 'peakCoilsA', most: 12 }, 'peakCoilsA: at most 12 A', '12 A', true],
  ])('%s is judged', (_, requirement, words, found, holds) => {
    expect(judge(figuresWith(), [requirement])).toEqual([{ words, found, holds }]);
  });

  it('just beyond its limit is told with digits enough to see it', () => {
    const figures = { ...figuresWith(), bank: { ...figuresWith().bank, peakCoilsA: 12.0004 } };
    expect(judge(figures, [{ figure: 'peakCoilsA', most: 12 }])).toMatchObject([{ found: '12.0004 A', holds: false }]);
  });

  it('that is no number never holds', () => {
    const figures = { ...figuresWith(), bank: { ...figuresWith().bank, peakCoilsA: Number.NaN } };
    const verdicts = judge(figures, [
      { figure: 'peakCoilsA', least: -1e9 },
      { figure: 'peakCoilsA', most: 1e9 },
    ]);
    expect(verdicts.map(({ found, holds }) => [found, holds])).toEqual([
      ['no value', false],
      ['no value', false],
    ]);
  });
});

describe('a fault', () => {
  const figures = figuresWith([span('loadOpen', 2, 12.021, 20), span('railLow', 0, 30, 40), span('loadOpen', 2, 50, 51)]);

  // biome-ignore format: a table reads best with one case to a line
  it.each<[string, Requirement, string, string, boolean]>([
    ['raised in time', { fault: 'loadOpen', row: 2, fromS: 12, toS: 12.5 }, 'loadOpen of row 2 raised from 12 to 12.5 s', 'raised at 12.021 s', true],
    ['raised in time for a second time', { fault: 'loadOpen', row: 2, fromS: 50, toS: 52 }, 'loadOpen of row 2 raised from 50 to 52 s', 'raised at 50 s', true],
    ['raised too early, if raised still', { fault: 'loadOpen', row: 2, fromS: 13, toS: 14 }, 'loadOpen of row 2 raised from 13 to 14 s', 'raised at 12.021 s', false],
    ['raised too late', { fault: 'loadOpen', row: 2, fromS: 12, toS: 12.02 }, 'loadOpen of row 2 raised from 12 to 12.02 s', 'raised at 12.021 s', false],
    ['of another row', { fault: 'loadOpen', row: 1, fromS: 12, toS: 12.5 }, 'loadOpen of row 1 raised from 12 to 12.5 s', 'not raised', false],
    ['of the bank', { fault: 'railLow', fromS: 29, toS: 30 }, 'railLow raised from 29 to 30 s', 'raised at 30 s', true],
    ['that must not be and is', { fault: 'railLow', never: true }, 'railLow never raised', 'raised at 30 s', false],
    ['that must not be and is not', { fault: 'loadShort', row: 2, never: true }, 'loadShort of row 2 never raised', 'not raised', true],
    ['of any kind', { faults: 'none' }, 'no fault raised', 'loadOpen of row 2 raised at 12.021 s', false],
  ])('%s is judged', (_, requirement, words, found, holds) => {
    expect(judge(figures, [requirement])).toEqual([{ words, found, holds }]);
  });

  it('that is nowhere leaves a run without faults', () => {
    expect(judge(figuresWith(), [{ faults: 'none' }])).toEqual([{ words: 'no fault raised', found: 'none', holds: true }]);
  });
});
