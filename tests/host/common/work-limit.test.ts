import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { checkWork, type Work } from '../../../host/common/work-limit.js';
import { describeContract } from '../../../host/contract/contract.js';
import { importCsv } from '../../../host/recording/csv/csv-import.js';
import { latchbench, snapshot } from '../../support/command.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
const at = (name: string, text: string): string => {
  writeFileSync(join(folder, name), text);
  return join(folder, name);
};

describe('work', () => {
  it.each<[string, Work, string | undefined]>([
    ['of ten minutes', { seconds: 600 }, undefined],
    ['of more', { seconds: 600.1 }, 'a run would take about 11 min; it must be at most 10 min.'],
    ['of a day', { seconds: 86_400 }, 'a run would take about 24 h; it must be at most 10 min.'],
    ['of unknown length', { seconds: Number.NaN }, 'a run would take about NaN h; it must be at most 10 min.'],
    ['that writes 1 GiB', { bytes: 2 ** 30 }, undefined],
    ['that writes more', { bytes: 2 ** 30 + 1 }, 'a run would take about 2 GiB; it must be at most 1 GiB.'],
  ])('%s', (_, work, words) => {
    expect(() => checkWork({ file: 'a' }, 'a run', work, true)).not.toThrow();
    if (words === undefined) expect(() => checkWork({ file: 'a' }, 'a run', work, false)).not.toThrow();
    else expect(refusalOf(() => checkWork({ file: 'a' }, 'a run', work, false)).message).toBe(`a: ${words} Pass --yes to run it anyway.`);
  });
});

describe('a file that demands far more work than its size suggests is refused before it is done:', () => {
  const LONG = 'title: Long\nstory: Invented.\nrows: 48\nseconds: 21600\n';

  it.each([
    ['simulate', []],
    ['contest', ['--strategies', 'cascade,threshold']],
    ['compare', ['.', '.', '--scenario']],
  ])('a scenario, by %s', async (command, words) => {
    const scenario = at('long.yaml', LONG);
    const argv = words.at(-1) === '--scenario' ? [command, ...words, scenario] : [command, scenario, ...words];
    const { status, err } = await latchbench(...argv);
    expect(err).toMatch(
      /long\.yaml: (a run|\d+ runs) of 48 rows for 21600 s would take about \d+ (min|h); it must be at most 10 min\. Pass --yes/,
    );
    expect(status).toBe(2);
  });

  it('a gap of most of a day, by import', () => {
    const map = at('map.yaml', 'rows: 48\ntime: { column: t }\nsignals:\n  - { signal: loadCounts, column: load }\n');
    const csv = at('log.csv', 't,load\n0,1200\n86000,1200\n');
    const before = snapshot(folder);
    expect(refusalOf(() => importCsv(csv, map, join(folder, 'log.mcap'), describeContract())).message).toMatch(
      /log\.csv:3:1: the recording up to this sample would take about \d\d+ GiB; it must be at most 1 GiB\. Pass --yes/,
    );
    expect(snapshot(folder)).toEqual(before);
  });

  it('a number of designs, by size', async () => {
    const { status, err } = await latchbench('size', 'default', '--search', 'row-hydraulics', '--tries', '100000000');
    expect(err).toMatch(/^--tries: 100000000 tries would take about 42 h; it must be at most 10 min\. Pass --yes/);
    expect(status).toBe(2);
  });
});
