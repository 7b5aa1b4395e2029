/** Replays the vector named on the command line and prints this process's peak memory, KiB. */
import { loadController } from '../runner/wasm-runner.js';
import { replayVector } from '../vector/replay-vector.js';
import { readVectorFolder } from '../vector/vector.js';
import { PROJECT } from './inputs.js';

const { verdict } = replayVector(loadController(PROJECT.controllerWasm), readVectorFolder(process.argv[2] ?? ''));
if (verdict !== 'same') process.exit(1);
process.stdout.write(`${process.resourceUsage().maxRSS}\n`);
