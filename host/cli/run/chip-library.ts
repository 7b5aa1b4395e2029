import { compileWorkingTree } from '../../build/controller.js';
import { requireTools } from '../../chip/build.js';
import { chipOf } from '../../chip/chips.js';
import { writeLibraryFolder } from '../../chip/library.js';
import { InputError } from '../../common/input-error.js';
import { buildLine } from '../../report/form/run-identity.js';
import { identifyBuild, readBuild } from '../../review/builds.js';
import { command } from '../context.js';
import { currentController } from './binaries.js';
import { requestedChips } from './chips.js';

interface Flags {
  readonly chip?: string;
  readonly rows: number;
  readonly output: string;
  readonly json?: boolean;
}

export default command<Flags>(async (job, flags) => {
  const [chip, second] = flags.chip === undefined ? [] : requestedChips(flags.chip);
  if (second !== undefined) throw new InputError({ file: '--chip', problem: 'only one chip can be given', value: flags.chip });
  requireTools(chip ?? chipOf('native'));
  await currentController(job, 'refuse');
  const { file } = await compileWorkingTree(job.project.root, { rows: flags.rows });
  const controller = identifyBuild(readBuild('.', file));
  const files = writeLibraryFolder(flags.output, file, chip);
  return {
    text: `${files.map((file) => `${flags.output}/${file}`).join('\n')}\n${buildLine(controller)}\n`,
    json: { controller, folder: flags.output, files },
    passed: true,
  };
});
