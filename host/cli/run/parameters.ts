import { describeContract } from '../../contract/contract.js';
import { readParameterFile } from '../../contract/parameter-values.js';
import { parameterTable } from '../../report/parameters/parameter-table.js';
import { command } from '../context.js';

export default command<{ readonly json?: boolean }, [file?: string]>((_job, _flags, file) => {
  const contract = describeContract();
  if (file === undefined)
    return { text: parameterTable(contract), json: { contractHash: contract.hash, parameters: contract.parameters }, passed: true };
  const values = readParameterFile(file, contract);
  return { text: parameterTable(contract, values), json: { contractHash: contract.hash, values }, passed: true };
});
