import { buildCommand } from '@stricli/core';
import type { Shrunk } from '../review/shrink/shrink.js';
import type { Subject } from '../review/shrink/shrink-case.js';
import { type Answer, answer, type Context, countFromOne, jsonFlag, type Progress, progressOf, text, today, words } from './answer.js';
import { BUILD_BRIEF, fileFlag } from './review-flags.js';

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

/** @throws InputError for flags that don't go together */
async function checkFlags({ output, name, by, reason }: Flags): Promise<void> {
  const { InputError } = await import('../common/input-error.js');
  if (output !== undefined && name !== undefined)
    throw new InputError({ file: '--output', what: 'together with --name', allowed: 'a recording or a vector' });
  if (output === undefined && (by === undefined || reason === undefined))
    throw new InputError({
      file: 'latchbench shrink',
      what: 'a vector without name or reason',
      allowed: '--by NAME --reason TEXT, or -o FILE',
    });
}

/** The vector with its builds. */
async function subject(flags: Flags, name: string, progress: Progress, onRun: (count: number) => void): Promise<Subject> {
  const [{ findBuild }, { subjectOf }, { readCase }, { refuseOverwritingInput }] = await Promise.all([
    import('../review/builds.js'),
    import('../review/shrink/shrink-case.js'),
    import('../vector/case.js'),
    import('../common/write-atomic.js'),
  ]);
  const one = readCase(name);
  if (flags.output !== undefined) refuseOverwritingInput(flags.output, one.caseFile, one.inputFile, one.expectedFile);
  const build = async (word: string) => {
    progress.say(`building ${word}`);
    return findBuild(word);
  };
  const old = flags.against === undefined ? undefined : await build(flags.against);
  return subjectOf(one, { old, new: await build(flags.build) }, flags.tries, onRun);
}

/** Writes the result, and says where it is and what to do with it. */
async function write(flags: Flags, found: Subject, shrunk: Shrunk, name: string): Promise<{ text: string; json: object }> {
  const { addShrunkCase, writeShrunk } = await import('../review/shrink/shrink-case.js');
  if (flags.output !== undefined) {
    writeShrunk(flags.output, found, shrunk);
    return { text: `${flags.output} written\n`, json: { recording: flags.output } };
  }
  const [{ caseFolder }, { relative }] = await Promise.all([import('../vector/case.js'), import('node:path')]);
  addShrunkCase(found, shrunk, name, { by: flags.by ?? '', reason: flags.reason ?? '', date: today() });
  const folder = relative('.', caseFolder(name));
  const accepted = found.builds[found.accepted ?? 'new']?.asked;
  const because = found.accepted === 'old' ? '' : ': those of the old side can’t be';
  const look = `npx latchbench compare ${flags.against} ${flags.build} ${name}`;
  return {
    text: `${folder} written; the outputs of ${accepted} are accepted${because}\n${look}\n`,
    json: { case: folder, accepted: found.accepted, compare: look },
  };
}

async function shrinkCase(flags: Flags, word: string, progress: Progress): Promise<Answer> {
  await checkFlags(flags);
  const [{ classText }, { shrinkSubject, usualName }, { shrinkText }, { newFolder }] = await Promise.all([
    import('../review/shrink/difference-class.js'),
    import('../review/shrink/shrink-case.js'),
    import('../report/review/shrink-text.js'),
    import('../vector/add.js'),
  ]);
  let doing = '';
  const found = await subject(flags, word, progress, (count) => progress.say(`${count} of ${flags.tries} runs: ${doing}`));
  const name = flags.name ?? usualName(found);
  const isForCase = flags.output === undefined;
  // Better said now than after minutes of shrinking.
  if (isForCase) newFolder(name);
  const shrunk = shrinkSubject(found, isForCase, (what, ticks) => {
    doing = `${what}, ${ticks} ticks left`;
  });
  const written = await write(flags, found, shrunk, name);
  const { class: difference, before, after, tries, isDone } = shrunk;
  const builds = { old: flags.against, new: flags.build };
  const told = { from: found.one.name, builds, class: difference, words: classText(difference), before, after, tries, isDone };
  return { text: `${shrinkText(found, shrunk)}\n${written.text}`, json: { ...told, ...written.json }, holds: true };
}

async function shrink(this: Context, flags: Flags, word: string): Promise<void> {
  await answer(this, flags, async () => {
    const progress = progressOf(this, flags.json);
    try {
      return await shrinkCase(flags, word, progress);
    } finally {
      progress.done();
    }
  });
}

const option = (brief: string, placeholder: string) => ({ kind: 'parsed', parse: text, brief, optional: true, placeholder }) as const;

export const shrinkCommand = buildCommand({
  docs: {
    brief: 'Make the smallest input that still shows a difference, and a vector of it',
    fullDescription:
      'Runs two builds over a vector, sees how they differ, and leaves out whatever is not needed for that: rows, ticks, changes of ' +
      'signals, values far from the usual ones. What must stay the same is the class of the difference: a stop at the same place, the ' +
      'same output changed from the same word to the same word, or, where no output differs, the same inner value first. Without ' +
      '--against only a stop of the controller counts, and there are no outputs to accept: use -o. Exit code 0: done. 2: bad input, or ' +
      'nothing to shrink.',
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Vector by name or folder', parse: text, placeholder: 'case' }] },
    flags: {
      against: option(`Build to differ from, the old side: ${BUILD_BRIEF}`, 'build'),
      build: { kind: 'parsed', parse: text, brief: 'The new side', default: '.', placeholder: 'build' },
      output: fileFlag('Write only the recording, and no vector'),
      name: option('Name of the new vector; vector, signal and “shrunk” if not given', 'name'),
      by: { kind: 'parsed', parse: words, brief: 'Who accepts the vector', optional: true, placeholder: 'name' },
      reason: { kind: 'parsed', parse: words, brief: 'Why its outputs are right', optional: true, placeholder: 'text' },
      tries: { kind: 'parsed', parse: countFromOne, brief: 'Runs to spend at most', default: '3000', placeholder: 'count' },
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: shrink,
});
