import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, text } from './answer.js';

async function parameters(this: Context, flags: { readonly json?: boolean }, file?: string): Promise<void> {
  await answer(this, flags, async () => {
    const [{ describeContract }, { parameterTable }] = await Promise.all([
      import('../contract/contract.js'),
      import('../report/parameters/parameter-table.js'),
    ]);
    const contract = describeContract();
    if (file === undefined)
      return { text: parameterTable(contract), json: { contractHash: contract.hash, parameters: contract.parameters }, holds: true };
    const { readParameterFile } = await import('../contract/parameter-values.js');
    const values = readParameterFile(file, contract);
    return { text: parameterTable(contract, values), json: { contractHash: contract.hash, values }, holds: true };
  });
}

export const parametersCommand = buildCommand({
  docs: {
    brief: 'List the parameters, or check a parameter file',
    fullDescription:
      'Without a file: every parameter with unit, limits, default and meaning. With a file (YAML, one “name: value” to a line): checks ' +
      'it and lists what it sets. Exit code 2 and one line with file, line and column if something is wrong.',
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Parameter file', parse: text, placeholder: 'file', optional: true }] },
    flags: { json: jsonFlag },
  },
  func: parameters,
});
