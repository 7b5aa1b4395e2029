import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { projectAt } from '../../../host/common/project.js';
import { describeContract } from '../../../host/contract/contract.js';
import { readParameterFile } from '../../../host/contract/parameter-values.js';
import { TEMPLATE_KINDS, type TemplateKind } from '../../../host/files/template-kinds.js';
import { templateOf } from '../../../host/files/templates.js';
import { readMachine } from '../../../host/machine/machine.js';
import { readRig } from '../../../host/rig/rig-file.js';
import { readScenario } from '../../../host/simulate/scenario.js';
import { readCatalogue } from '../../../host/sizing/search/catalogue.js';
import { readTuning } from '../../../host/tune/tuning-file.js';
import { latchbench } from '../../support/command.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
const contract = describeContract();
const source = { contract, scenario: 'class-d-reference' };

/** Writes a template to a file. */
function written(kind: TemplateKind): string {
  const file = join(folder, `${kind}.yaml`);
  writeFileSync(file, templateOf(kind, source));
  return file;
}

describe('the template of a', () => {
  it('scenario is valid: two segments, stones, a step, speeds by distance', () => {
    const { layout, pass, timeline } = readScenario(PROJECT, written('scenario'), contract);
    expect(layout.segments.map(({ name }) => name)).toEqual(['loam', 'sand']);
    expect([layout.stones.length, layout.steps.length]).toEqual([2, 1]);
    expect(layout.segments.at(-1)?.toM).toBeCloseTo(pass.lengthM, 9);
    expect(timeline.ticks).toBe(30_000);
  });

  it('machine is valid, and has every value at its default', () => {
    const { values, sizing, parameters } = readMachine(PROJECT, written('machine'), contract);
    const byDefault = join(folder, 'empty.yaml');
    writeFileSync(byDefault, 'title: Defaults\n');
    const expected = readMachine(PROJECT, byDefault, contract);
    expect({ values, sizing, parameters }).toEqual({ values: expected.values, sizing: expected.sizing, parameters: expected.parameters });
  });

  it('catalogue is valid', () => {
    const { choices } = readCatalogue(PROJECT, written('catalogue'), 4);
    expect(choices.map(({ name, options }) => [name, options.length])).toEqual([
      ['valve', 3],
      ['rail', 6],
    ]);
  });

  it('parameter file is valid, and changes nothing', () => {
    const values = readParameterFile(written('parameters'), contract);
    expect(Object.keys(values)).toEqual(['deadbandSigmas']);
    expect(values.deadbandSigmas).toBe(contract.parameters.find(({ name }) => name === 'deadbandSigmas')?.default);
  });

  it('tuning file is valid', () => {
    expect(readTuning(PROJECT, written('tuning'), contract).axes.map(({ name }) => name)).toEqual(['deadbandSigmas']);
  });

  it('rig has a board of this computer', () => {
    expect(readRig(written('rig')).boards).toMatchObject([{ name: 'native', place: { kind: 'chip', chip: 'native' }, rows: 48 }]);
  });

  it('mapping imports a log with its columns', async () => {
    const csv = join(folder, 'log.csv');
    const rows = Array.from({ length: 50 }, (_, at) => `${at / 100},${450 + at},${40 + at / 10},${430 - at},41`);
    writeFileSync(csv, ['time_s,load_1,pressure_1,load_2,pressure_2', ...rows, ''].join('\n'));
    const { status, err } = await latchbench('import', csv, '--map', written('map'), '-o', join(folder, 'log.mcap'));
    expect([status, err]).toEqual([0, '']);
  });

  it.each(TEMPLATE_KINDS)('%s has lines of at most 120 characters', (kind) => {
    for (const line of templateOf(kind, source).split('\n')) expect(line.length, line).toBeLessThanOrEqual(120);
  });
});

describe('new', () => {
  const root = join(folder, 'project');
  const project = projectAt(root);

  it('writes to the folder of the kind, and never over a file', async () => {
    mkdirSync(project.machines, { recursive: true });
    const file = join(project.machines, 'mine.yaml');
    expect(await latchbench('new', 'machine', file)).toMatchObject({ status: 0, out: expect.stringContaining('next: latchbench size ') });
    expect(readFileSync(file, 'utf8')).toBe(templateOf('machine', source));
    writeFileSync(file, 'kept');
    const { status, err } = await latchbench('new', 'machine', file);
    expect([status, err]).toEqual([2, expect.stringContaining('there is such a file')]);
    expect(readFileSync(file, 'utf8')).toBe('kept');
  });

  it('prints instead', async () => {
    expect((await latchbench('new', 'map', 'mine', '--print')).out).toBe(templateOf('map', source));
  });

  it.each([
    [['machines', 'mine'], '--kind is machines; it must be one of scenario, machine'],
    [['machine', 'a b'], 'new: the name is a b; it must be letters, digits, dots and hyphens, or a path.'],
    [['machine', 'default'], 'there is such a file'],
  ])('refuses %j', async (words, message) => {
    const { status, err } = await latchbench('new', ...words);
    expect([status, err]).toEqual([2, expect.stringContaining(message)]);
  });
});
