/** Replays the vector named on the command line and prints this process's peak memory, KiB. */
import { loadController } from '../runner/wasm-runner.js';
import { readCaseFolder } from '../vector/case.js';
import { replayCase } from '../vector/replay-case.js';
import { PROJECT } from './inputs.js';

const { verdict } = replayCase(loadController(PROJECT.controllerWasm), readCaseFolder(process.argv[2] ?? ''));
if (verdict !== 'same') process.exit(1);
process.stdout.write(`${process.resourceUsage().maxRSS}\n`);
