import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, text, wholeNumber } from './answer.js';

interface Flags {
  readonly row: number;
  readonly signal?: readonly string[];
  readonly svg?: string;
  readonly json?: boolean;
}

/** Values that a series has in text, and in a picture. */
const TEXT_STRETCHES = 64;
const PICTURE_STRETCHES = 860;

async function caseText(name: string): Promise<{ text: string; json: object }> {
  const [{ readCase }, { describeCase }] = await Promise.all([import('../vector/case.js'), import('../report/case-text.js')]);
  const one = readCase(name);
  return { text: describeCase(one), json: one };
}

async function recordingText(file: string): Promise<{ text: string; json: object }> {
  const [{ openRecording }, { describeRecording }] = await Promise.all([
    import('../recording/reader.js'),
    import('../report/case-text.js'),
  ]);
  const recording = openRecording(file);
  const { rows, tickHz, contractHash, about, counts } = recording;
  return { text: describeRecording(recording), json: { file, rows, tickHz, contractHash, about, counts } };
}

async function show(this: Context, flags: Flags, what: string): Promise<void> {
  await answer(this, flags, async () => {
    const { statSync } = await import('node:fs');
    const isRecording = statSync(what, { throwIfNoEntry: false })?.isFile() === true || what.endsWith('.mcap');
    const head = await (isRecording ? recordingText(what) : caseText(what));
    const look = { row: flags.row, signals: flags.signal, stretches: flags.svg === undefined ? TEXT_STRETCHES : PICTURE_STRETCHES };
    const { viewPass, viewRecording } = await import('../replay/show.js');
    const view = async () => {
      if (isRecording) return viewRecording(what, look);
      const [{ loadController }, { readCase }] = await Promise.all([import('../target/wasm.js'), import('../vector/case.js')]);
      return viewPass(loadController(), readCase(what), look);
    };
    const shown = await view();
    const holds = shown.trap === undefined;
    if (flags.svg !== undefined) {
      const [{ viewSvg }, { refuseOwnInput, writeAside }] = await Promise.all([
        import('../report/view-svg.js'),
        import('../files/write-aside.js'),
      ]);
      refuseOwnInput(flags.svg, what);
      writeAside(flags.svg, viewSvg(shown));
      return { text: `${head.text}${flags.svg} written\n`, json: { ...head.json, picture: flags.svg }, holds };
    }
    const { viewText } = await import('../report/view-text.js');
    const { row, ticks, changes, trap } = shown;
    const series = shown.series.map(({ signal: { name, row: of, unit }, least, most, mean }) => {
      return { name, row: of, unit, least: [...least], most: [...most], mean: [...mean] };
    });
    return { text: `${head.text}${viewText(shown)}`, json: { ...head.json, row, ticks, series, changes, trap }, holds };
  });
}

export const showCommand = buildCommand({
  docs: {
    brief: 'Show what is in a vector or a recording, with small plots',
    fullDescription:
      'A vector is run through the controller, so that inputs, outputs and every in-between value can be shown by name; a recording ' +
      '(a file) is shown as it is. Names of signals stand in host/contract/generated/contract.md.',
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
      svg: { kind: 'parsed', parse: text, brief: 'Write a picture instead of plots in text', optional: true, placeholder: 'file' },
      json: jsonFlag,
    },
  },
  func: show,
});
