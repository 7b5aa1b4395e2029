import { relative } from 'node:path';
import { InputError } from '../../common/input-error.js';
import { refuseOverwritingInput } from '../../common/write-atomic.js';
import { shrinkText } from '../../report/review/shrink-text.js';
import { findBuild } from '../../review/builds.js';
import { classText } from '../../review/shrink/difference-class.js';
import type { Shrunk } from '../../review/shrink/shrink.js';
import { addShrunkVector, defaultName, type Subject, shrinkSubject, subjectOf, writeShrunk } from '../../review/shrink/shrink-vector.js';
import { checkNewFolder } from '../../vector/add.js';
import { readVector, vectorFolder } from '../../vector/vector.js';
import { command, type Job, today } from '../context.js';

interface Flags {
  readonly against?: string;
  readonly build: string;
  readonly output?: string;
  readonly name?: string;
  readonly by?: string;
  readonly reason?: string;
  readonly tries: number;
  readonly json?: boolean;
}

/** @throws InputError for flags that cannot be combined */
function checkFlags({ output, name, by, reason }: Flags): void {
  if (output !== undefined && name !== undefined)
    throw new InputError({ file: '--output', problem: 'cannot be combined with --name, since no vector is written' });
  if (output === undefined && (by === undefined || reason === undefined)) {
    const hint = 'Give both --by and --reason, or -o FILE for the recording only';
    throw new InputError({ file: 'latchbench shrink', problem: 'a new vector needs a name and a reason', hint });
  }
}

/** Reads the vector and finds its builds. */
async function readSubject({ project, progress }: Job, flags: Flags, name: string, onRun: (count: number) => void): Promise<Subject> {
  const one = readVector(project, name);
  if (flags.output !== undefined) refuseOverwritingInput(flags.output, one.caseFile, one.inputFile, one.expectedFile);
  const build = (word: string) => {
    progress.show(`building ${word}`);
    return findBuild(word, project.root);
  };
  const base = flags.against === undefined ? undefined : await build(flags.against);
  return subjectOf(one, { base, head: await build(flags.build) }, flags.tries, onRun);
}

/** Writes the result, and returns where it is and how to look at it. */
function write({ project, cwd }: Job, flags: Flags, subject: Subject, shrunk: Shrunk, name: string): { text: string; json: object } {
  if (flags.output !== undefined) {
    writeShrunk(flags.output, subject, shrunk);
    return { text: `${flags.output} written\n`, json: { recording: flags.output } };
  }
  const target = vectorFolder(project, name);
  addShrunkVector(subject, shrunk, target, { by: flags.by ?? '', reason: flags.reason ?? '', date: today() });
  const folder = relative(cwd, target);
  const accepted = subject.builds[subject.accepted ?? 'head']?.name;
  const because = subject.accepted === 'base' ? '' : ', since those of the base build cannot be';
  const compare = `npx latchbench compare ${flags.against} ${flags.build} ${name}`;
  return {
    text: `${folder} written; the outputs of ${accepted} are accepted${because}\n${compare}\n`,
    json: { vector: folder, accepted: subject.accepted, compare },
  };
}

export default command<Flags, [string]>(async (job, flags, vector) => {
  checkFlags(flags);
  let step = '';
  const subject = await readSubject(job, flags, vector, (count) => job.progress.show(`${count} of ${flags.tries} runs: ${step}`));
  const name = flags.name ?? defaultName(subject);
  const isForVector = flags.output === undefined;
  // Before minutes of shrinking.
  if (isForVector) checkNewFolder(vectorFolder(job.project, name));
  const shrunk = shrinkSubject(subject, isForVector, (what, ticks) => {
    step = `${what}, ${ticks} ticks left`;
  });
  const written = write(job, flags, subject, shrunk, name);
  const { class: difference, before, after, tries, isMinimal } = shrunk;
  const builds = { base: flags.against, head: flags.build };
  const json = {
    from: subject.vector.name,
    builds,
    class: difference,
    description: classText(difference),
    before,
    after,
    tries,
    isMinimal,
  };
  return { text: `${shrinkText(subject, shrunk)}\n${written.text}`, json: { ...json, ...written.json }, passed: true };
});
