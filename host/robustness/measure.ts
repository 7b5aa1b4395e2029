import { FAULTS, type Reaction } from '../../shared/faults.js';
import type { FaultSpan, Metrics, RowMetricName } from '../assess/metrics.js';
import { runPool } from '../common/pool.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { type Case, SINGLE_MAX } from './case.js';
import type { PlannedCase } from './plan.js';
import type { Violation } from './safety-watch.js';
import type { WatchedRun, WatchedTask } from './worker.js';

const S_PER_H = 3600;

/** Metrics that cases are compared by: means over the seeds and the rows that are judged. */
const COMPARED = ['loadRmsN', 'pulsesPerMin', 'oilLpm', 'shallow5Percent'] as const satisfies RowMetricName[];
export type Compared = (typeof COMPARED)[number];

/** The highest of lowerings over all rows and seeds; NaN where the frame is not lowered. */
export interface Lowering {
  readonly peakN: number;
  readonly maxKpa: number;
  readonly seconds: number;
}

/** What was measured in a case. */
export interface CaseResult {
  readonly of: Case;
  readonly means: Readonly<Record<Compared, number>>;
  /** Load RMS error of the *perfect* actuation on the same machines and fields. */
  readonly perfectRmsN: number;
  /** The means over those of the nominal case on the same seeds. */
  readonly ratios: Readonly<Record<Compared, number>>;
  /** Load RMS error over that of the *perfect* actuation. */
  readonly toPerfect: number;
  /**
   * What the controller adds to the error of the *perfect* actuation, √(RMS² − perfect RMS²), over the same of the nominal case.
   * The two parts are taken as uncorrelated. A harder field raises both, so it is not held against the controller.
   */
  readonly addedRatio: number;
  /** `addedRatio` where machine or field make it harder for any actuation, else the ratio of the load RMS errors. */
  readonly judged: number;
  readonly wanted: number;
  /** Design checks that the machine fails for the job of the case; see `failedChecks`. */
  readonly undersized: readonly string[];
  /** Faults that the case gives no reason for, per hour and row. */
  readonly falseAlarmsPerH: number;
  /** Rows without a broken part that end in a fault which stops them, per hour and row. */
  readonly rowsLostPerH: number;
  /** Names of the false alarms, with their number. */
  readonly falseAlarms: Readonly<Record<string, number>>;
  readonly lowering: Lowering;
  /** With the seed that shows them. */
  readonly violations: readonly (Violation & { readonly seed: number })[];
}

/** All runs of a case. */
export interface CaseRuns {
  readonly planned: PlannedCase;
  readonly runs: readonly WatchedRun[];
  readonly perfect: readonly WatchedRun[];
}

/** Reactions that stop the control of a row. */
const STOPPING: readonly Reaction[] = ['freeze', 'hold', 'close', 'inhibit'];
const stops = ({ name, scope }: FaultSpan): boolean =>
  FAULTS.some((fault) => fault.name === name && fault.scope === scope && STOPPING.includes(fault.reaction));

const isBroken = ({ broken = 'none' }: Case, row: number): boolean => broken === 'all' || (broken !== 'none' && broken.includes(row));

/** Whether the controller may report a fault: the case injects its cause in that row, or in the bank. */
function isExpected(one: Case, { name, row }: FaultSpan): boolean {
  const isInRow = row === 0 || one.broken === undefined || isBroken(one, row);
  return isInRow && (one.expected ?? []).includes(name);
}

const meanOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

/** Rows that are judged: the sound ones, or all if all have the same broken part. */
const judgedRows = ({ of, rows }: PlannedCase): number[] =>
  Array.from({ length: rows }, (_, row) => row).filter((row) => of.broken === 'all' || !isBroken(of, row + 1));

const meanMetric = (runs: readonly WatchedRun[], rows: readonly number[], name: RowMetricName): number =>
  meanOf(runs.flatMap(({ run }) => rows.map((row) => run.metrics.byRow[name][row] ?? Number.NaN)));

const highest = (runs: readonly WatchedRun[], name: RowMetricName): number =>
  Math.max(...runs.map(({ run }) => run.metrics.over[name].max));

function falseAlarmsOf({ planned: { of }, runs }: CaseRuns): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const { run } of runs)
    for (const span of run.metrics.faults) if (!isExpected(of, span)) counts[span.name] = (counts[span.name] ?? 0) + 1;
  return counts;
}

/** Number of sound rows in which a fault is set at the end that stops their control, or all of them where the bank has one. */
function rowsLost({ of, rows }: PlannedCase, { faults }: Metrics): number {
  const stopping = faults.filter((span) => span.isSetAtEnd && stops(span) && !(span.row === 0 && isExpected(of, span)));
  const sound = Array.from({ length: rows }, (_, index) => index + 1).filter((row) => !isBroken(of, row));
  return sound.filter((row) => stopping.some((span) => span.row === 0 || span.row === row)).length;
}

const added = (rmsN: number, perfectN: number): number => Math.sqrt(Math.max(0, rmsN * rmsN - perfectN * perfectN));

/** Compares the runs of a case with those of the nominal one. */
export function compareCase(all: CaseRuns, nominal: CaseRuns): CaseResult {
  const { planned, runs, perfect } = all;
  const { of, rows } = planned;
  const judged = judgedRows(planned);
  const means = Object.fromEntries(COMPARED.map((name) => [name, meanMetric(runs, judged, name)])) as Record<Compared, number>;
  const same = judged.filter((row) => row < nominal.planned.rows);
  const base = Object.fromEntries(COMPARED.map((name) => [name, meanMetric(nominal.runs, same, name)])) as Record<Compared, number>;
  const ratios = Object.fromEntries(COMPARED.map((name) => [name, means[name] / base[name]])) as Record<Compared, number>;
  const perfectRmsN = meanMetric(perfect, judged, 'loadRmsN');
  const addedRatio = added(means.loadRmsN, perfectRmsN) / added(base.loadRmsN, meanMetric(nominal.perfect, same, 'loadRmsN'));
  const isHarder = planned.mechanics !== nominal.planned.mechanics;
  const hours = (meanOf(runs.map(({ run }) => run.metrics.seconds)) * runs.length * rows) / S_PER_H;
  const falseAlarms = falseAlarmsOf(all);
  const lost = runs.reduce((sum, { run }) => sum + rowsLost(planned, run.metrics), 0);
  return {
    of,
    means,
    perfectRmsN,
    ratios,
    toPerfect: means.loadRmsN / perfectRmsN,
    addedRatio,
    judged: isHarder ? addedRatio : ratios.loadRmsN,
    wanted: of.wanted ?? SINGLE_MAX,
    undersized: planned.undersized,
    falseAlarmsPerH: Object.values(falseAlarms).reduce((sum, count) => sum + count, 0) / hours,
    rowsLostPerH: lost / hours,
    falseAlarms,
    lowering: { peakN: highest(runs, 'loweringPeakN'), maxKpa: highest(runs, 'loweringMaxKpa'), seconds: highest(runs, 'loweringS') },
    violations: runs.flatMap(({ violations }, index) =>
      violations
        .filter(({ kind, row }) => kind !== 'valve' || !isBroken(of, row))
        .map((one) => ({ ...one, seed: planned.seeds[index] ?? 0 })),
    ),
  };
}

/**
 * Runs every case with every seed, and the *perfect* actuation on its machine and field, in a pool of workers.
 * @param planned the nominal case first
 * @param onDone called with the number of runs that are done, and of all
 * @returns results in the order of the cases
 */
export async function measureCases(
  binaries: Binaries,
  planned: readonly PlannedCase[],
  onDone: (done: number, all: number) => void,
): Promise<CaseResult[]> {
  const tasksOf = ({ scenario, machine, seeds }: PlannedCase, actuation: WatchedTask['actuation']): WatchedTask[] =>
    seeds.map((seed) => ({ scenario, machine, seed, actuation }));
  const different = planned.filter((one, index) => planned.findIndex(({ mechanics }) => mechanics === one.mechanics) === index);
  const groups = [
    ...planned.map((one) => ({ key: one as unknown, tasks: tasksOf(one, 'latching') })),
    ...different.map((one) => ({ key: one.mechanics as unknown, tasks: tasksOf(one, 'perfect') })),
  ];
  const tasks = groups.flatMap((group) => group.tasks);
  const runs = await runPool<WatchedTask, WatchedRun>(new URL('./worker.js', import.meta.url), binaries, tasks, (done) =>
    onDone(done, tasks.length),
  );
  const byTask = new Map(tasks.map((task, index) => [task, runs[index] as WatchedRun]));
  const byKey = new Map(groups.map(({ key, tasks: own }) => [key, own.map((task) => byTask.get(task) as WatchedRun)]));
  const all = planned.map((one): CaseRuns => ({ planned: one, runs: byKey.get(one) ?? [], perfect: byKey.get(one.mechanics) ?? [] }));
  const [nominal] = all;
  return nominal === undefined ? [] : all.map((one) => compareCase(one, nominal));
}
