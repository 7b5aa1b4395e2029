import { buildCommand } from '@stricli/core';
import type { ChipRun } from '../chip/run-chip.js';
import { type Answer, answer, type Context, jsonFlag, progressOf, text, wholeNumber } from './answer.js';
import { availableChips, chipsFlag, compilerFlag, wordsOf } from './chip-flags.js';

interface Flags {
  readonly chip?: string;
  readonly over: 'files' | 'uart';
  readonly port?: string;
  readonly baud: number;
  readonly compiler?: string;
  readonly log?: string;
  readonly json?: boolean;
}

async function chosenCases(names: readonly string[]) {
  const { caseNames, checkAccepted, readCase } = await import('../vector/case.js');
  const cases = (names.length > 0 ? names : caseNames()).map((name) => readCase(name));
  for (const one of cases) checkAccepted(one);
  return cases;
}

/** A board at a serial port: one vector after another, in this thread. */
async function replayOnBoard(flags: Flags, port: string, names: readonly string[], say: (text: string) => void): Promise<ChipRun[]> {
  const [{ openPort }, { Link }, { runOnLink }, { loadController }, { InputError }] = await Promise.all([
    import('../chip/line.js'),
    import('../chip/link.js'),
    import('../chip/run-chip.js'),
    import('../runner/wasm-runner.js'),
    import('../common/input-error.js'),
  ]);
  const ofEmulators = (['chip', 'compiler'] as const).find((flag) => flags[flag] !== undefined);
  if (ofEmulators !== undefined) {
    const value = flags[ofEmulators];
    throw new InputError({
      file: `--${ofEmulators}`,
      what: 'meant for an emulator',
      value,
      allowed: 'nothing beside --port: the board has its own',
    });
  }
  const cases = await chosenCases(names);
  const controller = loadController();
  const line = openPort(port, flags.baud);
  try {
    return [await runOnLink(new Link(line), controller, cases, `${port}, ${flags.baud} baud`, flags.log, say)];
  } finally {
    line.close();
  }
}

/** Emulated chips: many at once, or one after another where what goes over the link is to be logged. */
async function replayOnEmulators(
  context: Context,
  flags: Flags,
  names: readonly string[],
  say: (text: string) => void,
): Promise<ChipRun[]> {
  const [{ buildFirmware }, { binaryFor }, run, { loadController }] = await Promise.all([
    import('../chip/build.js'),
    import('../chip/binaries.js'),
    import('../chip/run-chip.js'),
    import('../runner/wasm-runner.js'),
  ]);
  const cases = await chosenCases(names);
  const chips = await availableChips(context, flags.chip);
  const wasmFile = await binaryFor(48);
  const firmware = chips.map((chip) => {
    say(`building ${chip.name}`);
    return buildFirmware(chip, wasmFile, { channel: flags.over, flags: wordsOf(flags.compiler) });
  });
  if (flags.log === undefined) return run.runOnFirmware(firmware, wasmFile, cases, say);
  return run.runLogged(firmware, loadController(), cases, flags.log, say);
}

async function replayAll(context: Context, flags: Flags, names: readonly string[]): Promise<Answer> {
  const progress = progressOf(context, flags.json);
  try {
    const runs =
      flags.port === undefined
        ? await replayOnEmulators(context, flags, names, progress.say)
        : await replayOnBoard(flags, flags.port, names, progress.say);
    const { chipTable } = await import('../report/chip/chip-text.js');
    const holds = runs.every(({ cases }) => cases.every(({ verdict }) => verdict === 'same'));
    return { text: chipTable(runs), json: { runs }, holds };
  } finally {
    progress.done();
  }
}

async function chipReplay(this: Context, flags: Flags, ...names: string[]): Promise<void> {
  await answer(this, flags, () => replayAll(this, flags, names));
}

export const chipReplayCommand = buildCommand({
  docs: {
    brief: 'Run vectors on emulated chips, or a board at a serial port, bit for bit against the wasm',
    fullDescription:
      'Every tick goes over the link that a real board uses; every output and a chain of state hashes must be those of the ' +
      'WebAssembly. Without --chip all chips whose tools are installed. Exit code 0: all the same. 1: something differs. 2: bad input.',
  },
  parameters: {
    positional: {
      kind: 'array',
      parameter: { brief: 'Vectors by name or folder; all of vectors/cases if none', parse: text, placeholder: 'case' },
    },
    flags: {
      chip: chipsFlag,
      over: {
        kind: 'enum',
        values: ['files', 'uart'],
        brief: 'How the link’s bytes reach an emulator: by files, or over its UART, which is slow',
        default: 'files',
      },
      port: {
        kind: 'parsed',
        parse: text,
        brief: 'A board at this serial port, in place of emulators',
        optional: true,
        placeholder: 'device',
      },
      baud: { kind: 'parsed', parse: wholeNumber, brief: 'Its rate', default: '115200', placeholder: 'rate' },
      compiler: compilerFlag,
      log: {
        kind: 'parsed',
        parse: text,
        brief: 'Write down what went over the link, each second of it',
        optional: true,
        placeholder: 'file',
      },
      json: jsonFlag,
    },
  },
  func: chipReplay,
});
