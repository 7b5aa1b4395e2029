import { renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Writable } from 'node:stream';
import { afterAll, describe, expect, it } from 'vitest';
import type { Review } from '../../host/review/review.js';
import { latchbenchIn } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { ProjectCopy } from '../support/project-copy.js';
import { temporaryFolder } from '../support/temporary-folder.js';

/** Where a command prints, for a test that waits for what it prints. */
class Printed extends Writable {
  #text = '';
  #listen = (): void => {};

  override _write(chunk: Buffer, _encoding: BufferEncoding, done: () => void): void {
    this.#text += chunk.toString('utf8');
    this.#listen();
    done();
  }

  /** Resolves to everything printed since the last call, once it contains `text`. */
  until(text: string): Promise<string> {
    return new Promise((resolve, reject) => {
      const timer = setTimeout(() => reject(new Error(`no “${text}” in: ${this.#text}`)), 120_000);
      this.#listen = () => {
        if (!this.#text.includes(text)) return;
        clearTimeout(timer);
        this.#listen = () => {};
        resolve(this.#text);
        this.#text = '';
      };
      this.#listen();
    });
  }
}

describe('latchbench watch', () => {
  // A project in a sub-folder of a repository.
  const repository = temporaryFolder();
  const project = new ProjectCopy(join(repository, 'planter'), { vectors: ['target-step'] });
  renameSync(project.path('.git'), join(repository, '.git'));
  const base = project.commit('Base');
  const BANK = 'assembly/controller/bank.ts';
  const interrupts: (() => void)[] = [];
  afterAll(() => {
    for (const interrupt of interrupts) interrupt();
  });

  /** Starts the command on the copy. @param against what it compares with */
  function start(against: string, ...flags: string[]) {
    const printed = new Printed();
    let interrupt = (): void => {};
    const onInterrupt = (stop: () => void) => {
      interrupt = stop;
      return () => {};
    };
    const words = ['watch', 'target-step', '--against', against, ...flags];
    const ended = latchbenchIn(project.project, words, { stdout: printed, onInterrupt });
    interrupts.push(() => interrupt());
    return { until: (text: string) => printed.until(text), interrupt: () => interrupt(), ended };
  }

  it('gives a verdict at once and after each save, and keeps the last one when the sources do not compile', async () => {
    const { until, interrupt, ended } = start(base);
    expect(await until('after the start')).toContain('1 run: 1 same; ');

    project.edit(BANK, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 41;');
    const line = project.lineOf(BANK, 'const WARM_C');
    const changed = await until('after the save');
    expect(changed).toContain('1 run: 1 with different timing only; ');
    expect(changed).toMatch(/first difference at tick 0 .*: flowRatio 1 → 0\.99/);
    expect(changed).toContain(`${BANK}:${line}  const WARM_C: f32 = 41;`);

    project.edit(BANK, 'const WARM_C: f32 = 41;', 'const WARM_C: f32 = 4x;');
    const broken = await until('last verdict:');
    expect(broken).toContain(`in ${BANK}(${line},22)`);
    expect(broken).toMatch(/last verdict: 1 run: 1 with different timing only; /);

    project.edit(BANK, 'const WARM_C: f32 = 4x;', 'const WARM_C: f32 = 40;');
    expect(await until('after the save')).toContain('1 run: 1 same; ');
    interrupt();
    expect((await ended).status).toBe(0);
  });

  it('gives a verdict when a parameter file is saved, each as a line of JSON', async () => {
    const parameters = project.path('mine.yaml');
    writeFileSync(parameters, '{}\n');
    const { until, ended } = start(PROJECT.controllerWasm, '--parameters', parameters, '--json', '--verdicts', '3');
    const verdict = async () => JSON.parse(await until('\n')) as { review?: Review; error?: { message: string } };
    expect((await verdict()).review?.counts.same).toBe(1);

    // As an editor saves: another file replaces it.
    writeFileSync(`${parameters}.new`, 'deadbandSigmas: 3\n');
    renameSync(`${parameters}.new`, parameters);
    const { review } = await verdict();
    expect(review?.counts.outputsDiffer).toBe(1);
    expect(review?.parameters).toEqual([{ name: 'deadbandSigmas', unit: 'ratio', base: '2.2', head: '3', runs: [] }]);

    writeFileSync(parameters, 'deadbandSigmas: many\n');
    expect((await verdict()).error?.message).toMatch(/mine\.yaml:1:17: deadbandSigmas/);
    expect((await ended).status).toBe(1);
  });
});
