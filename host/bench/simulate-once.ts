/** Simulates four rows for the minutes given on the command line and prints this process's peak memory, KiB. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { loadController } from '../runner/wasm-runner.js';
import { loadPlant } from '../simulate/plant.js';
import { runScenario } from '../simulate/run.js';
import { readScenario } from '../simulate/scenario.js';
import { PROJECT } from './inputs.js';

const folder = mkdtempSync(join(tmpdir(), 'latchbench-'));
const file = join(folder, 'long.yaml');
writeFileSync(file, `title: Long\nstory: Invented.\nrows: 4\nseconds: ${Number(process.argv[2]) * 60}\nfield: { class: D }\n`);
const scenario = readScenario(PROJECT, file);
rmSync(folder, { recursive: true });
runScenario(loadController(PROJECT.controllerWasm), loadPlant(), scenario);
process.stdout.write(`${process.resourceUsage().maxRSS}\n`);
