/** Replays the vector named on the command line and prints this process's peak memory, KiB. */
import { loadController } from '../runner/wasm-runner.js';
import { readCase } from '../vector/case.js';
import { replayCase } from '../vector/replay-case.js';

const { verdict } = replayCase(loadController(), readCase(process.argv[2] ?? ''));
if (verdict !== 'same') process.exit(1);
process.stdout.write(`${process.resourceUsage().maxRSS}\n`);
