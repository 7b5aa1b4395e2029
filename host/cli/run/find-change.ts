import { abbreviated } from '../../common/hash.js';
import { describeContract } from '../../contract/contract.js';
import { readParameterFile } from '../../contract/parameter-values.js';
import { findChangeText } from '../../report/review/find-change-text.js';
import { findChange } from '../../review/find-change.js';
import { readVector } from '../../vector/vector.js';
import { command } from '../context.js';

interface Flags {
  readonly from: string;
  readonly to: string;
  readonly state?: boolean;
  readonly parameters?: string;
  readonly json?: boolean;
}

export default command<Flags, [string]>(async ({ project, progress }, { from, to, state = false, parameters: file }, name) => {
  const vector = readVector(project, name);
  const parameters = file === undefined ? undefined : { file, values: readParameterFile(file, describeContract()) };
  const choice = { root: project.root, vector, from, to, countsState: state, parameters };
  const found = await findChange(choice, ({ hash, subject }, left) => progress.show(`${left} left: ${abbreviated(hash)} ${subject}`));
  return { text: findChangeText(found), json: found, passed: true };
});
