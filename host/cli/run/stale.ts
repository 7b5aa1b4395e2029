import { hashController, readControllerSources } from '../../build/controller.js';
import type { Job } from '../context.js';

/** A binary that is older than the sources would give verdicts on another controller than the edited one. */
export function noteIfStale({ project, note }: Job, sourceHash: string): void {
  if (hashController(readControllerSources(project.root)) === sourceHash) return;
  note('note: dist/controller.wasm is older than assembly/controller; run npm run build:controller to update it');
}
