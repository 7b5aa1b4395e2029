import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { deserialize, serialize } from 'node:v8';
import { shortHash } from '../../host/common/hash.js';
import { PLANT_WASM } from '../../host/common/project.js';
import { type Controller, loadController } from '../../host/runner/wasm-runner.js';
import { loadPlant } from '../../host/simulate/plant.js';
import { ALL_MESSAGES, defaultSettings, type RunSettings, runScenario, type SimulatedRun } from '../../host/simulate/run.js';
import type { Scenario } from '../../host/simulate/scenario.js';
import { PROJECT } from './project.js';

/*
 * Simulated runs that tests share. The result of a run depends only on the scenario's files, the settings, both binaries and the
 * sources that simulate and assess. It is stored under a hash of all of them:
 *
 *   dist/cache/runs/<hash of binaries and sources>/<hash of scenario and settings>
 *
 * A test that is about running, such as one of reproducibility, calls `runScenario` itself.
 */

const CACHE = join(PROJECT.root, 'dist', 'cache', 'runs');
/** Sources that a run depends on, besides the binaries. */
const SOURCES = ['shared', 'host/common', 'host/contract', 'host/machine', 'host/recording', 'host/runner', 'host/assess', 'host/simulate'];

function filesBelow(folder: string): string[] {
  const entries = readdirSync(folder, { withFileTypes: true, recursive: true });
  return entries.filter((one) => one.isFile() && one.name.endsWith('.ts')).map((one) => join(one.parentPath, one.name));
}

/** Returns the folder for runs of the current binaries and sources, and removes those of earlier ones. */
function openFolder(): string {
  const sources = SOURCES.flatMap((folder) => filesBelow(join(PROJECT.root, folder))).sort();
  const name = shortHash([PROJECT.controllerWasm, PLANT_WASM, ...sources].map((file) => shortHash(readFileSync(file))).join('\n'));
  const folder = join(CACHE, name);
  mkdirSync(folder, { recursive: true });
  for (const other of readdirSync(CACHE)) if (other !== name) rmSync(join(CACHE, other), { recursive: true, force: true });
  return folder;
}

let cacheFolder: string | undefined;
function fileOf(scenario: Scenario, settings: RunSettings, ending: string): string {
  cacheFolder ??= openFolder();
  const files = scenario.files.map((file) => shortHash(readFileSync(file)));
  return join(cacheFolder, `${shortHash(JSON.stringify([scenario.name, files, settings]))}${ending}`);
}

let controller: Controller | undefined;
let plant: WebAssembly.Module | undefined;
const binaries = () => {
  controller ??= loadController(PROJECT.controllerWasm);
  plant ??= loadPlant();
  return { controller, plant };
};

/** Writes a file under another name first: another worker may be writing the same one. */
function keep(file: string, write: (partial: string) => void): void {
  const partial = `${file}.${process.pid}`;
  write(partial);
  renameSync(partial, file);
}

/** Returns what `runScenario` returns for the shipped controller, from the cache if it was run before. */
export function simulatedRun(scenario: Scenario, settings: RunSettings = defaultSettings(scenario)): SimulatedRun {
  const file = fileOf(scenario, settings, '');
  if (!existsSync(file)) {
    const run = runScenario(binaries().controller, binaries().plant, scenario, settings);
    keep(file, (partial) => writeFileSync(partial, serialize(run)));
  }
  return deserialize(readFileSync(file)) as SimulatedRun;
}

/** Returns a recording of a run, with all messages from tick 0. It is shared: don't write to it. */
export function simulatedRecording(scenario: Scenario, settings: RunSettings = defaultSettings(scenario)): string {
  const file = fileOf(scenario, settings, '.mcap');
  if (!existsSync(file)) {
    keep(file, (partial) => {
      const recording = { file: partial, messages: ALL_MESSAGES, fromTick: 0 };
      runScenario(binaries().controller, binaries().plant, scenario, settings, recording);
    });
  }
  return file;
}
