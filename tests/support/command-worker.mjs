/** Runs commands one after another in a worker thread, and reports the result of each: see guarded-commands.ts. */
import { Writable } from 'node:stream';
import { parentPort, workerData } from 'node:worker_threads';

const { dist, root, commands } = workerData;
const { run } = await import(`${dist}/host/cli/app.js`);
const { projectAt } = await import(`${dist}/host/common/project.js`);

class Collector extends Writable {
  text = '';

  _write(chunk, _encoding, done) {
    this.text += chunk.toString('utf8');
    done();
  }
}

for (const [index, argv] of commands.entries()) {
  const [stdout, stderr] = [new Collector(), new Collector()];
  const start = performance.now();
  const before = process.cpuUsage();
  const environment = { project: projectAt(root), cwd: root, stdout, stderr, env: {}, onInterrupt: () => () => {} };
  const status = await run(argv, environment);
  const seconds = (performance.now() - start) / 1000;
  const { user, system } = process.cpuUsage(before);
  parentPort.postMessage({
    index,
    status,
    out: stdout.text,
    err: stderr.text,
    seconds,
    cpuSeconds: (user + system) / 1e6,
    rssBytes: process.memoryUsage.rss(),
  });
}
parentPort.postMessage('done');
