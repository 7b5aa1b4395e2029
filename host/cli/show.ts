import { buildCommand } from '@stricli/core';
import type { Change } from '../replay/change.js';
import type { Series } from '../replay/series.js';
import type { Listener, Look, View } from '../replay/show.js';
import { answer, type Context, jsonFlag, text, wholeNumber } from './answer.js';

interface Flags {
  readonly row: number;
  readonly signal?: readonly string[];
  readonly json?: boolean;
}

/** Values that a series has in text. */
const TEXT_STRETCHES = 64;
/** What is shown of a recording without probes. */
const INPUT_SIGNALS: readonly string[] = ['targetLoadN', 'loadCounts', 'pressureCounts', 'railCounts', 'supplyMv', 'groundSpeedMmPerS'];

/** What can be looked at, the files that it is read from, and what is to be said of it first. */
interface Opened {
  readonly files: readonly string[];
  readonly text: string;
  readonly json: object;
  /** What text shows where nobody says, if not what a picture does. */
  readonly usual?: readonly string[] | undefined;
  view(look: Look, listener?: Listener): View;
}

async function openCase(name: string): Promise<Opened> {
  const [{ readCase }, { describeCase }, { viewPass }, { loadController }] = await Promise.all([
    import('../vector/case.js'),
    import('../report/vector/case-text.js'),
    import('../replay/show.js'),
    import('../runner/wasm-runner.js'),
  ]);
  const one = readCase(name);
  const files = [one.caseFile, one.inputFile, one.expectedFile];
  const view: Opened['view'] = (look, listener) => viewPass(loadController(), one, look, listener);
  return { files, text: describeCase(one), json: one, view };
}

async function openFile(file: string): Promise<Opened> {
  const [{ openRecording }, { describeRecording }, { viewRecording }] = await Promise.all([
    import('../recording/reader.js'),
    import('../report/vector/case-text.js'),
    import('../replay/show.js'),
  ]);
  const recording = openRecording(file);
  const { rows, tickHz, contractHash, about, counts, channels } = recording;
  const json = { file, rows, tickHz, contractHash, about, counts };
  const isInputsOnly = channels.every(({ message }) => message === 'input');
  const view: Opened['view'] = (look, listener) => viewRecording(file, look, listener);
  return { files: [file], text: describeRecording(recording), json, usual: isInputsOnly ? INPUT_SIGNALS : undefined, view };
}

/** A recording (a file) as it is, or a vector, by name or folder, on its way through the controller. @throws InputError */
export async function openShown(what: string): Promise<Opened> {
  const { statSync } = await import('node:fs');
  const isRecording = statSync(what, { throwIfNoEntry: false })?.isFile() === true || what.endsWith('.mcap');
  return isRecording ? openFile(what) : openCase(what);
}

/** Panes as the signals' flags say them: one each, with commas between its signals. */
export const panesOf = (signals: readonly string[] | undefined): string[][] | undefined =>
  signals?.map((pane) => pane.split(',').map((name) => name.trim()));

/** A series as numbers, in the unit that its name ends in; null where there is none. */
export function seriesJson({ signal: { name, message, row, unit }, least, most, mean }: Series): object {
  return { name, message, row, unit, least: [...least], most: [...most], mean: [...mean] };
}

async function show(this: Context, flags: Flags, what: string): Promise<void> {
  await answer(this, flags, async () => {
    const [opened, { viewText }] = await Promise.all([openShown(what), import('../report/vector/view-text.js')]);
    const { row, signal } = flags;
    const changes: Change[] = [];
    const panes = panesOf(signal ?? opened.usual);
    const view = opened.view({ row, panes, stretches: TEXT_STRETCHES }, { change: (one) => void changes.push(one) });
    const series = view.panes.flat().map(seriesJson);
    const json = { ...opened.json, row, ticks: view.part.ticks, series, changes, trap: view.trap };
    return { text: `${opened.text}${viewText(view, row, changes)}`, json, holds: view.trap === undefined };
  });
}

export const showCommand = buildCommand({
  docs: {
    brief: 'Show what is in a vector or a recording, with small plots',
    fullDescription:
      'A vector is run through the controller, so that inputs, outputs and every in-between value can be shown by name; a recording ' +
      '(a file) is shown as it is. Names of signals stand in host/contract/generated/contract.md; plot makes a picture of them.',
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: 'Vector by name or folder, or a recording', parse: text, placeholder: 'case|recording' }],
    },
    flags: {
      row: { kind: 'parsed', parse: wholeNumber, brief: 'Row to show', default: '1', placeholder: 'number' },
      signal: {
        kind: 'parsed',
        parse: text,
        brief: 'Signal to show; may be given several times',
        variadic: true,
        optional: true,
        placeholder: 'name',
      },
      json: jsonFlag,
    },
  },
  func: show,
});
