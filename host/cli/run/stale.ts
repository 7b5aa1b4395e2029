import { hashController, readControllerSources } from '../../build/controller.js';
import type { Job } from '../context.js';

/** Notes that the binary is older than the sources: its verdicts are not those of the edited controller. */
export function noteIfStale({ project, note }: Job, sourceHash: string): void {
  if (hashController(readControllerSources(project.root)) === sourceHash) return;
  note('note: dist/controller.wasm is older than assembly/controller; run `npm run build:controller`');
}
