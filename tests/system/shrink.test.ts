import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Build } from '../../host/review/builds.js';
import { defaultName, subjectOf } from '../../host/review/shrink/shrink-vector.js';
import { readVector } from '../../host/vector/vector.js';
import { copyVector, latchbench, latchbenchIn, snapshot } from '../support/command.js';
import { buildPatched } from '../support/patched-controller.js';
import { PROJECT } from '../support/project.js';
import { SAMPLE_FAILURES } from '../support/seeded-bugs.js';
import { testShrinking } from '../support/shrink-failures.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const WORDS = ['--by', 'A. Reviewer', '--reason', 'A test'];

describe('planted failures shrink, and still show', () => void testShrinking(SAMPLE_FAILURES));

describe('latchbench shrink', () => {
  let builds: { base: Build; wrong: Build; stopping: Build };
  let base: string;
  let wrong: string;
  let stopping: string;

  beforeAll(async () => {
    const [changed, stopped] = SAMPLE_FAILURES;
    if (changed?.kind !== 'outputsDiffer' || stopped?.kind !== 'stopped')
      throw new Error('a difference in outputs and a stop, in this order');
    builds = { base: await buildPatched(), wrong: await buildPatched(changed), stopping: await buildPatched(stopped) };
    ({ base, wrong, stopping } = { base: builds.base.file, wrong: builds.wrong.file, stopping: builds.stopping.file });
  });

  const inFolder = (...words: string[]) => latchbenchIn({ ...PROJECT, vectors: folder }, words);

  it('makes a vector, says what is left, and compare shows the same', async () => {
    const made = join(folder, 'taken-for-critical');
    const source = join(PROJECT.vectors, 'supply-low-with-valves-open');
    const words = ['shrink', source, '--against', base, '--build', wrong, ...WORDS];
    const { status, out, err } = await inFolder(...words, '--name', 'taken-for-critical');
    expect([status, err]).toEqual([0, '']);
    expect(out).toContain('supply-low-with-valves-open: faults of the bank: none → supplyCritical\n');
    expect(out).toMatch(/^ticks +9000 +4 +0\.0444 %$/m);
    expect(out).toMatch(/^rows +6 +1 /m);
    expect(out).toMatch(/^14 of 14 signals are constant; \d+ runs, nothing more can be removed$/m);
    expect(out).toContain(`npx latchbench compare ${base} ${wrong} taken-for-critical\n`);
    const compared = JSON.parse((await latchbench('compare', base, wrong, made, '--json')).out);
    expect(compared.runs[0]).toMatchObject({
      verdict: 'outputsDiffer',
      rows: 1,
      ticks: 4,
      firstOutput: { signal: 'faults', head: 'supplyCritical' },
    });
    expect(readdirSync(made).sort()).toEqual(['case.yaml', 'expected.csv', 'input.mcap']);
    expect((await inFolder(...words, '--name', 'taken-for-critical')).err).toContain('exists already');
  });

  it('does the same twice, and writes the recording alone', async () => {
    const files = [1, 2].map((turn) => join(folder, `alone-${turn}.mcap`)) as [string, string];
    const words = ['shrink', 'supply-low-with-valves-open', '--against', base, '--build', wrong, '--json'];
    const shrinkTo = async (file: string) => JSON.parse((await latchbench(...words, '-o', file)).out);
    const [one, two] = [await shrinkTo(files[0] ?? ''), await shrinkTo(files[1] ?? '')];
    expect(one).toMatchObject({ class: { kind: 'outputsDiffer', signal: 'faults' }, after: { ticks: 1, rows: 1 }, recording: files[0] });
    expect({ ...one, recording: '' }).toEqual({ ...two, recording: '' });
    expect(readFileSync(files[0])).toEqual(readFileSync(files[1]));
  });

  it('shrinks a stop of a single build', async () => {
    const file = join(folder, 'stop.mcap');
    const shrunk = JSON.parse(
      (await latchbench('shrink', 'valve-stuck-open', '--build', stopping, '-o', file, '--tries', '60', '--json')).out,
    );
    expect(shrunk).toMatchObject({ class: { kind: 'stopped', side: 'head' }, after: { rows: 1 }, tries: 60, isMinimal: false });
    expect(shrunk.after.ticks).toBeLessThan(10_000);
  });

  it('writes nothing if there is nothing to shrink', async () => {
    const copy = copyVector('supply-low-with-valves-open', folder);
    const before = snapshot(copy);
    const refused = async (...words: string[]): Promise<string> => {
      const { status, out, err } = await latchbench('shrink', copy, ...words);
      expect([status, out]).toEqual([2, '']);
      return err;
    };
    const never = 'never-made';
    expect(await refused('--against', base, '--build', base, '--name', never, ...WORDS)).toContain(
      'the builds do not differ on this vector',
    );
    expect(await refused('--build', wrong, '--name', never, ...WORDS)).toContain('the controller does not stop on this vector');
    expect(await refused('--against', base, '--build', wrong, '--name', never)).toContain('a new vector needs a name and a reason');
    expect(await refused('--against', base, '--build', wrong, '-o', 'x.mcap', '--name', never)).toContain('cannot be combined with --name');
    expect(await refused('--against', base, '--build', wrong, '-o', join(copy, 'input.mcap'))).toContain(
      'the output file is also an input',
    );
    expect(await refused('--against', 'no-such-build', '--name', never, ...WORDS)).toContain('no commit, branch or tag "no-such-build"');
    expect(await refused('--against', base, '--build', wrong, '--name', never, ...WORDS, '--tries', '0')).toContain(
      '--tries is 0; it must be an integer between 1 and',
    );
    expect([existsSync(join(PROJECT.vectors, never)), existsSync('x.mcap')]).toEqual([false, false]);
    expect(snapshot(copy)).toEqual(before);
  });

  it('accepts no outputs of a build that stops', async () => {
    const { status, err } = await latchbench('shrink', 'valve-stuck-open', '--build', stopping, '--name', 'never-made', ...WORDS);
    expect([status, err]).toEqual([2, expect.stringContaining('no outputs to accept')]);
    expect(existsSync(join(PROJECT.vectors, 'never-made'))).toBe(false);
  });

  it('names a vector after what it shows', () => {
    const subject = subjectOf(readVector(PROJECT, 'supply-low-with-valves-open'), { base: builds.base, head: builds.wrong }, 1);
    expect(defaultName(subject)).toBe('supply-low-with-valves-open-faults-shrunk');
  });
});
