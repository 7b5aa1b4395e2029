import { buildApplication, buildRouteMap, ExitCode as FrameworkExitCode, run as runApplication } from '@stricli/core';
import { plainText } from '../report/form/colours.js';
import { acceptCommand } from './accept.js';
import { addCommand } from './add.js';
import { buildCommandOfProject } from './build.js';
import { checkCommand } from './check.js';
import { chipBudgetCommand } from './chip-budget.js';
import { chipBuildCommand } from './chip-build.js';
import { chipLibraryCommand } from './chip-library.js';
import { chipReplayCommand } from './chip-replay.js';
import { compareCommand } from './compare.js';
import { contestCommand } from './contest.js';
import type { Context, Environment, ExitCode } from './context.js';
import { exportCommand } from './export.js';
import { findChangeCommand } from './find-change.js';
import { fitCommand } from './fit.js';
import { helpCommand } from './help.js';
import { importCommand } from './import.js';
import { initCommand } from './init.js';
import { listCommand } from './list.js';
import { newCommand } from './new.js';
import { parametersCommand } from './parameters.js';
import { plotCommand } from './plot.js';
import { recoverCommand } from './recover.js';
import { replayCommand } from './replay.js';
import { rigCheckCommand } from './rig-check.js';
import { rigReplayCommand } from './rig-replay.js';
import { rigSimulateCommand } from './rig-simulate.js';
import { showCommand } from './show.js';
import { shrinkCommand } from './shrink.js';
import { simulateCommand } from './simulate.js';
import { sizeCommand } from './size.js';
import { upgradeCommand } from './upgrade.js';
import { usageTexts } from './usage-errors.js';
import { watchCommand } from './watch.js';

const chipRoutes = buildRouteMap({
  docs: { brief: 'Build, run and measure the controller on microcontrollers' },
  routes: { build: chipBuildCommand, library: chipLibraryCommand, replay: chipReplayCommand, budget: chipBudgetCommand },
});

const rigRoutes = buildRouteMap({
  docs: { brief: 'Run the controller on boards: check a rig, replay vectors in lockstep or in a free run' },
  routes: { check: rigCheckCommand, replay: rigReplayCommand, simulate: rigSimulateCommand },
});

const routes = buildRouteMap({
  docs: { brief: 'The workbench for row-crop planter down-force control with latching valves' },
  routes: {
    replay: replayCommand,
    simulate: simulateCommand,
    size: sizeCommand,
    compare: compareCommand,
    'find-change': findChangeCommand,
    shrink: shrinkCommand,
    watch: watchCommand,
    chip: chipRoutes,
    rig: rigRoutes,
    contest: contestCommand,
    fit: fitCommand,
    accept: acceptCommand,
    add: addCommand,
    show: showCommand,
    plot: plotCommand,
    list: listCommand,
    new: newCommand,
    parameters: parametersCommand,
    import: importCommand,
    export: exportCommand,
    recover: recoverCommand,
    init: initCommand,
    build: buildCommandOfProject,
    check: checkCommand,
    upgrade: upgradeCommand,
    help: helpCommand,
  },
});

const BAD_USAGE: readonly unknown[] = [FrameworkExitCode.UnknownCommand, FrameworkExitCode.InvalidArgument];

/** Returns the words of a command line that name a command or a group, whether it is a command, and what may follow otherwise. */
function commandIn(argv: readonly string[]): { words: string[]; isCommand: boolean; known: string[] } {
  const words: string[] = [];
  let map = routes;
  for (const word of argv) {
    const target = map.getAllEntries().find(({ name }) => name.original === word)?.target;
    if (target === undefined) break;
    words.push(word);
    if (!('getAllEntries' in target)) return { words, isCommand: true, known: [] };
    map = target;
  }
  return { words, isCommand: false, known: map.getAllEntries().map(({ name }) => name.original) };
}

/** Builds the program for a command line. @param onError called with each error of usage */
function applicationFor(argv: readonly string[], onError: (message: string) => void) {
  return buildApplication(routes, {
    name: 'latchbench',
    versionInfo: { getCurrentVersion: async () => (await import('../common/version.js')).toolVersion() },
    scanner: { caseStyle: 'allow-kebab-for-camel' },
    // An overview is short; the help of a command shows every flag.
    documentation: { onlyRequiredInUsageLine: !commandIn(argv).isCommand },
    localization: { text: usageTexts(onError, argv.at(-1)) },
  });
}

/** Returns what a command prints with --help. */
async function helpOf(words: readonly string[], context: Context): ReturnType<Context['helpOf']> {
  const { words: found, known } = commandIn(words);
  const unknown = words[found.length];
  if (unknown !== undefined) return { unknown, known };
  const parts: string[] = [];
  const stdout = { write: (part: string): void => void parts.push(part) };
  await runApplication(
    applicationFor(words, () => {}),
    [...words, '--help'],
    { ...context, process: { ...context.process, stdout } },
  );
  return { text: parts.join('') };
}

/** Runs the program with the arguments of a command line. */
export async function run(argv: readonly string[], environment: Environment): Promise<ExitCode> {
  const { stdout, stderr, env } = environment;
  const errors: string[] = [];
  const plain = { write: (text: string): void => void stderr.write(plainText(text)) };
  const process: Context['process'] = { stdout, stderr: plain, env };
  const context: Context = { process, environment, exitCode: 0, helpOf: (words) => helpOf(words, context) };
  await runApplication(
    applicationFor(argv, (message) => void errors.push(message)),
    argv,
    context,
  );
  const framework = Number(process.exitCode ?? 0);
  if (framework === 0) return context.exitCode;
  const isUsage = BAD_USAGE.includes(framework);
  if (isUsage) stderr.write(`See '${['latchbench', ...commandIn(argv).words].join(' ')} --help'.\n`);
  if (argv.includes('--json')) {
    const message = isUsage ? errors.join(' ') : 'internal error of latchbench: see stderr';
    stdout.write(plainText(`${JSON.stringify({ error: { message } }, null, 2)}\n`));
  }
  return isUsage ? 2 : 3;
}
