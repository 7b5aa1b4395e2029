import { statSync } from 'node:fs';
import { assessRecording } from '../../assess/assess-recording.js';
import { unmetRequirements } from '../../assess/requirements.js';
import { firstTickOf, lastTickOf, type Moment } from '../../common/moment.js';
import { describeContract } from '../../contract/contract.js';
import { identifyRun } from '../../contract/run-identity.js';
import { startDate } from '../../recording/format.js';
import { openRecording, type Recording } from '../../recording/reader.js';
import type { Change } from '../../replay/change.js';
import { compareWithLog, type LogComparison } from '../../replay/log-orders.js';
import type { Mark } from '../../replay/marks.js';
import type { Part, Series } from '../../replay/series.js';
import { type View, type ViewListener, type ViewOptions, viewRecording, viewReplay, withMarks } from '../../replay/view.js';
import { madeByLines } from '../../report/form/run-identity.js';
import type { System } from '../../report/form/units.js';
import { requirementWords } from '../../report/simulation/metrics-text.js';
import { describeRecording, describeVector } from '../../report/vector/vector-text.js';
import { identifyBuild } from '../../review/builds.js';
import { readPlan } from '../../simulate/recorded-plan.js';
import { ALL_MESSAGES } from '../../simulate/run.js';
import { readVector } from '../../vector/vector.js';
import type { Job } from '../context.js';
import { currentController } from './binaries.js';

/** Signals that are shown of a recording without probes. */
const INPUT_SIGNALS: readonly string[] = ['targetLoadN', 'loadCounts', 'pressureCounts', 'railCounts', 'supplyMv', 'groundSpeedMmPerS'];

/** A vector or a recording whose signals can be shown. */
export interface Source {
  /** Files that it is read from. */
  readonly files: readonly string[];
  /** Description for people, and for machines. */
  readonly text: string;
  readonly json: object;
  /** What makes the signals that are shown: this run of the controller, or what a recording says about itself. */
  readonly made: { readonly text: string; readonly json: object };
  /** Signals that text shows by default, if not those of a plot. */
  readonly defaultSignals?: readonly string[] | undefined;
  readonly tickHz: number;
  view(options: ViewOptions, listener?: ViewListener): View;
  /** Of a vector from a log with orders: the strokes of its controller beside those of ours in a part of the run. */
  compareWithLog?(ours: readonly Change[], part: Part): LogComparison | undefined;
}

/** Ends of a part as they were written. */
export interface WrittenPart {
  readonly from?: Moment;
  readonly to?: Moment;
}

/** The first and the last tick of a part. */
export const ticksOf = ({ from, to }: WrittenPart, tickHz: number): { fromTick: number | undefined; toTick: number | undefined } => ({
  fromTick: from === undefined ? undefined : firstTickOf(from, tickHz),
  toTick: to === undefined ? undefined : lastTickOf(to, tickHz),
});

async function openVector(job: Job, name: string, units: System): Promise<Source> {
  const one = readVector(job.project, name);
  const build = await currentController(job);
  const { controller } = build;
  const json = { controller: identifyBuild(build), ranWith: identifyRun(controller.description.contract, one.values) };
  const text = madeByLines([json], json.controller);
  const recording = openRecording(one.inputFile);
  const marks = planMarks(recording, recording.counts.input ?? 0, units);
  return {
    files: [one.caseFile, one.inputFile, one.expectedFile],
    text: `${describeVector(one)}${text.replace(/^/gm, '  ').trimEnd()}\n`,
    json: { ...json, ...one },
    made: { text, json },
    tickHz: one.tickHz,
    view: (options, listener) => withMarks(viewReplay(controller, one, options, listener), marks),
    compareWithLog: (ours, part) => compareWithLog(one.inputFile, controller.description.contract, ours, part),
  };
}

function openFile(file: string, units: System): Source {
  const recording = openRecording(file);
  const marks = planMarks(recording, recording.counts.input ?? 0, units);
  const { rows, tickHz, startNs, contractHash, about, counts, channels } = recording;
  return {
    files: [file],
    text: describeRecording(recording),
    made: { text: '', json: { about } },
    json: { file, rows, tickHz, startTime: startDate(startNs) ?? null, contractHash, about, counts },
    tickHz,
    defaultSignals: channels.every(({ message }) => message === 'input' || message === 'orders') ? INPUT_SIGNALS : undefined,
    view: (options, listener) => withMarks(viewRecording(file, options, listener), marks),
  };
}

/** What happens in a scenario's recording, and which of its requirements its run does not meet. */
function planMarks({ file, plan, rows, tickHz, counts }: Recording, ticks: number, units: System): Mark[] {
  if (plan === undefined) return [];
  const { events, requirements } = readPlan(plan, file, { rows, seconds: ticks / tickHz });
  const marks = events.flatMap(({ what, rows: ofEvent, fromTick, untilTick }) =>
    ofEvent.map((row): Mark => ({ kind: 'event', row, fromTick, untilTick, text: what })),
  );
  const isWhole = ALL_MESSAGES.every((message) => counts[message] === ticks);
  if (!isWhole || requirements.length === 0) return marks;
  const unmet = unmetRequirements(assessRecording(file, describeContract()), requirements).map(({ result, row, fromS, toS }): Mark => {
    const { requirement, measured } = requirementWords(result, units);
    const place = { row, fromTick: Math.floor(fromS * tickHz), untilTick: Math.ceil(toS * tickHz) };
    return { kind: 'requirement', ...place, text: `not met: ${requirement}; ${measured}` };
  });
  return [...marks, ...unmet];
}

/** Opens a recording (a file), or a vector by name or folder, which is run through the controller. @throws InputError */
export async function openSource(job: Job, nameOrFile: string, units: System): Promise<Source> {
  // What is neither file nor folder is refused as a recording that cannot be read.
  const isRecording = nameOrFile.endsWith('.mcap') || statSync(nameOrFile, { throwIfNoEntry: false })?.isDirectory() === false;
  return isRecording ? openFile(nameOrFile, units) : openVector(job, nameOrFile, units);
}

/** Returns the signals of each pane, from flags with one pane each. */
export const panesOf = (signals: readonly string[] | undefined): string[][] | undefined =>
  signals?.map((pane) => pane.split(',').map((name) => name.trim()));

/** Returns a series as numbers, in the unit that its name ends in; null where there is no value. */
export function seriesJson({ signal: { name, message, row, unit }, min, max, mean }: Series): object {
  return { name, message, row, unit, min: [...min], max: [...max], mean: [...mean] };
}
