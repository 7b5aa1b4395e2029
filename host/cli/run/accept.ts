import { InputError } from '../../common/input-error.js';
import { acceptanceCheckText } from '../../report/review/acceptance-check-text.js';
import { acceptanceTable, writtenLine } from '../../report/vector/verdicts.js';
import { checkAcceptances } from '../../review/acceptance-check.js';
import { identifyBuild } from '../../review/builds.js';
import { prepareAcceptance, writeAcceptances } from '../../vector/accept.js';
import { readVector } from '../../vector/vector.js';
import { type Answer, command, type Job } from '../context.js';
import { checkFlags, type FlagRule } from '../flag-rules.js';
import { approvalOf, checkAttended } from './approval.js';
import { currentController } from './binaries.js';

interface Flags {
  readonly by?: string;
  readonly reason?: string;
  readonly signals?: readonly string[];
  readonly check?: string;
  readonly dryRun?: boolean;
  readonly yes?: boolean;
  readonly json?: boolean;
}

const RULES: readonly FlagRule<Flags>[] = (['by', 'reason', 'signals', 'dryRun', 'yes'] as const).map((excludes) => ({
  flag: 'check',
  excludes,
  why: 'it accepts nothing',
}));

const COMMAND = 'latchbench accept';

/** @throws InputError without a name, a reason, or a vector */
function checkGiven({ by, reason }: Flags, names: readonly string[]): { by: string; reason: string } {
  if (by === undefined || reason === undefined) {
    const problem = `${by === undefined ? '--by NAME' : '--reason TEXT'} is missing`;
    throw new InputError({ file: COMMAND, problem, hint: 'An acceptance is signed with both --by and --reason' });
  }
  if (names.length === 0)
    throw new InputError({ file: COMMAND, problem: 'no vector is named', hint: 'Name those whose outputs are right' });
  return { by, reason };
}

function check({ project }: Job, commit: string, names: readonly string[]): Answer {
  if (names.length > 0)
    throw new InputError({
      file: '--check',
      problem: 'it checks all vectors, and cannot be combined with names of vectors',
      value: names[0],
    });
  const checked = checkAcceptances(project, commit);
  return { text: acceptanceCheckText(checked), json: checked, passed: checked.isAddedTo };
}

export default command<Flags, string[]>(async (job, flags, ...names) => {
  checkFlags(flags, RULES);
  if (flags.check !== undefined) return check(job, flags.check, names);
  const { by, reason } = checkGiven(flags, names);
  const { signals, dryRun = false } = flags;
  if (!dryRun) checkAttended(job, flags.yes === true);
  const { project, print } = job;
  const build = await currentController(job, 'refuse');
  const controller = identifyBuild(build);
  const approval = { ...approvalOf(job.project.root, by, reason), signals };
  // Everything is prepared before anything is written: one invalid vector leaves all unchanged.
  const results = names.map((name) => prepareAcceptance(build.controller, readVector(project, name), approval));
  if (flags.json !== true) print(acceptanceTable(results, controller, 'to accept'));
  if (!dryRun) writeAcceptances(results);
  const json = { controller, written: !dryRun, vectors: results.map(({ files: _, ...result }) => result) };
  return { text: writtenLine(results, dryRun), json, passed: true };
});
