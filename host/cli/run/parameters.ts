import { describeContract } from '../../contract/contract.js';
import { readParameterFile } from '../../contract/parameter-values.js';
import type { System } from '../../report/form/units.js';
import { parameterTable } from '../../report/parameters/parameter-table.js';
import { command } from '../context.js';
import { checkFlags, UNITS_RULE } from '../flag-rules.js';

interface Flags {
  readonly units?: System;
  readonly json?: boolean;
}

export default command<Flags, [file?: string]>((_job, flags, file) => {
  checkFlags(flags, [UNITS_RULE]);
  const { units } = flags;
  const contract = describeContract();
  if (file === undefined)
    return {
      text: parameterTable(contract, undefined, units),
      json: { contractHash: contract.hash, parameters: contract.parameters },
      passed: true,
    };
  const values = readParameterFile(file, contract);
  return { text: parameterTable(contract, values, units), json: { contractHash: contract.hash, values }, passed: true };
});
