import { abbreviated } from '../../common/hash.js';
import { describeContract } from '../../contract/contract.js';
import { readParameterFile } from '../../contract/parameter-values.js';
import type { System } from '../../report/form/units.js';
import { findChangeText } from '../../report/review/find-change-text.js';
import { runIn } from '../../report/review/review-units.js';
import { findChange } from '../../review/find-change.js';
import { readVector } from '../../vector/vector.js';
import { command } from '../context.js';
import { checkFlags, UNITS_RULE } from '../flag-rules.js';

interface Flags {
  readonly from: string;
  readonly to: string;
  readonly state?: boolean;
  readonly parameters?: string;
  readonly units?: System;
  readonly json?: boolean;
}

export default command<Flags, [string]>(async ({ project, progress }, flags, name) => {
  checkFlags(flags, [UNITS_RULE]);
  const { from, to, state = false, parameters: file, units = 'si' } = flags;
  const vector = readVector(project, name);
  const parameters = file === undefined ? undefined : { file, values: readParameterFile(file, describeContract()) };
  const choice = { root: project.root, vector, from, to, countsState: state, parameters };
  const found = await findChange(choice, ({ hash, subject }, left) => progress.show(`${left} left: ${abbreviated(hash)} ${subject}`));
  return { text: findChangeText({ ...found, run: runIn(found.run, { units }) }), json: found, passed: true };
});
