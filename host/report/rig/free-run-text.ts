import type { BuildIdentity } from '../../contract/run-identity.js';
import type { FreeRunResult, RigVerdict } from '../../rig/free-run.js';
import type { FreeReplay } from '../../rig/replay-freely.js';
import { colours } from '../form/colours.js';
import { madeByLines } from '../form/run-identity.js';
import { counted, grouped, textTable } from '../form/text-table.js';
import { paintVerdict } from '../form/verdict.js';
import { clockText, linkTable, ms, qualityTable } from './link-text.js';

/** A free run of a vector on a board. */
export interface BoardFreeReplay extends FreeReplay {
  readonly board: string;
  /** Counted from 1, of repeated runs. */
  readonly run: number;
}

export const paintRigVerdict = (verdict: RigVerdict): string =>
  verdict === 'notJudged' ? colours.yellow('not judged') : paintVerdict(verdict, verdict === 'same' ? 'explained' : undefined);

/** Why a run is not explained, as one phrase; empty if it is. */
export function reasonText({ explanation: { divergence }, reasons }: FreeRunResult): string {
  if (divergence === undefined) return reasons.join('; ');
  const { tick, row, signal, wasm, chip } = divergence;
  return `step ${tick}${row === 0 ? '' : ` row ${row}`} ${signal}: ${wasm} → ${chip}`;
}

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });

/** What happened besides the steps: what the board and the link reported. */
function eventLines({ events, linkEvents }: FreeRunResult): string[] {
  const words = linkEvents.map((event) =>
    event.kind === 'back'
      ? `the link was back after ${ms(event.goneMs)} ms`
      : `the board ${event.kind === 'gone' ? 'was silent' : 'restarted'}: ${event.reason}`,
  );
  const ended = events
    .filter(({ what }) => what !== 'run started')
    .map(({ what, step, end }) => `step ${step}: ${what}${end === undefined ? '' : ` (${end})`}`);
  return [...words, ...ended];
}

/** How well a run is explained, and what the link did to its timing. */
function detail(result: BoardFreeReplay): string {
  const { explanation, quality, counters, clock, firstStep, coilEdges, ticks } = result;
  const lines = [
    `inputs of ${counted(ticks, 'tick')} from step ${firstStep} on; ${counted(coilEdges, 'coil edge')} reported`,
    `explained: ${counted(explanation.steps, 'step')} bit for bit and ${counted(explanation.hashes, 'state hash').replace('hashs', 'hashes')}; reports of ${counted(explanation.lost, 'step')} lost`,
    `${grouped(quality.held)} of ${counted(quality.steps, 'step')} held older inputs, at most ${ms(quality.holdMsMax)} ms; ${counted(quality.skipped, 'timer tick')} skipped; ${grouped(quality.sentLate)} inputs sent late by this computer`,
    ...(counters === undefined
      ? []
      : [
          `the board counted: ${grouped(counters.late)} inputs late, ${grouped(counters.held)} steps held, ${grouped(counters.early)} inputs too early, ${grouped(counters.overruns)} overruns`,
        ]),
    clockText(clock),
    ...eventLines(result),
  ];
  return [qualityTable(quality), ...lines.filter((line) => line !== ''), ''].join('\n');
}

/** Runs that did not all end the same way: they are shown, never repeated silently. */
function flakyLines(results: readonly BoardFreeReplay[]): string[] {
  const nameOf = ({ board, name }: BoardFreeReplay): string => `${board}, ${name}`;
  return [...new Set(results.map(nameOf))].flatMap((name) => {
    const runs = results.filter((one) => nameOf(one) === name);
    const good = runs.filter(({ verdict }) => verdict === 'same').length;
    return good === runs.length || good === 0 ? [] : [colours.yellow(`${name}: flaky, ${good} of ${runs.length} runs explained`)];
  });
}

/** Free runs, one per line; a single one in detail. */
export function freeRunsText(results: readonly BoardFreeReplay[], build: BuildIdentity): string {
  const columns = [
    { title: 'board' },
    { title: 'vector' },
    number('run'),
    number('steps explained'),
    number('held'),
    number('lost'),
    number('inputs, ms'),
    number('reports, ms'),
    { title: 'verdict' },
    { title: 'why' },
  ];
  const rows = results.map((one) => [
    one.board,
    one.name,
    String(one.run),
    grouped(one.explanation.steps),
    grouped(one.quality.held),
    grouped(one.quality.lost),
    `${ms(one.quality.inputMs.p50)} / ${ms(one.quality.inputMs.p99)}`,
    `${ms(one.quality.reportMs.p50)} / ${ms(one.quality.reportMs.p99)}`,
    paintRigVerdict(one.verdict),
    reasonText(one),
  ]);
  const [only, second] = results;
  const details = only !== undefined && second === undefined ? `\n${detail(only)}` : '';
  const links = linkTable(results.map(({ board, run, link }) => ({ name: results.length > 1 ? `${board}, run ${run}` : board, link })));
  const good = results.filter(({ verdict }) => verdict === 'same').length;
  const end = `${counted(results.length, 'free run')}: ${good} explained, ${results.length - good} not\n`;
  const flaky = flakyLines(results).map((line) => `${line}\n`);
  return `${textTable(columns, rows)}Times: median / 99 %.\n${details}\n${links}\n${flaky.join('')}${madeByLines(results, build)}${end}`;
}
