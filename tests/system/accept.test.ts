import { createHash } from 'node:crypto';
import { readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { changedSignals, digestText } from '../../host/vector/expected.js';
import { checkAccepted, readVector, vectorNames } from '../../host/vector/vector.js';
import { copyVector, latchbench, latchbenchIn, snapshot } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const WHO = ['--by', 'A. Reviewer', '--reason', 'A wider deadband is intended'];

const edit = (file: string, change: (text: string) => string): void => {
  const before = readFileSync(file, 'utf8');
  const after = change(before);
  expect(after, `${file} is edited`).not.toBe(before);
  writeFileSync(file, after);
};

/** A copy whose parameters were changed, so that its outputs are no longer as accepted. */
function changedCase(): string {
  const copy = copyVector('target-step', folder);
  edit(join(copy, 'case.yaml'), (text) => text.replace('deadbandSigmas: 2.2', 'deadbandSigmas: 3'));
  return copy;
}

const sha256 = (text: string): string => createHash('sha256').update(text).digest('hex');

describe('an acceptance', () => {
  it('has a digest of each signal, over its own lines only', () => {
    const one = digestText('tick,row,signal,value\n0,,mode,idle\n0,1,supplyOrder,open\n5,,mode,working\n');
    expect(one.digests).toEqual({
      mode: sha256('0,,mode,idle\n5,,mode,working\n').slice(0, 16),
      supplyOrder: sha256('0,1,supplyOrder,open\n').slice(0, 16),
    });
    expect(changedSignals(one.digests, { mode: one.digests.mode ?? '', faults: '0' })).toEqual(['faults', 'supplyOrder']);
  });

  it.each(vectorNames(PROJECT))('is valid for %s', (name) => {
    const one = readVector(PROJECT, name);
    expect(() => checkAccepted(one)).not.toThrow();
    expect(Object.keys(one.acceptances?.at(-1)?.digests ?? {})).toContain('stateHash');
  });

  it('names the signals that changed, so that replay passes', async () => {
    const copy = changedCase();
    expect((await latchbench('accept', copy, ...WHO)).status).toBe(0);
    const [before, last] = readVector(PROJECT, copy).acceptances?.slice(-2) ?? [];
    expect(last?.signals).toEqual(changedSignals(before?.digests ?? {}, last?.digests ?? {}));
    expect(last?.signals).toContain('supplyOrder');
    expect(last?.signals).not.toContain('mode');
    expect((await latchbench('replay', copy)).status).toBe(0);
  });

  it('does not cover outputs that were edited by hand', async () => {
    const copy = copyVector('target-step', folder);
    edit(join(copy, 'expected.csv'), (text) => text.replace(',supplyOrder,open', ',supplyOrder,close'));
    const { status, err } = await latchbench('replay', copy);
    expect([status, err]).toEqual([
      2,
      expect.stringMatching(/expected\.csv: the file has changed since .* its SHA-256 starts with [0-9a-f]{12}, not [0-9a-f]{12}\./),
    ]);
  });

  it('does not cover edited outputs with a matching hash: the digests differ', async () => {
    const copy = copyVector('target-step', folder);
    const expected = join(copy, 'expected.csv');
    const before = sha256(readFileSync(expected, 'utf8'));
    edit(expected, (text) => text.replace(',supplyOrder,open', ',supplyOrder,close'));
    edit(join(copy, 'case.yaml'), (text) => text.replace(before, sha256(readFileSync(expected, 'utf8'))));
    const { status, err } = await latchbench('replay', copy);
    expect([status, err]).toEqual([2, expect.stringContaining('the digests of the last acceptance are wrong for supplyOrder')]);
  });

  it('does not cover another acceptance folded into an older one: the next one has a digest of it', async () => {
    const copy = copyVector('target-step', folder);
    edit(join(copy, 'case.yaml'), (text) => text.replace(/hash: [0-9a-f]{64}/, `hash: ${'a'.repeat(64)}`));
    const { status, err } = await latchbench('replay', copy);
    expect([status, err]).toEqual([
      2,
      expect.stringMatching(/case\.yaml:\d+:\d+: the acceptances before this one are not those that it was added to\. Restore them/),
    ]);
  });

  it('has a digest of those before it, but for the first one', async () => {
    const copy = copyVector('target-step', folder);
    edit(join(copy, 'case.yaml'), (text) => text.replace(/ +previous: .*\n/, ''));
    expect((await latchbench('replay', copy)).err).toContain('this acceptance has no digest of those before it');
  });

  it('must name every signal that changed', async () => {
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

  it('may name “all” only if there is no earlier one', async () => {
    const copy = changedCase();
    expect((await latchbench('accept', copy, ...WHO)).status).toBe(0);
    edit(join(copy, 'case.yaml'), (text) => text.replace(/signals:\n( +- \w+\n)+(?![\s\S]*signals:)/, 'signals: [all]\n'));
    expect((await latchbench('replay', copy)).status).toBe(2);
  });

  it.each(['""', '" "'])('must not have the reason %s', async (reason) => {
    const copy = copyVector('cold-oil', folder);
    edit(join(copy, 'case.yaml'), (text) => text.replace(/reason: [\s\S]*?\n( +)signals:/, `reason: ${reason}\n$1signals:`));
    const { status, err } = await latchbench('replay', copy);
    expect([status, err]).toEqual([
      2,
      expect.stringMatching(/case\.yaml:\d+:\d+: acceptances\[0\]\.reason is " ?"; it must be non-empty text/),
    ]);
  });

  it('must have a reason', async () => {
    const copy = copyVector('cold-oil', folder);
    edit(join(copy, 'case.yaml'), (text) => text.replace(/ +reason: [\s\S]*?\n( +)signals:/, '$1signals:'));
    expect(await latchbench('replay', copy)).toMatchObject({ status: 2, err: expect.stringContaining('reason') });
  });
});

describe('accept --signals and --dry-run', () => {
  it('refuse if another signal has changed, name it, and write nothing', async () => {
    const copy = changedCase();
    const before = snapshot(copy);
    const { status, err } = await latchbench('accept', copy, ...WHO, '--signals', 'returnOrder');
    expect(status).toBe(2);
    expect(err).toMatch(/allClosed, .*supplyOrder changed too, but --signals does not name them\. Check/);
    expect(snapshot(copy)).toEqual(before);
  });

  it('refuse a signal that has not changed, and an unknown one', async () => {
    const copy = changedCase();
    expect((await latchbench('accept', copy, ...WHO, '--signals', 'mode')).err).toContain(
      '--signals names mode, which has not changed. Changed signals: ',
    );
    expect((await latchbench('accept', copy, ...WHO, '--signals', 'mood')).err).toContain(
      '--signals names mood, which is not an output of the vector; it must be one of ',
    );
  });

  it('refuse an unknown signal even if nothing has changed', async () => {
    const copy = copyVector('relatch-at-rest', folder);
    const { status, err } = await latchbench('accept', copy, ...WHO, '--signals', 'supplyOder');
    expect([status, err]).toEqual([
      2,
      expect.stringContaining('names supplyOder, which is not an output of the vector; did you mean `supplyOrder`?'),
    ]);
  });

  it('accept the named signals and the state hash', async () => {
    const copy = changedCase();
    expect((await latchbench('accept', copy, ...WHO, '--signals', 'allClosed,powerMayBeCut,returnOrder,supplyOrder')).status).toBe(0);
    expect((await latchbench('replay', copy)).status).toBe(0);
  });

  it('show the same in a dry run, and write nothing', async () => {
    const copy = changedCase();
    const before = snapshot(copy);
    const dry = await latchbench('accept', copy, ...WHO, '--dry-run');
    expect(dry.status).toBe(0);
    expect(dry.out).toContain('dry run: 1 vector would be written, nothing is');
    expect(snapshot(copy)).toEqual(before);
    const real = await latchbench('accept', copy, ...WHO);
    expect(real.out.split('\n').slice(0, -2)).toEqual(dry.out.split('\n').slice(0, -2));
  });

  it('restore damaged outputs without a new acceptance', async () => {
    const copy = copyVector('target-step', folder);
    const before = snapshot(copy);
    edit(join(copy, 'expected.csv'), (text) => text.replace(',open\n', ',close\n'));
    expect((await latchbench('accept', copy, ...WHO)).out).toMatch(/^target-step +cascade +outputs restored/m);
    expect(snapshot(copy)).toEqual(before);
  });
});

describe('latchbench accept', () => {
  it('accepts a changed vector with name and reason, keeps comments, and replays it the same afterwards', async () => {
    const copy = copyVector('target-step', folder);
    const caseFile = join(copy, 'case.yaml');
    writeFileSync(
      caseFile,
      `# a person's remark\n${readFileSync(caseFile, 'utf8').replace('deadbandSigmas: 2.2', 'deadbandSigmas: 3 # wider')}`,
    );
    expect((await latchbench('replay', copy)).status).toBe(1);
    const { status, out } = await latchbench('accept', copy, '--by', 'A. Reviewer', '--reason', 'A wider deadband is intended');
    expect(status).toBe(0);
    expect(out).toMatch(
      /^target-step +cascade +allClosed \(\d+ changes\), .*supplyOrder \(\d+ changes\) +tick \d+ row \d .* [0-9a-f]{12}$/m,
    );
    expect(out).toMatch(/^\d{4}-\d\d-\d\d, A\. Reviewer: A wider deadband is intended\n1 vector written$/m);
    const text = readFileSync(caseFile, 'utf8');
    expect(text).toContain("# a person's remark");
    expect(text).toContain('deadbandSigmas: 3 # wider');
    expect(text).toMatch(
      /by: A\. Reviewer\n( +committer: .*\n)? +reason: A wider deadband is intended\n +signals:\n( +- \w+\n)+ +previous: [0-9a-f]{64}\n +hash: [0-9a-f]{64}\n +digests:\n( +\w+: [0-9a-f]{16}\n)+$/,
    );
    expect((await latchbench('replay', copy)).status).toBe(0);
  });

  it('fixes what errors of replay tell it to fix: missing, edited and never accepted outputs', async () => {
    const copy = copyVector('relatch-at-rest', folder);
    const caseFile = join(copy, 'case.yaml');
    const damages = [
      () => rmSync(join(copy, 'expected.csv')),
      () => writeFileSync(join(copy, 'expected.csv'), 'tick,row,signal,value\n'),
      () => writeFileSync(caseFile, readFileSync(caseFile, 'utf8').replace(/acceptances:[\s\S]*/, '')),
    ];
    for (const damage of damages) {
      damage();
      const { status, err } = await latchbench('replay', copy);
      expect([status, err]).toEqual([2, expect.stringContaining(`latchbench accept ${copy} --by NAME --reason TEXT`)]);
      expect((await latchbench('accept', copy, '--by', 'A. Reviewer', '--reason', 'Fixed')).status).toBe(0);
      expect((await latchbench('replay', copy)).status).toBe(0);
    }
  });

  it('changes no vector if one of them is invalid', async () => {
    const good = copyVector('target-step', folder);
    const bad = copyVector('cold-oil', folder);
    writeFileSync(
      join(good, 'case.yaml'),
      readFileSync(join(good, 'case.yaml'), 'utf8').replace('acceptances:', 'parameters:\n  deadbandN: 60\nacceptances:'),
    );
    truncateSync(join(bad, 'input.mcap'), 20_000);
    const before = [snapshot(good), snapshot(bad)];
    expect((await latchbench('accept', good, bad, '--by', 'A. Reviewer', '--reason', 'None')).status).toBe(2);
    expect([snapshot(good), snapshot(bad)]).toEqual(before);
  });

  it('needs --yes where a service runs it, and a committer to record', async () => {
    vi.stubEnv('GIT_CONFIG_GLOBAL', '/dev/null');
    vi.stubEnv('GIT_COMMITTER_NAME', 'C. Committer');
    vi.stubEnv('GIT_COMMITTER_EMAIL', 'c@example.invalid');
    const copy = changedCase();
    const accept = (...words: string[]) => latchbenchIn(PROJECT, ['accept', copy, ...WHO, ...words], { env: { CI: 'true' } });
    const refused = await accept();
    expect([refused.status, refused.err]).toEqual([2, expect.stringContaining('a service runs this (CI is set)')]);
    expect((await accept('--dry-run')).status).toBe(0);
    expect((await accept('--yes')).status).toBe(0);
    vi.unstubAllEnvs();
    expect(readVector(PROJECT, copy).acceptances?.at(-1)).toMatchObject({
      by: 'A. Reviewer',
      committer: 'C. Committer <c@example.invalid>',
    });
  });

  it('writes nothing if nothing has changed', async () => {
    const copy = copyVector('relatch-at-rest', folder);
    const before = snapshot(copy);
    const { status, out } = await latchbench('accept', copy, '--by', 'A. Reviewer', '--reason', 'none');
    expect(out).toMatch(/^relatch-at-rest +cascade +nothing to accept$/m);
    expect(status).toBe(0);
    expect(snapshot(copy)).toEqual(before);
  });

  it.each([
    ['no reason', ['--by', 'A. Reviewer']],
    ['an empty reason', ['--by', 'A. Reviewer', '--reason', ' ']],
    ['no name', ['--reason', 'Because']],
  ])('refuses %s and writes nothing', async (_, argv) => {
    const copy = copyVector('target-step', folder);
    const before = snapshot(copy);
    expect((await latchbench('accept', copy, ...argv)).status).toBe(2);
    expect(snapshot(copy)).toEqual(before);
  });
});
