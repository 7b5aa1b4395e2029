import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ROOT } from '../../host/common/project.js';
import type { Build } from '../../host/review/builds.js';
import { driveByRecording } from '../../host/review/drive.js';
import { type PairRun, runPair } from '../../host/review/run-pair.js';
import type { DifferenceClass } from '../../host/review/shrink/difference-class.js';
import type { Shrunk } from '../../host/review/shrink/shrink.js';
import { addShrunkCase, shrinkSubject, subjectOf, usualName } from '../../host/review/shrink/shrink-case.js';
import { loadPlant } from '../../host/simulate/plant.js';
import { defaultSettings } from '../../host/simulate/run.js';
import { readScenario } from '../../host/simulate/scenario.js';
import { readCase, type VectorCase } from '../../host/vector/case.js';
import { recordScenario } from '../../host/vector/record-scenario.js';
import { replayCase } from '../../host/vector/replay-case.js';
import { copyCase, latchbench, snapshot, temporaryFolder } from '../support/command.js';
import { buildPlanted, PLANTED, type Planted } from '../support/planted-failures.js';

const folder = temporaryFolder();
const APPROVAL = { by: 'A. Reviewer', reason: 'A test', date: '2025-01-01' };
const WORDS = ['--by', 'A. Reviewer', '--reason', 'A test'];

async function build(name: string, planted?: Planted): Promise<Build> {
  const at = join(folder, name);
  mkdirSync(at);
  const { file, controller } = await buildPlanted(at, planted);
  return { asked: file, file, controller, binaryHash: createHash('sha256').update(readFileSync(file)).digest('hex') };
}

/** Both sides over a vector as it stands on disk, by the machinery of `compare`, which knows nothing of shrinking. */
const freshRun = (one: VectorCase, old: Build, fresh: Build): PairRun =>
  runPair(driveByRecording(one, { controller: old.controller, values: one.values }, { controller: fresh.controller, values: one.values }));

/** Whether a run shows a class. */
function shows({ stopped, partings }: PairRun, found: DifferenceClass): boolean {
  if (found.kind === 'stopped') return stopped[found.side === 'old' ? 'old' : 'new']?.message === found.message;
  const outputs = partings.filter(({ kind, signal }) => kind === 'output' && signal !== 'allClosed');
  if (found.kind === 'inner') {
    const first = partings.find(({ tick, kind }) => tick >= 0 && kind !== 'output');
    return outputs.length === 0 && first?.signal === found.signal;
  }
  const first = outputs[0];
  const scope = first?.row === 0 ? 'bank' : 'row';
  return first?.signal === found.signal && scope === found.scope && first.old === found.old && first.new === found.new;
}

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  return ((sorted[Math.floor((sorted.length - 1) / 2)] ?? 0) + (sorted[Math.ceil((sorted.length - 1) / 2)] ?? 0)) / 2;
};

/** Enough for a short test; the command spends more unless told otherwise. */
const TRIES = 350;

describe('twenty planted failures', () => {
  const results: { planted: Planted; shrunk: Shrunk; firstTick: number }[] = [];
  let base: Build;
  let pass: string;

  beforeAll(async () => {
    base = await build('base');
    pass = join(folder, 'eventful-pass');
    const scenario = readScenario(join(ROOT, 'tests', 'support', 'eventful-pass.yaml'));
    recordScenario({ controller: base.controller, plant: loadPlant() }, scenario, defaultSettings(scenario), pass, APPROVAL);
  });

  afterAll(() => {
    const lines = results.map(({ planted, shrunk: { before, after }, firstTick }) => {
      const share = (100 * after.ticks) / before.ticks;
      return `${planted.name} (${planted.on}, ${planted.kind}, tick ${firstTick}): ${before.ticks} → ${after.ticks} ticks, ${share.toFixed(2)} %; ${before.rows} → ${after.rows} rows`;
    });
    process.stdout.write(`${lines.join('\n')}\n`);
  });

  it('are twenty, of every kind', () => {
    expect(new Set(PLANTED.map(({ name }) => name)).size).toBe(20);
    expect(new Set(PLANTED.map(({ kind }) => kind))).toEqual(new Set(['outputs', 'inner', 'stopped']));
  });

  it.each(PLANTED.map((planted, index) => [planted.name, planted, index] as const))(
    '%s: shrinks, and still shows',
    async (_, planted, index) => {
      const fresh = await build(`planted-${index}`, planted);
      const subject = subjectOf(readCase(planted.on === 'pass' ? pass : planted.on), { old: base, new: fresh }, TRIES);
      expect(subject.shown.class.kind).toBe(planted.kind);
      const shrunk = shrinkSubject(subject, true, () => {});
      const made = join(folder, `shrunk-${index}`);
      addShrunkCase(subject, shrunk, made, APPROVAL);
      const one = readCase(made);
      expect(shows(freshRun(one, base, fresh), shrunk.class)).toBe(true);
      // As a vector it does its work: the sound build replays the same, the other one does not.
      const verdicts = [base, fresh].map(({ controller }) => replayCase(controller, one).verdict);
      expect(verdicts).toEqual(['same', planted.kind === 'stopped' ? 'broken' : 'changed']);
      results.push({ planted, shrunk, firstTick: subject.shown.tick });
    },
  );

  it('shrink to 1 % of their length or less in the median, and none of them shows at once', () => {
    const shares = results.map(({ shrunk }) => shrunk.after.ticks / shrunk.before.ticks);
    expect(shares).toHaveLength(20);
    expect(median(shares)).toBeLessThanOrEqual(0.01);
    expect(Math.min(...results.map(({ firstTick }) => firstTick))).toBeGreaterThan(1000);
  });
});

describe('latchbench shrink', () => {
  const of = (name: string): Planted => PLANTED.find((one) => one.name === name) as Planted;
  let old: string;
  let wrong: string;
  let stopping: string;

  beforeAll(async () => {
    old = (await build('command-old')).file;
    wrong = (await build('command-new', of('low supply is taken for critical'))).file;
    stopping = (await build('command-stopping', of('a valve is thought to be missed but once'))).file;
  });

  it('makes a vector, says what is left, and compare shows the same', () => {
    const made = join(folder, 'taken-for-critical');
    const words = ['shrink', 'supply-low-with-valves-open', '--against', old, '--build', wrong];
    const { status, out, err } = latchbench(...words, '--name', made, ...WORDS);
    expect([status, err]).toEqual([0, '']);
    expect(out).toContain('supply-low-with-valves-open: faults of the bank: none → supplyCritical\n');
    expect(out).toMatch(/^ticks +9 000 +5 +0\.0556 %$/m);
    expect(out).toMatch(/^rows +6 +1 /m);
    expect(out).toMatch(/^13 of 13 signals hold one value; \d+ runs, nothing more was found to leave out$/m);
    expect(out).toContain(`npx latchbench compare ${old} ${wrong} ${made}\n`);
    const compared = JSON.parse(latchbench('compare', old, wrong, made, '--json').out);
    expect(compared.runs[0]).toMatchObject({
      verdict: 'outputs',
      rows: 1,
      ticks: 5,
      firstOutput: { signal: 'faults', new: 'supplyCritical' },
    });
    expect(readdirSync(made).sort()).toEqual(['case.yaml', 'expected.csv', 'input.mcap']);
    expect(latchbench(...words, '--name', made, ...WORDS).err).toMatch(/name that is taken/);
  });

  it('does the same twice, and writes the recording alone', () => {
    const files = [1, 2].map((turn) => join(folder, `alone-${turn}.mcap`)) as [string, string];
    const words = ['shrink', 'supply-low-with-valves-open', '--against', old, '--build', wrong, '--json'];
    const [one, two] = files.map((file) => JSON.parse(latchbench(...words, '-o', file).out));
    expect(one).toMatchObject({ class: { kind: 'outputs', signal: 'faults' }, after: { ticks: 1, rows: 1 }, recording: files[0] });
    expect({ ...one, recording: '' }).toEqual({ ...two, recording: '' });
    expect(readFileSync(files[0])).toEqual(readFileSync(files[1]));
  });

  it('shrinks a stop of one build by itself', () => {
    const file = join(folder, 'stop.mcap');
    const said = JSON.parse(latchbench('shrink', 'valve-stuck-open', '--build', stopping, '-o', file, '--tries', '60', '--json').out);
    expect(said).toMatchObject({ class: { kind: 'stopped', side: 'new' }, after: { rows: 1 }, tries: 60, isDone: false });
    expect(said.after.ticks).toBeLessThan(10_000);
  });

  it('writes nothing where there is nothing to shrink', () => {
    const copy = copyCase('supply-low-with-valves-open', folder);
    const before = snapshot(copy);
    const refused = (...words: string[]): string => {
      const { status, out, err } = latchbench('shrink', copy, ...words);
      expect([status, out]).toEqual([2, '']);
      return err;
    };
    const never = join(folder, 'never');
    expect(refused('--against', old, '--build', old, '--name', never, ...WORDS)).toContain('no difference to shrink');
    expect(refused('--build', wrong, '--name', never, ...WORDS)).toContain('no stop of the controller to shrink');
    expect(refused('--against', old, '--build', wrong, '--name', never)).toContain('a vector without name or reason');
    expect(refused('--against', old, '--build', wrong, '-o', 'x.mcap', '--name', never)).toContain('together with --name');
    expect(refused('--against', old, '--build', wrong, '-o', join(copy, 'input.mcap'))).toContain('output that is also an input');
    expect(refused('--against', 'no-such-build', '--name', never, ...WORDS)).toContain('build "no-such-build"');
    expect(refused('--against', old, '--build', wrong, '--name', never, ...WORDS, '--tries', '0')).toContain('no whole number from 1');
    expect([existsSync(never), existsSync('x.mcap')]).toEqual([false, false]);
    expect(snapshot(copy)).toEqual(before);
  });

  it('accepts nothing of a build that stops by itself', () => {
    const { status, err } = latchbench('shrink', 'valve-stuck-open', '--build', stopping, '--name', join(folder, 'no'), ...WORDS);
    expect([status, err]).toEqual([2, expect.stringContaining('no outputs to accept')]);
    expect(existsSync(join(folder, 'no'))).toBe(false);
  });

  it('names a vector by what it shows', async () => {
    const [base, fresh] = [await build('name-old'), await build('name-new', of('low supply is taken for critical'))];
    const subject = subjectOf(readCase('supply-low-with-valves-open'), { old: base, new: fresh }, 1);
    expect(usualName(subject)).toBe('supply-low-with-valves-open-faults-shrunk');
  });
});
