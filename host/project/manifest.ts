import type { Project } from '../common/project.js';
import { readYaml } from '../common/yaml-file.js';

/** What a project knows about the version that it comes from. */
export interface Manifest {
  /** Version of latchbench. */
  readonly version: string;
  /** Files that came with that version: path → SHA-256 of what they were then. */
  readonly files: Readonly<Record<string, string>>;
}

const PATHS_MAX = 1000;

const SCHEMA = {
  type: 'object',
  required: ['version', 'files'],
  additionalProperties: false,
  properties: {
    version: { type: 'string', pattern: '^[0-9A-Za-z.+-]{1,64}$', title: 'a version' },
    files: {
      type: 'object',
      maxProperties: PATHS_MAX,
      patternProperties: {
        '^(assembly/controller/[a-z0-9-]+\\.ts|shared/[a-z]+\\.ts|asconfig\\.json)$': {
          type: 'string',
          pattern: '^[0-9a-f]{64}$',
          title: 'a SHA-256',
        },
      },
      additionalProperties: false,
    },
  },
};

/** Reads latchbench.json. JSON is YAML. @throws InputError with line and column */
export const readManifest = ({ manifest }: Project): Manifest => readYaml<Manifest>(manifest, SCHEMA).value;

export const manifestText = (manifest: Manifest): string => `${JSON.stringify(manifest, null, 2)}\n`;
