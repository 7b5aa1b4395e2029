import { buildCommand } from '@stricli/core';
import type { Machine } from '../machine/machine.js';
import { type Answer, answer, type Context, jsonFlag, progressOf, seedCount, text, wholeNumber } from './answer.js';

interface Flags {
  readonly units: 'si' | 'us';
  readonly html?: string;
  readonly drawings?: string;
  readonly spm?: number;
  readonly search?: string;
  readonly seed: number;
  readonly tries: number;
  readonly finalists: number;
  readonly runs: number;
  readonly output?: string;
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

/** The sheet of a machine. */
async function sheet(machine: Machine, { units, html, drawings, output }: Flags): Promise<Answer> {
  const [{ sizingInputOf }, { sizeMachine }, { sizingText }, { sizingPage, sizingPicture }, files, { toolVersion }, { InputError }] =
    await Promise.all([
      import('../sizing/sizing-input.js'),
      import('../sizing/size-machine.js'),
      import('../report/sizing/sizing-text.js'),
      import('../report/sizing/sizing-page.js'),
      import('../common/write-atomic.js'),
      import('../common/version.js'),
      import('../common/input-error.js'),
    ]);
  if (output !== undefined)
    throw new InputError({ file: '--output', what: 'flag of a search', allowed: '--search beside it; --html or --drawings' });
  const targets = [html, drawings].filter((one) => one !== undefined);
  for (const target of targets) files.refuseOverwritingInput(target, machine.file);
  files.refuseSameTarget(...targets);
  const [input, sizing] = [sizingInputOf(machine), sizeMachine(machine)];
  const { name, title, note } = machine;
  const written: [target: string, data: string][] = [];
  if (html !== undefined) written.push([html, sizingPage({ name, title, note, tool: toolVersion() }, input, sizing, units)]);
  if (drawings !== undefined) written.push([drawings, sizingPicture(title, input, sizing, units)]);
  files.writeAllAtomic(written);
  return {
    text: sizingText(machine, sizing, units) + targets.map((target) => `${target} written\n`).join(''),
    json: { machine: name, title, input, ...sizing },
    holds: sizing.checks.every(({ result }) => result !== 'fail'),
  };
}

/** Designs out of a catalogue that are better than the machine. */
async function searched(context: Context, machine: Machine, catalogueName: string, flags: Flags): Promise<Answer> {
  const [{ readCatalogue }, { runSearch }, { searchText }, { loadController }, { loadPlant }, { InputError }] = await Promise.all([
    import('../sizing/search/catalogue.js'),
    import('../sizing/search/run-search.js'),
    import('../report/sizing/search-text.js'),
    import('../runner/wasm-runner.js'),
    import('../simulate/plant.js'),
    import('../common/input-error.js'),
  ]);
  const { seed, tries, finalists, runs, output: folder, units, html, spm } = flags;
  if (html !== undefined || spm !== undefined) {
    throw new InputError({
      file: html === undefined ? '--spm' : '--html',
      what: 'flag of the sheet',
      allowed: 'nothing of it beside --search',
    });
  }
  const progress = progressOf(context, flags.json);
  try {
    const catalogue = readCatalogue(catalogueName, machine.sizing.rowCount ?? 1);
    const request = { machine, catalogue, seed, tries, finalists, runs, folder };
    const result = await runSearch({ controller: loadController(), plant: loadPlant() }, request, progress.say);
    return { text: searchText(result, units), json: result, holds: result.finalists.some(({ isConfirmed }) => isConfirmed) };
  } finally {
    progress.done();
  }
}

async function size(this: Context, flags: Flags, nameOrFile: string): Promise<void> {
  await answer(this, flags, async () => {
    const { readMachine } = await import('../machine/machine.js');
    const machine = atDuty(readMachine(nameOrFile), flags.spm);
    return flags.search === undefined ? sheet(machine, flags) : searched(this, machine, flags.search, flags);
  });
}

const option = (brief: string, placeholder: string) => ({ kind: 'parsed', parse: text, brief, optional: true, placeholder }) as const;

export const sizeCommand = buildCommand({
  docs: {
    brief: 'Size a machine on paper: force, gas, valves, wires, oil, heat, life, and what design rules say of them',
    fullDescription:
      'A machine file says hydraulics, gas, valves, sensors, wiring, and what the machine is sized for. Closed forms give all that ' +
      'follows from it, what each choice moves, and whether design rules hold: with reason, remedy, rule and source. With ' +
      '--search a catalogue says what there is to choose from, and the designs on the trade-off front are looked for. Exit code 0: no ' +
      'check fails, or a design is found that simulation confirms. 1: not so. 2: bad input. An engineering aid: qualified people check it against the real parts’ data.',
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: 'Machine by name or file', parse: text, placeholder: 'machine' }],
    },
    flags: {
      units: { kind: 'enum', values: ['si', 'us'], brief: 'Metric, or US customary units', default: 'si' },
      html: option('Write a sheet to print, with three drawings', 'file'),
      drawings: option('Write its drawings as a picture, SVG', 'file'),
      spm: {
        kind: 'parsed',
        parse: strokesPerMin,
        brief: 'Strokes of a row in a minute, over the machine’s own; a pulse is two',
        optional: true,
        placeholder: 'number',
      },
      search: option('Look for better designs among what this catalogue has, by name or file', 'catalogue'),
      seed: { kind: 'parsed', parse: wholeNumber, brief: 'Seed of the search', default: '1', placeholder: 'number' },
      tries: { kind: 'parsed', parse: wholeNumber, brief: 'Designs that it tries in all', default: '10000', placeholder: 'count' },
      finalists: { kind: 'parsed', parse: wholeNumber, brief: 'Most designs that are simulated', default: '5', placeholder: 'count' },
      runs: { kind: 'parsed', parse: seedCount, brief: 'Simulations of each, with seeds of their own', default: '2', placeholder: 'count' },
      output: option('Folder for the search, to go on with it, and for finalists as machine files', 'folder'),
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: size,
});
