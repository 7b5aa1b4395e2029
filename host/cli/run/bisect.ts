import { describeContract } from '../../contract/contract.js';
import { readParameterFile } from '../../contract/parameter-values.js';
import { bisectText } from '../../report/review/bisect-text.js';
import { bisect } from '../../review/bisect.js';
import { readVector } from '../../vector/vector.js';
import { command } from '../context.js';

interface Flags {
  readonly good: string;
  readonly bad: string;
  readonly state?: boolean;
  readonly parameters?: string;
  readonly json?: boolean;
}

export default command<Flags, [string]>(async ({ project, progress }, { good, bad, state = false, parameters: file }, name) => {
  const vector = readVector(project, name);
  const parameters = file === undefined ? undefined : { file, values: readParameterFile(file, describeContract()) };
  const found = await bisect({ root: project.root, vector, good, bad, countsState: state, parameters }, ({ hash, subject }, left) =>
    progress.show(`${left} left: ${hash.slice(0, 10)} ${subject}`),
  );
  return { text: bisectText(found), json: found, passed: true };
});
