import { acceptanceTable, writtenLine } from '../../report/vector/verdicts.js';
import { loadController } from '../../runner/wasm-runner.js';
import { prepareAcceptance, writeAcceptances } from '../../vector/accept.js';
import { readVector } from '../../vector/vector.js';
import { command, today } from '../context.js';

interface Flags {
  readonly by: string;
  readonly reason: string;
  readonly signals?: readonly string[];
  readonly dryRun?: boolean;
  readonly json?: boolean;
}

export default command<Flags, string[]>(({ project, print }, { by, reason, signals, dryRun = false, json: isJson }, ...names) => {
  const controller = loadController(project.controllerWasm);
  const approval = { by, reason, signals, date: today() };
  // Everything is prepared before anything is written: one invalid vector leaves all unchanged.
  const results = names.map((name) => prepareAcceptance(controller, readVector(project, name), approval));
  if (isJson !== true) print(acceptanceTable(results));
  if (!dryRun) writeAcceptances(results);
  const json = { written: !dryRun, vectors: results.map(({ files: _, ...result }) => result) };
  return { text: writtenLine(results, dryRun), json, passed: true };
});
