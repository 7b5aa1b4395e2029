import { parseDocument } from 'yaml';
import { InputError } from '../common/input-error.js';
import { readText } from '../common/read-file.js';
import { writeAllAtomic } from '../common/write-atomic.js';
import type { Contract } from '../contract/contract.js';
import { identifyRun, type RunIdentity } from '../contract/run-identity.js';
import { type Change, outputSignals, STATE_HASH } from '../replay/change.js';
import { ChangeComparer, type Comparison } from '../replay/compare-changes.js';
import { runRecording } from '../replay/replay.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { type Acceptance, ALL_SIGNALS, chainDigest } from './acceptance.js';
import { changedSignals, digestText, printExpected, readExpected } from './expected.js';
import { checkSignificant } from './replay-vector.js';
import { acceptanceProblem, type VectorCase } from './vector.js';

/** Who accepts outputs, why, and when (YYYY-MM-DD). */
export interface Approval {
  readonly by: string;
  /** Name and address that git was set up with. */
  readonly committer?: string | undefined;
  readonly reason: string;
  readonly date: string;
  /** Signals that may have changed; all if not given. */
  readonly signals?: readonly string[] | undefined;
}

/** What accepting a vector's outputs changes. */
export interface AcceptanceResult {
  readonly name: string;
  readonly ranWith: RunIdentity;
  /** With the outputs accepted before; undefined for the first acceptance. */
  readonly comparison: Comparison | undefined;
  /** Undefined if there is nothing to accept: the outputs are as accepted. */
  readonly acceptance: Acceptance | undefined;
  /** Files to write: expected.csv and case.yaml; expected.csv alone if only that was damaged; or none. */
  readonly files: readonly (readonly [target: string, text: string])[];
}

/** Compares with the outputs accepted before; undefined if there are no valid ones. */
function compareWithAccepted(
  vector: VectorCase,
  controller: Controller,
  changes: readonly Change[],
  ticks: number,
): Comparison | undefined {
  if (acceptanceProblem(vector) !== undefined) return undefined;
  const signals = outputSignals(controller.description.contract);
  const comparer = new ChangeComparer(readExpected(vector.expectedFile, vector.rows, signals), signals);
  for (const change of changes) comparer.push(change);
  return comparer.finish(ticks).comparison;
}

/** Returns case.yaml with one more acceptance; everything else in it is unchanged, comments too. */
function withAcceptance(caseFile: string, acceptance: Acceptance): string {
  const document = parseDocument(readText(caseFile, 'yaml'));
  if (document.has('acceptances')) document.addIn(['acceptances'], document.createNode(acceptance));
  else document.set('acceptances', document.createNode([acceptance]));
  return document.toString({ lineWidth: 110 });
}

/**
 * Runs a vector and determines what accepting its outputs would change; nothing is written before `writeAcceptances`.
 * @throws InputError if the vector is invalid, exercises nothing, or ends in a trap
 */
export function prepareAcceptance(controller: Controller, vector: VectorCase, approval: Approval): AcceptanceResult {
  checkKnown(vector, approval, controller.description.contract);
  const changes: Change[] = [];
  const runner = createWasmRunner(controller, vector.rows, vector.values);
  const run = runRecording(runner, vector.inputFile, vector.tickHz, (change) => void changes.push(change));
  if (run.trap !== undefined) {
    const problem = `the controller stopped at tick ${run.trap.tick} (${run.trap.message}), before the end of the recording`;
    throw new InputError({ file: vector.caseFile, problem });
  }
  checkSignificant(vector, run);
  const { name } = vector;
  const ranWith = identifyRun(controller.description.contract, vector.values);
  const comparison = compareWithAccepted(vector, controller, changes, run.ticks);
  if (comparison?.differences === 0) return { name, ranWith, comparison, acceptance: undefined, files: [] };

  const text = printExpected(changes);
  const { hash, digests } = digestText(text);
  const last = vector.acceptances?.at(-1);
  const covered = last?.digests === undefined ? undefined : changedSignals(last.digests, digests);
  const isRestored = covered?.length === 0 && last?.hash === hash;
  if (isRestored) return { name, ranWith, comparison, acceptance: undefined, files: [[vector.expectedFile, text]] };
  checkNamed(vector, approval, covered, Object.keys(digests));
  const { date, by, committer, reason } = approval;
  const signer = committer === undefined ? { by } : { by, committer };
  const chain = last === undefined ? {} : { previous: chainDigest(last) };
  const acceptance = { date, ...signer, reason, signals: covered ?? [ALL_SIGNALS], ...chain, hash, digests };
  const files = [
    [vector.expectedFile, text],
    [vector.caseFile, withAcceptance(vector.caseFile, acceptance)],
  ] as const;
  return { name, ranWith, comparison, acceptance, files };
}

/** @throws InputError if a named signal is no output, even if nothing has changed */
function checkKnown({ caseFile: file }: VectorCase, { signals = [] }: Approval, contract: Contract): void {
  const { bank, summary, row } = outputSignals(contract);
  const allowed = [...new Set([...bank, ...summary, ...row].map(({ name }) => name)), STATE_HASH];
  const value = signals.find((name) => !allowed.includes(name));
  if (value === undefined) return;
  throw new InputError({ file, problem: `--signals names ${value}, which is not an output of the vector`, value, allowed });
}

/**
 * Checks that the named signals have changed and no others. The state hash may change with any of them.
 * @throws InputError if another signal has changed, or a named one has not
 */
function checkNamed(
  vector: VectorCase,
  { signals: named }: Approval,
  covered: readonly string[] | undefined,
  known: readonly string[],
): void {
  if (named === undefined) return;
  const file = vector.caseFile;
  const changed = covered ?? known;
  for (const value of named) {
    if (changed.includes(value)) continue;
    const hint = `Changed signals: ${changed.join(', ')}`;
    throw new InputError({ file, problem: `--signals names ${value}, which has not changed`, value, hint });
  }
  const others = changed.filter((name) => !named.includes(name) && name !== STATE_HASH);
  if (others.length === 0) return;
  const problem = `${others.join(', ')} changed too, but --signals does not name ${others.length > 1 ? 'them' : 'it'}`;
  throw new InputError({
    file,
    problem,
    value: others.join(', '),
    hint: `Check that this is intended; if so, pass --signals ${changed.join(',')}`,
  });
}

/** Writes what was prepared, either all of it or nothing. @throws InputError if a file can't be written */
export const writeAcceptances = (results: readonly AcceptanceResult[]): void => writeAllAtomic(results.flatMap(({ files }) => files));
