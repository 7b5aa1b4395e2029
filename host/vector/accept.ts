import { readFileSync } from 'node:fs';
import { parseDocument } from 'yaml';
import { InputError } from '../common/input-error.js';
import { writeAllAtomic } from '../common/write-atomic.js';
import { type Change, outputSignals, STATE_HASH } from '../replay/change.js';
import { Comparer, type Comparison } from '../replay/compare.js';
import { runRecording } from '../replay/replay.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { type Acceptance, ALL_SIGNALS, acceptanceTrouble, type VectorCase } from './case.js';
import { changedSignals, digestText, printExpected, readExpected } from './expected.js';
import { checkTelling } from './replay-case.js';

/** Who accepts outputs, why, and on which day (YYYY-MM-DD). */
export interface Approval {
  readonly by: string;
  readonly reason: string;
  readonly date: string;
  /** Signals that may have changed; any if not given. */
  readonly signals?: readonly string[] | undefined;
}

/** What accepting a case means. */
export interface AcceptanceResult {
  readonly name: string;
  /** Against what was accepted before; undefined for the first acceptance. */
  readonly comparison: Comparison | undefined;
  /** undefined when there is nothing to accept: the outputs are as accepted. */
  readonly acceptance: Acceptance | undefined;
  /** What is to be written: expected.csv and case.yaml; expected.csv alone where only it was damaged; or nothing. */
  readonly files: readonly (readonly [target: string, text: string])[];
}

/** Against what was accepted before; undefined where there is nothing sound to compare with. */
function compareWith(one: VectorCase, controller: Controller, changes: readonly Change[]): Comparison | undefined {
  if (acceptanceTrouble(one) !== undefined) return undefined;
  const signals = outputSignals(controller.description.contract);
  const comparer = new Comparer(readExpected(one.expectedFile, one.rows, signals), signals);
  for (const change of changes) comparer.push(change);
  return comparer.finish();
}

/** case.yaml with one more acceptance; everything else in it stays as a person wrote it, comments too. */
function withAcceptance(caseFile: string, acceptance: Acceptance): string {
  const document = parseDocument(readFileSync(caseFile, 'utf8'));
  if (document.has('acceptances')) document.addIn(['acceptances'], document.createNode(acceptance));
  else document.set('acceptances', document.createNode([acceptance]));
  return document.toString({ lineWidth: 110 });
}

/**
 * Runs a case and works out what accepting its outputs would mean; nothing is written before writeAcceptances().
 * @throws InputError when the case is not in order, proves nothing, or ends in a trap
 */
export function prepareAcceptance(controller: Controller, one: VectorCase, approval: Approval): AcceptanceResult {
  const changes: Change[] = [];
  const target = createWasmRunner(controller, one.rows, one.values);
  const run = runRecording(target, one.inputFile, one.tickHz, (change) => void changes.push(change));
  if (run.trap !== undefined) {
    const what = `controller that stopped at tick ${run.trap.tick} (${run.trap.message})`;
    throw new InputError({ file: one.caseFile, what, allowed: 'outputs to the end of the recording' });
  }
  checkTelling(one, run);
  const comparison = compareWith(one, controller, changes);
  if (comparison?.differences === 0) return { name: one.name, comparison, acceptance: undefined, files: [] };

  const text = printExpected(changes);
  const { hash, digests } = digestText(text);
  const last = one.acceptances?.at(-1);
  const covered = last?.digests === undefined ? undefined : changedSignals(last.digests, digests);
  const isRestored = covered?.length === 0 && last?.hash === hash;
  if (isRestored) return { name: one.name, comparison, acceptance: undefined, files: [[one.expectedFile, text]] };
  checkNamed(one, approval, covered, Object.keys(digests));
  const { date, by, reason } = approval;
  const acceptance = { date, by, reason, signals: covered ?? [ALL_SIGNALS], hash, digests };
  const files = [
    [one.expectedFile, text],
    [one.caseFile, withAcceptance(one.caseFile, acceptance)],
  ] as const;
  return { name: one.name, comparison, acceptance, files };
}

/**
 * Whoever names signals accepts these and no others. The state hash follows whatever changes.
 * @throws InputError when another signal has changed, or one that was named has not
 */
function checkNamed(one: VectorCase, { signals: named }: Approval, covered: readonly string[] | undefined, known: readonly string[]): void {
  if (named === undefined) return;
  const wrong = (what: string, value: string, allowed: string | readonly string[]): InputError =>
    new InputError({ file: one.caseFile, what, value, allowed });
  const changed = covered ?? known;
  for (const name of named) {
    if (!known.includes(name)) throw wrong('--signals', name, known);
    if (!changed.includes(name)) throw wrong('signal that has not changed', name, changed);
  }
  const others = changed.filter((name) => !named.includes(name) && name !== STATE_HASH);
  if (others.length > 0)
    throw wrong(
      'changed signals that --signals does not name',
      others.join(', '),
      `--signals ${changed.join(',')}, or a change that moves only ${named.join(', ')}`,
    );
}

/** Writes what was prepared, all of it or nothing. @throws InputError when a file can't be written */
export const writeAcceptances = (results: readonly AcceptanceResult[]): void => writeAllAtomic(results.flatMap(({ files }) => files));
