import { binaryFor } from '../../chip/binaries.js';
import { requireTools } from '../../chip/build.js';
import { chipOf } from '../../chip/chips.js';
import { writeLibraryFolder } from '../../chip/library.js';
import { InputError } from '../../common/input-error.js';
import { command } from '../context.js';
import { requestedChips } from './chips.js';

interface Flags {
  readonly chip?: string;
  readonly rows: number;
  readonly output: string;
  readonly json?: boolean;
}

export default command<Flags>(async ({ project }, flags) => {
  const [chip, second] = flags.chip === undefined ? [] : requestedChips(flags.chip);
  if (second !== undefined) throw new InputError({ file: '--chip', problem: 'only one chip can be given', value: flags.chip });
  requireTools(chip ?? chipOf('native'));
  const files = writeLibraryFolder(flags.output, await binaryFor(project, flags.rows), chip);
  return { text: `${files.map((file) => `${flags.output}/${file}`).join('\n')}\n`, json: { folder: flags.output, files }, passed: true };
});
