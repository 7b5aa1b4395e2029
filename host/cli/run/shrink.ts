import { relative } from 'node:path';
import { InputError } from '../../common/input-error.js';
import { shellWord } from '../../common/shell-word.js';
import { refuseOverwritingInput } from '../../common/write-atomic.js';
import { identifyRun } from '../../contract/run-identity.js';
import { shrinkText } from '../../report/review/shrink-text.js';
import { findBuild, identifyBuild } from '../../review/builds.js';
import { classText } from '../../review/shrink/difference-class.js';
import type { Shrunk } from '../../review/shrink/shrink.js';
import { addShrunkVector, defaultName, type Subject, shrinkSubject, subjectOf, writeShrunk } from '../../review/shrink/shrink-vector.js';
import { newVectorFolder } from '../../vector/add.js';
import { readVector } from '../../vector/vector.js';
import { command, type Job } from '../context.js';
import { checkFlags, type FlagRule } from '../flag-rules.js';
import { approvalOf } from './approval.js';

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

const NO_VECTOR = 'no vector is written';
const RULES: readonly FlagRule<Flags>[] = (['name', 'by', 'reason'] as const).map((excludes) => ({
  flag: 'output',
  excludes,
  why: NO_VECTOR,
}));

/** @throws InputError for flags that cannot be combined */
function checkUse(flags: Flags): void {
  checkFlags(flags, RULES);
  const { output, by, reason } = flags;
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
function write(job: Job, flags: Flags, subject: Subject, shrunk: Shrunk, name: string): { text: string; json: object } {
  const { project, cwd } = job;
  if (flags.output !== undefined) {
    writeShrunk(flags.output, subject, shrunk);
    return { text: `${flags.output} written\n`, json: { recording: flags.output } };
  }
  const target = newVectorFolder(project, name);
  addShrunkVector(subject, shrunk, target, approvalOf(job.project.root, flags.by ?? '', flags.reason ?? ''));
  const folder = relative(cwd, target);
  const accepted = subject.builds[subject.accepted ?? 'head']?.name;
  const because = subject.accepted === 'base' ? '' : ', since those of the base build cannot be';
  const compare = `npx latchbench compare ${[flags.against ?? '', flags.build, name].map(shellWord).join(' ')}`;
  return {
    text: `${folder} written; the outputs of ${accepted} are accepted${because}\n${compare}\n`,
    json: { vector: folder, accepted: subject.accepted, compare },
  };
}

export default command<Flags, [string]>(async (job, flags, vector) => {
  checkUse(flags);
  if (flags.name !== undefined) newVectorFolder(job.project, flags.name);
  let step = '';
  const subject = await readSubject(job, flags, vector, (count) => job.progress.show(`${count} of ${flags.tries} runs: ${step}`));
  const name = flags.name ?? defaultName(subject);
  const isForVector = flags.output === undefined;
  // Before minutes of shrinking.
  if (isForVector) newVectorFolder(job.project, name);
  const shrunk = shrinkSubject(subject, isForVector, (what, ticks) => {
    step = `${what}, ${ticks} ticks left`;
  });
  const written = write(job, flags, subject, shrunk, name);
  const { class: difference, before, after, tries, isMinimal } = shrunk;
  const { base, head } = subject.builds;
  const { contract } = head.controller.description;
  const made = {
    base: base === undefined ? undefined : identifyBuild(base),
    head: identifyBuild(head),
    ranWith: identifyRun(contract, subject.vector.values),
  };
  const json = {
    from: subject.vector.name,
    ...made,
    class: difference,
    description: classText(difference),
    before,
    after,
    tries,
    isMinimal,
  };
  return { text: `${shrinkText(subject, shrunk, made)}\n${written.text}`, json: { ...json, ...written.json }, passed: true };
});
