/** `npm run compose [names…]`: composes the inputs of vectors anew, and the case.yaml of those that have none. */
import { existsSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { stringify } from 'yaml';
import { writeAside } from '../files/write-aside.js';
import { CASES } from '../project.js';
import { loadController } from '../target/wasm.js';
import { composeInput } from './compose.js';
import { COMPOSITIONS } from './composition.js';

const wanted = process.argv.slice(2);
const unknown = wanted.filter((name) => !COMPOSITIONS.some((plan) => plan.name === name));
if (unknown.length > 0) {
  process.stderr.write(`no composition ${unknown.join(', ')}: see host/compose/composition.ts\n`);
  process.exit(2);
}
const controller = loadController();
for (const plan of COMPOSITIONS) {
  if (wanted.length > 0 && !wanted.includes(plan.name)) continue;
  const folder = join(CASES, plan.name);
  mkdirSync(folder, { recursive: true });
  composeInput(controller, plan, join(folder, 'input.mcap'));
  const caseFile = join(folder, 'case.yaml');
  if (!existsSync(caseFile)) {
    const origin = `Invented: composed by npm run compose, seed ${plan.seed}, with stand-in rows around the controller.`;
    const { title, why, rows, tickHz = 1000, parameters } = plan;
    writeAside(
      caseFile,
      stringify({ title, why, origin, rows, tickHz, ...(parameters === undefined ? {} : { parameters }) }, { lineWidth: 110 }),
    );
  }
  process.stderr.write(`${folder}\n`);
}
