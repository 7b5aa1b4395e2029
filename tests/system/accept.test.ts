import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { changedSignals, digestText } from '../../host/vector/expected.js';
import { checkAccepted, readVector, vectorNames } from '../../host/vector/vector.js';
import { copyCase, latchbench, snapshot } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const WHO = ['--by', 'A. Reviewer', '--reason', 'A wider deadband is wanted'];

const edit = (file: string, change: (text: string) => string): void => {
  const before = readFileSync(file, 'utf8');
  const after = change(before);
  expect(after, `${file} is edited`).not.toBe(before);
  writeFileSync(file, after);
};

/** A copy whose parameters were changed, so that its outputs are no longer as accepted. */
function changedCase(): string {
  const copy = copyCase('target-step', folder);
  edit(join(copy, 'case.yaml'), (text) => text.replace('deadbandSigmas: 2.2', 'deadbandSigmas: 3'));
  return copy;
}

const sha256 = (text: string): string => createHash('sha256').update(text).digest('hex');

describe('what an acceptance covers', () => {
  it('digests are those of each signal’s own lines, whatever stands between them', () => {
    const one = digestText('tick,row,signal,value\n0,,mode,idle\n0,1,supplyOrder,open\n5,,mode,working\n');
    expect(one.digests).toEqual({
      mode: sha256('0,,mode,idle\n5,,mode,working\n').slice(0, 16),
      supplyOrder: sha256('0,1,supplyOrder,open\n').slice(0, 16),
    });
    expect(changedSignals(one.digests, { mode: one.digests.mode ?? '', faults: '0' })).toEqual(['faults', 'supplyOrder']);
  });

  it.each(vectorNames(PROJECT))('%s is accepted, and by no more than its acceptances name', (name) => {
    const one = readVector(PROJECT, name);
    expect(() => checkAccepted(one)).not.toThrow();
    expect(Object.keys(one.acceptances?.at(-1)?.digests ?? {})).toContain('stateHash');
  });

  it('accept writes the signals that changed, and replay is content', async () => {
    const copy = changedCase();
    expect((await latchbench('accept', copy, ...WHO)).status).toBe(0);
    const [before, last] = readVector(PROJECT, copy).acceptances?.slice(-2) ?? [];
    expect(last?.signals).toEqual(changedSignals(before?.digests ?? {}, last?.digests ?? {}));
    expect(last?.signals).toContain('supplyOrder');
    expect(last?.signals).not.toContain('mode');
    expect((await latchbench('replay', copy)).status).toBe(0);
  });

  it('replay refuses outputs that were edited by hand', async () => {
    const copy = copyCase('target-step', folder);
    edit(join(copy, 'expected.csv'), (text) => text.replace(',supplyOrder,open', ',supplyOrder,close'));
    const { status, err } = await latchbench('replay', copy);
    expect([status, err]).toEqual([
      2,
      expect.stringMatching(/expected\.csv: the file has changed since .* its SHA-256 is [0-9a-f]{64}, not [0-9a-f]{64}/),
    ]);
  });

  it('and such outputs with their hash made to fit: the digests tell', async () => {
    const copy = copyCase('target-step', folder);
    const expected = join(copy, 'expected.csv');
    const before = sha256(readFileSync(expected, 'utf8'));
    edit(expected, (text) => text.replace(',supplyOrder,open', ',supplyOrder,close'));
    edit(join(copy, 'case.yaml'), (text) => text.replace(before, sha256(readFileSync(expected, 'utf8'))));
    const { status, err } = await latchbench('replay', copy);
    expect([status, err]).toEqual([2, expect.stringContaining('the digests of the last acceptance are wrong for supplyOrder')]);
  });

  it('an acceptance that leaves out a signal that changed with it, with line and column', async () => {
    const copy = changedCase();
    expect((await latchbench('accept', copy, ...WHO)).status).toBe(0);
    const caseFile = join(copy, 'case.yaml');
    edit(caseFile, (text) => text.replace(/( +- supplyOrder\n)(?![\s\S]*- supplyOrder)/, ''));
    const line =
      readFileSync(caseFile, 'utf8')
        .split('\n')
        .findLastIndex((one) => one.includes('signals:')) + 2;
    const { status, err } = await latchbench('replay', copy);
    expect(status).toBe(2);
    expect(err).toMatch(
      new RegExp(`case\\.yaml:${line}:\\d+: this acceptance changed allClosed, .*supplyOrder, but does not name them all`),
    );
  });

  it('an acceptance that says “all” where it can be told what changed', async () => {
    const copy = changedCase();
    expect((await latchbench('accept', copy, ...WHO)).status).toBe(0);
    edit(join(copy, 'case.yaml'), (text) => text.replace(/signals:\n( +- \w+\n)+(?![\s\S]*signals:)/, 'signals: [all]\n'));
    expect((await latchbench('replay', copy)).status).toBe(2);
  });

  it.each(['""', '" "'])('a reason of %s', async (reason) => {
    const copy = copyCase('cold-oil', folder);
    edit(join(copy, 'case.yaml'), (text) => text.replace(/reason: [\s\S]*?\n( +)signals:/, `reason: ${reason}\n$1signals:`));
    const { status, err } = await latchbench('replay', copy);
    expect([status, err]).toEqual([
      2,
      expect.stringMatching(/case\.yaml:\d+:\d+: acceptances\[0\]\.reason is " ?"; it must be non-empty text/),
    ]);
  });

  it('no reason at all', async () => {
    const copy = copyCase('cold-oil', folder);
    edit(join(copy, 'case.yaml'), (text) => text.replace(/ +reason: [\s\S]*?\n( +)signals:/, '$1signals:'));
    expect(await latchbench('replay', copy)).toMatchObject({ status: 2, err: expect.stringContaining('reason') });
  });
});

describe('accept --signals and --dry-run', () => {
  it('refuses when another signal has changed, names it, and writes nothing', async () => {
    const copy = changedCase();
    const before = snapshot(copy);
    const { status, err } = await latchbench('accept', copy, ...WHO, '--signals', 'returnOrder');
    expect(status).toBe(2);
    expect(err).toMatch(/allClosed, .*supplyOrder changed too, but --signals does not name them\. Check/);
    expect(snapshot(copy)).toEqual(before);
  });

  it('refuses a signal that has not changed, and one that there is not', async () => {
    const copy = changedCase();
    expect((await latchbench('accept', copy, ...WHO, '--signals', 'mode')).err).toContain(
      '--signals names mode, which has not changed. Changed signals: ',
    );
    expect((await latchbench('accept', copy, ...WHO, '--signals', 'mood')).err).toContain(
      '--signals names mood, which has no lines; it must be one of ',
    );
  });

  it('accepts what is named; the state hash goes with it', async () => {
    const copy = changedCase();
    expect((await latchbench('accept', copy, ...WHO, '--signals', 'allClosed,returnOrder,supplyOrder')).status).toBe(0);
    expect((await latchbench('replay', copy)).status).toBe(0);
  });

  it('a dry run shows the same and writes nothing', async () => {
    const copy = changedCase();
    const before = snapshot(copy);
    const dry = await latchbench('accept', copy, ...WHO, '--dry-run');
    expect(dry.status).toBe(0);
    expect(dry.out).toContain('dry run: nothing written, 1 vector would be');
    expect(snapshot(copy)).toEqual(before);
    const real = await latchbench('accept', copy, ...WHO);
    expect(real.out.split('\n').slice(0, -2)).toEqual(dry.out.split('\n').slice(0, -2));
  });

  it('restores outputs that were damaged, without a new acceptance', async () => {
    const copy = copyCase('target-step', folder);
    const before = snapshot(copy);
    edit(join(copy, 'expected.csv'), (text) => text.replace(',open\n', ',close\n'));
    expect((await latchbench('accept', copy, ...WHO)).out).toMatch(/^target-step +outputs restored/m);
    expect(snapshot(copy)).toEqual(before);
  });
});
