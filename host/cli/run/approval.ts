import { InputError } from '../../common/input-error.js';
import { committerOf } from '../../review/git.js';
import type { Approval } from '../../vector/accept.js';
import { type Job, today } from '../context.js';

/** Whether a service runs this, and no person looks at it: such services set CI. */
const isUnattended = ({ env }: Pick<Job, 'env'>): boolean => !['', '0', 'false'].includes((env.CI ?? '').toLowerCase());

/** The approval of a person, with the name that git records beside it, if git is set up. */
export const approvalOf = (root: string, by: string, reason: string): Approval => ({
  by,
  committer: committerOf(root),
  reason,
  date: today(),
});

/** @throws InputError where no person looks at what is accepted, unless `yes`; or where nobody would be named as the committer */
export function checkAttended(job: Job, yes: boolean): void {
  if (!isUnattended(job)) return;
  if (!yes) {
    const hint = 'Add --yes if a person has read the changes and started this job to accept them';
    throw new InputError({ file: 'latchbench accept', problem: 'a service runs this (CI is set), and a person must accept outputs', hint });
  }
  if (committerOf(job.project.root) !== undefined) return;
  const hint = 'Run `git config user.name NAME` and `git config user.email ADDRESS`, with those of the person who started the job';
  throw new InputError({ file: 'latchbench accept', problem: 'git has no user.name and user.email to record as the committer', hint });
}
