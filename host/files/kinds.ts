import type { KeySchema } from '../common/schema-keys.js';
import type { Contract } from '../contract/contract.js';
import { parameterSchema } from '../contract/parameter-schema.js';
import { machineSchema } from '../machine/machine.js';
import { mappingSchema } from '../recording/csv/mapping-schema.js';
import { RIG_SCHEMA } from '../rig/rig-file.js';
import { scenarioSchema } from '../simulate/scenario.js';
import { CATALOGUE_SCHEMA } from '../sizing/search/catalogue.js';
import { tuningSchema } from '../tune/tuning-file.js';
import { caseSchema } from '../vector/vector.js';

/** A kind of file that a person writes. */
export interface FileKind {
  readonly title: string;
  /** What it is for, and where it is. */
  readonly about: string;
  /** The schema that it is validated against. */
  readonly schema: (contract: Contract) => KeySchema;
}

/** The files that a person writes. */
export const FILE_KINDS = {
  scenario: {
    title: 'Scenario',
    about: 'Field, machine, drive, events and requirements of a simulation: `vectors/scenarios/NAME.yaml`, for `latchbench simulate NAME`',
    schema: scenarioSchema,
  },
  machine: {
    title: 'Machine',
    about:
      'Hydraulics, gas, valves, sensors, wiring and the duty to size for: `vectors/machines/NAME.yaml`, for `latchbench size NAME` and scenarios. Parts and quantities that are left out have their defaults',
    schema: machineSchema,
  },
  catalogue: {
    title: 'Catalogue',
    about:
      'Parts and ranges that a better machine may be made of: `vectors/catalogues/NAME.yaml`, for `latchbench size MACHINE --search NAME`',
    schema: () => CATALOGUE_SCHEMA as unknown as KeySchema,
  },
  parameters: {
    title: 'Parameter file',
    about:
      'Settings of the controller that are not at their defaults, one `name: value` per line, for `--parameters FILE`; `latchbench parameters FILE` checks it',
    schema: parameterSchema,
  },
  map: {
    title: 'Mapping of a log',
    about: 'How the columns of a CSV log become a recording, for `latchbench import LOG --map FILE -o RECORDING`',
    schema: mappingSchema,
  },
  tuning: {
    title: 'Tuning file',
    about: 'What `npm run tune -- FILE` searches, and on which scenarios',
    schema: tuningSchema,
  },
  rig: {
    title: 'Rig',
    about:
      'Boards of a bench with hardware in the loop: where each is and which rows it has, for `latchbench rig check --rig FILE` and the other commands of a rig. It names programs that are run: use only your own',
    schema: () => RIG_SCHEMA as unknown as KeySchema,
  },
  case: {
    title: 'Vector',
    about: '`case.yaml` in the folder of a vector, which `latchbench add` writes; title, why and origin are for people to edit',
    schema: caseSchema,
  },
} as const satisfies Readonly<Record<string, FileKind>>;
export type FileKindName = keyof typeof FILE_KINDS;
