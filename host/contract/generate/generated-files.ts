import { ROWS_MAX } from '../../../shared/limits.js';
import { type Contract, describeContract } from '../contract.js';
import { RECORDING_MESSAGES, type RecordingMessage, writeMessage } from '../messages.js';
import { parameterSchema } from '../parameter-schema.js';
import { writeAssemblyScript } from './assemblyscript.js';
import { writeCHeader } from './c-header.js';
import { writeFileTables } from './files.js';
import { writePlant } from './plant.js';
import { writeTables } from './tables.js';

/** The contract as JSON: what the controller of a commit is described by, without running the commit's code. */
export const CONTRACT_FILE = 'host/contract/generated/contract.json';
/** The same in a team's project. */
export const PROJECT_CONTRACT_FILE = 'contract/contract.json';

/** JSON with one line for each field, parameter, place, rule and fault. */
const writeJson = (value: object): string =>
  `${JSON.stringify(value, null, 1).replaceAll(/[[{][^[\]{}]*[\]}]/g, (leaf) => leaf.replaceAll(/\n */g, ' '))}\n`;

const controllerFiles = (contract: Contract): Record<string, string> =>
  Object.fromEntries(Object.entries(writeAssemblyScript(contract)).map(([path, text]) => [`assembly/controller/generated/${path}`, text]));

/** Returns every generated file of a team's project: path from its root → text. */
export function projectFiles(): Record<string, string> {
  const contract = describeContract();
  return {
    [PROJECT_CONTRACT_FILE]: writeJson(contract),
    'contract/contract.md': writeTables(contract),
    'contract/latchbench.h': writeCHeader(contract),
    'contract/parameters.schema.json': `${JSON.stringify(parameterSchema(contract), null, 2)}\n`,
    ...controllerFiles(contract),
  };
}

/** Returns every generated file: path from the project's root → text. A test compares them with the committed files. */
export function generatedFiles(): Record<string, string> {
  const contract = describeContract();
  const files: Record<string, string> = {
    [CONTRACT_FILE]: writeJson(contract),
    'host/contract/generated/latchbench.h': writeCHeader(contract),
    'host/contract/generated/parameters.schema.json': `${JSON.stringify(parameterSchema(contract), null, 2)}\n`,
    'host/contract/generated/contract.md': writeTables(contract),
    'host/contract/generated/files.md': writeFileTables(),
    'assembly/plant/generated/records.ts': writePlant(),
  };
  for (const name of Object.keys(RECORDING_MESSAGES) as RecordingMessage[])
    files[`host/contract/generated/${name}.msg`] = writeMessage(contract, name, ROWS_MAX);
  return { ...files, ...controllerFiles(contract) };
}
