import { ENUMS } from '../../../shared/records.js';
import { type JudgedRun, runHolds } from '../../simulate/judged-run.js';
import type { RunChoice } from '../../simulate/run.js';
import { colours } from '../form/colours.js';
import { counted, textTable } from '../form/text-table.js';
import { figuresText, spreadText } from './metrics-text.js';

/** Simulated time over the time that it took. */
const realTime = (runs: readonly JudgedRun[], seconds: number): string => {
  const simulatedS = runs.reduce((sum, { run, scenario }) => sum + run.ticks / scenario.tickHz, 0);
  return `${simulatedS.toFixed(1)} s simulated in ${seconds.toFixed(2)} s: ${(simulatedS / seconds).toFixed(1)} times real time\n`;
};

/** Who moved the oil. */
const mover = ({ actuation, parameters }: RunChoice): string =>
  actuation === 'latching' ? (ENUMS.Strategy[parameters.strategy ?? 1] ?? '') : `${actuation} (baseline, never ships)`;

/** One run in full. @param seconds that it took */
export function runText(one: JudgedRun, seconds: number): string {
  const { scenario, choice, run, verdicts } = one;
  const head = [`${scenario.title}`, `scenario ${scenario.name}, machine ${scenario.machine.name}, seed ${choice.seed}, ${mover(choice)}`];
  const trap = run.trap === undefined ? [] : [colours.red(`the controller stopped at tick ${run.trap.tick}: ${run.trap.message}`)];
  const end = [`run hash ${run.hash}; ${realTime([one], seconds)}`];
  return [...head, figuresText(run.figures, verdicts), ...trap, ...end].join('\n');
}

/** What a table of several runs shows of each. */
const BRIEF = ['loadRmsN', 'inBandPercent', 'liftOffPercent', 'pulsesPerMin', 'oilLpm'] as const;

/** What speaks against a run, as one phrase. */
function failure({ run, verdicts }: JudgedRun): string {
  if (run.trap !== undefined) return `stopped at tick ${run.trap.tick}`;
  const failed = verdicts.filter(({ holds }) => !holds);
  const [first] = failed;
  if (first === undefined) return '';
  return `${first.words}: ${first.found}${failed.length > 1 ? `, and ${failed.length - 1} more` : ''}`;
}

/** Several runs, a line each, by scenario or by seed. @param seconds that they took together */
export function runsTable(runs: readonly JudgedRun[], seconds: number, by: 'scenario' | 'seed' = 'scenario'): string {
  const columns = [
    { title: by },
    { title: 'rows', isNumber: true },
    ...BRIEF.map((name) => ({ title: name, isNumber: true })),
    { title: 'hash' },
    { title: '' },
    { title: '' },
  ];
  const lines = runs.map((one) => {
    const { scenario, run } = one;
    const figures = BRIEF.map((name) => {
      const { mean } = run.figures.over[name];
      return Number.isNaN(mean) ? '–' : mean.toPrecision(3);
    });
    const verdict = runHolds(one) ? colours.green('holds') : colours.red('FAILS');
    return [by === 'seed' ? String(one.choice.seed) : scenario.name, String(scenario.rows), ...figures, run.hash, verdict, failure(one)];
  });
  const failed = runs.filter((one) => !runHolds(one)).length;
  return `${textTable(columns, lines)}\n${counted(runs.length, by)}: ${runs.length - failed} hold, ${failed} fail; ${realTime(runs, seconds)}`;
}

/** Several seeds of one scenario: mean and spread of each figure, and a line each. @param seconds that they took together */
export function seedsText(runs: readonly JudgedRun[], seconds: number): string {
  const spread = spreadText(runs.map(({ run, choice }) => ({ seed: choice.seed, figures: run.figures })));
  return `${runs[0]?.scenario.title}\n\n${spread}\n${runsTable(runs, seconds, 'seed')}`;
}
