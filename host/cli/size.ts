import { buildCommand } from '@stricli/core';
import type { Machine } from '../simulate/machine.js';
import { answer, type Context, jsonFlag, text } from './answer.js';

interface Flags {
  readonly units: 'si' | 'us';
  readonly html?: string;
  readonly spm?: number;
  readonly json?: boolean;
}

/** Most strokes that a row makes in a minute: twice the most pulses of a machine file. */
const SPM_MOST = 4000;

/** Strokes a minute and row. */
function strokesPerMin(value: string): number {
  const strokes = Number(value);
  if (!/^\d+(\.\d+)?$/.test(value) || strokes > SPM_MOST)
    throw new Error(`${value} is no number of strokes a minute from 0 to ${SPM_MOST}`);
  return strokes;
}

/** The machine at another duty: a pulse is two strokes. */
const atDuty = (machine: Machine, spm: number | undefined): Machine =>
  spm === undefined ? machine : { ...machine, sizing: { ...machine.sizing, dutyPulsesPerMin: spm / 2 } };

async function size(this: Context, flags: Flags, nameOrFile: string): Promise<void> {
  await answer(this, flags, async () => {
    const [{ readMachine }, { givenOf }, { sizeMachine }, { sizingText }, { sizingPage }, { refuseOwnInput, writeAside }, { toolVersion }] =
      await Promise.all([
        import('../simulate/machine.js'),
        import('../sizing/given.js'),
        import('../sizing/size-machine.js'),
        import('../report/sizing-text.js'),
        import('../report/sizing-page.js'),
        import('../files/write-aside.js'),
        import('../recording/format.js'),
      ]);
    const { units, html, spm } = flags;
    const machine = atDuty(readMachine(nameOrFile), spm);
    if (html !== undefined) refuseOwnInput(html, machine.file);
    const [given, sizing] = [givenOf(machine), sizeMachine(machine)];
    const { name, title, note } = machine;
    if (html !== undefined) writeAside(html, sizingPage({ name, title, note, tool: toolVersion() }, given, sizing, units));
    return {
      text: sizingText(machine, sizing, units) + (html === undefined ? '' : `${html} written\n`),
      json: { machine: name, title, given, ...sizing },
      holds: sizing.checks.every(({ verdict }) => verdict !== 'fail'),
    };
  });
}

export const sizeCommand = buildCommand({
  docs: {
    brief: 'Size a machine on paper: force, gas, valves, wires, oil, heat, life, and what design rules say of them',
    fullDescription:
      'A machine file says hydraulics, gas, valves, sensors, wiring, and what the machine is sized for. Closed forms give all that ' +
      'follows from it, what each choice moves, and whether design rules hold: with reason, remedy, rule and source. Exit code 0: no ' +
      'check fails. 1: one does. 2: bad input. An engineering aid: qualified people check it against the real parts’ data.',
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: 'Machine by name or file', parse: text, placeholder: 'machine' }],
    },
    flags: {
      units: { kind: 'enum', values: ['si', 'us'], brief: 'Metric, or US customary units', default: 'si' },
      html: { kind: 'parsed', parse: text, brief: 'Write a sheet to print: one page, three diagrams', optional: true, placeholder: 'file' },
      spm: {
        kind: 'parsed',
        parse: strokesPerMin,
        brief: 'Strokes of a row in a minute, over the machine’s own; a pulse is two',
        optional: true,
        placeholder: 'number',
      },
      json: jsonFlag,
    },
  },
  func: size,
});
