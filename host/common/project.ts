import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** Returns the nearest folder at or above `folder` for which `isRight` holds. */
function nearest(folder: string, isRight: (folder: string) => boolean): string | undefined {
  for (let at = folder; ; at = dirname(at)) {
    if (isRight(at)) return at;
    if (at === dirname(at)) return undefined;
  }
}

function findToolRoot(): string {
  const root = nearest(dirname(fileURLToPath(import.meta.url)), (folder) => existsSync(join(folder, 'package.json')));
  if (root === undefined) throw new Error('latchbench was moved away from its package.json');
  return root;
}

/** Folder of this program's own package: its compiled code, the plant, the firmware sources, node_modules. */
export const TOOL_ROOT = findToolRoot();
/** The plant that `npm run build:plant` makes. */
export const PLANT_WASM = join(TOOL_ROOT, 'dist', 'plant.wasm');

/** Path of a file in a package that this program depends on, which npm may install beside it. @throws Error if it is not installed */
export function dependencyFile(name: string, file: string): string {
  const path = (folder: string): string => join(folder, 'node_modules', name, file);
  const folder = nearest(TOOL_ROOT, (one) => existsSync(path(one)));
  if (folder === undefined) throw new Error(`${name} is not installed`);
  return path(folder);
}

/** Where a project keeps what commands read and write; every path is absolute. Plain data, so that it can be sent to workers. */
export interface Project {
  readonly root: string;
  /** Folders of what commands find by name. */
  readonly vectors: string;
  readonly scenarios: string;
  readonly machines: string;
  readonly catalogues: string;
  /** Accepted costs on microcontrollers. */
  readonly chipBudget: string;
  /** Folder of the controller's sources, and the settings that they are compiled with. */
  readonly controller: string;
  readonly compilerSettings: string;
  /** The controller that `npm run build:controller` makes. */
  readonly controllerWasm: string;
  /** What `latchbench init` and `upgrade` know about a team's project; this program's own checkout has none. */
  readonly manifest: string;
}

/** Returns the project below a folder, whether or not anything is there yet. */
export function projectAt(root: string): Project {
  const data = join(root, 'vectors');
  const dist = join(root, 'dist');
  return {
    root,
    vectors: join(data, 'cases'),
    scenarios: join(data, 'scenarios'),
    machines: join(data, 'machines'),
    catalogues: join(data, 'catalogues'),
    chipBudget: join(data, 'chip-budget.yaml'),
    controller: join(root, 'assembly', 'controller'),
    compilerSettings: join(root, 'asconfig.json'),
    controllerWasm: join(dist, 'controller.wasm'),
    manifest: join(root, 'latchbench.json'),
  };
}

/** Returns the project that a folder belongs to: the nearest one at or above it with a controller, otherwise the program's own checkout. */
export function findProject(folder: string): Project {
  const hasController = (at: string): boolean => existsSync(projectAt(at).controller) && existsSync(projectAt(at).compilerSettings);
  return projectAt(nearest(folder, hasController) ?? TOOL_ROOT);
}

/** Whether a project has its own controller and tables, and this program is installed for it. */
export const isOwnProject = ({ manifest }: Project): boolean => existsSync(manifest);
