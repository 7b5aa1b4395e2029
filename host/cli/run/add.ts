import { readParameterFile } from '../../contract/parameter-values.js';
import { acceptanceTable } from '../../report/vector/verdicts.js';
import { identifyBuild } from '../../review/builds.js';
import { addVector, newVectorFolder } from '../../vector/add.js';
import { command } from '../context.js';
import { approvalOf } from './approval.js';
import { currentController } from './binaries.js';

interface Flags {
  readonly from: string;
  readonly title: string;
  readonly why: string;
  readonly origin?: string;
  readonly parameters?: string;
  readonly by: string;
  readonly reason: string;
  readonly json?: boolean;
}

export default command<Flags, [string]>(async (job, flags, name) => {
  const folder = newVectorFolder(job.project, name);
  const build = await currentController(job, 'refuse');
  const { controller } = build;
  const { contract } = controller.description;
  const { from, title, why, origin, by, reason } = flags;
  const parameters = flags.parameters === undefined ? undefined : readParameterFile(flags.parameters, contract);
  const { files: _, ...result } = addVector(
    controller,
    { folder, recording: from, title, why, origin, parameters },
    approvalOf(job.project.root, by, reason),
  );
  const made = identifyBuild(build);
  return { text: acceptanceTable([result], made, 'accepted'), json: { controller: made, ...result }, passed: true };
});
