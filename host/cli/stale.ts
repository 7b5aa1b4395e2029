import type { Context } from './answer.js';

/** A binary that is older than the sources gives a verdict on another controller than the one that was edited. */
export async function noteIfStale(context: Context, sourceHash: string): Promise<void> {
  const [{ hashController, readControllerSources }, { ROOT }] = await Promise.all([
    import('../build/controller.js'),
    import('../common/project.js'),
  ]);
  if (hashController(readControllerSources(ROOT)) === sourceHash) return;
  context.process.stderr.write('note: assembly/controller has changed since dist/controller.wasm was built: npm run build:controller\n');
}
