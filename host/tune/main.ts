/** `npm run tune -- FILE`: searches parameters or the proportional baseline in closed loop; `-o FILE` writes the result, `--json` prints it. */
import { runTune } from './command.js';

process.exitCode = await runTune(process.argv.slice(2), process);
