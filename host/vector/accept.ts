import { readFileSync } from 'node:fs';
import { parseDocument } from 'yaml';
import { writeAside } from '../files/write-aside.js';
import { type Change, outputSignals } from '../replay/change.js';
import { Comparer, type Comparison } from '../replay/compare.js';
import { checkTelling, runRecording } from '../replay/replay.js';
import { type Controller, createWasmTarget } from '../target/wasm.js';
import { type Acceptance, checkAccepted, type VectorCase } from './case.js';
import { acceptedHash, printExpected, readExpected } from './expected.js';

/** Who accepts outputs, why, and on which day (YYYY-MM-DD). */
export interface Approval {
  readonly by: string;
  readonly reason: string;
  readonly date: string;
}

/** What accepting a case means. */
export interface AcceptanceResult {
  readonly name: string;
  /** Against what was accepted before; undefined for the first acceptance. */
  readonly comparison: Comparison | undefined;
  /** undefined when there is nothing to accept: the outputs are as accepted. */
  readonly acceptance: Acceptance | undefined;
  /** Writes expected.csv and the acceptance; harmless when there is nothing to accept. */
  commit(): void;
}

function compareWith(one: VectorCase, controller: Controller, changes: readonly Change[]): Comparison | undefined {
  if (one.acceptances === undefined || one.acceptances.length === 0) return undefined;
  checkAccepted(one);
  const signals = outputSignals(controller.description.contract);
  const comparer = new Comparer(readExpected(one.expectedFile, one.rows, signals), signals);
  for (const change of changes) comparer.push(change);
  return comparer.finish();
}

/** Adds an acceptance to case.yaml and leaves everything else in it as a person wrote it, comments too. */
function appendAcceptance(caseFile: string, acceptance: Acceptance): void {
  const document = parseDocument(readFileSync(caseFile, 'utf8'));
  if (document.has('acceptances')) document.addIn(['acceptances'], document.createNode(acceptance));
  else document.set('acceptances', document.createNode([acceptance]));
  writeAside(caseFile, document.toString({ lineWidth: 110 }));
}

/**
 * Runs a case and works out what accepting its outputs would mean; nothing is written before `commit()`.
 * @throws InputError when the case is not in order or proves nothing
 * @throws Error when the controller traps: what ends in a trap can't be accepted
 */
export function prepareAcceptance(controller: Controller, one: VectorCase, approval: Approval): AcceptanceResult {
  const changes: Change[] = [];
  const target = createWasmTarget(controller, one.rows, one.values);
  const run = runRecording(target, one.inputFile, one.tickHz, (change) => void changes.push(change));
  if (run.trap !== undefined) throw new Error(`${one.name}: the controller stopped at tick ${run.trap.tick}: ${run.trap.message}`);
  checkTelling(one, run);
  const comparison = compareWith(one, controller, changes);
  if (comparison?.differences === 0) return { name: one.name, comparison, acceptance: undefined, commit: () => {} };

  const text = printExpected(changes);
  const signals = comparison === undefined ? ['all'] : Object.keys(comparison.signals).sort();
  const acceptance = { date: approval.date, by: approval.by, reason: approval.reason, signals, hash: acceptedHash(text) };
  const commit = (): void => {
    writeAside(one.expectedFile, text);
    appendAcceptance(one.caseFile, acceptance);
  };
  return { name: one.name, comparison, acceptance, commit };
}
