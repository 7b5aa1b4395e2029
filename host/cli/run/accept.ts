import { acceptanceTable, writtenLine } from '../../report/vector/verdicts.js';
import { identifyBuild } from '../../review/builds.js';
import { prepareAcceptance, writeAcceptances } from '../../vector/accept.js';
import { readVector } from '../../vector/vector.js';
import { command, today } from '../context.js';
import { currentController } from './binaries.js';

interface Flags {
  readonly by: string;
  readonly reason: string;
  readonly signals?: readonly string[];
  readonly dryRun?: boolean;
  readonly json?: boolean;
}

export default command<Flags, string[]>(async (job, { by, reason, signals, dryRun = false, json: isJson }, ...names) => {
  const { project, print } = job;
  const build = await currentController(job, 'refuse');
  const controller = identifyBuild(build);
  const approval = { by, reason, signals, date: today() };
  // Everything is prepared before anything is written: one invalid vector leaves all unchanged.
  const results = names.map((name) => prepareAcceptance(build.controller, readVector(project, name), approval));
  if (isJson !== true) print(acceptanceTable(results, controller, 'to accept'));
  if (!dryRun) writeAcceptances(results);
  const json = { controller, written: !dryRun, vectors: results.map(({ files: _, ...result }) => result) };
  return { text: writtenLine(results, dryRun), json, passed: true };
});
