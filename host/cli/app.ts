import { buildApplication, buildRouteMap, ExitCode as FrameworkExitCode, run as runApplication } from '@stricli/core';
import { acceptCommand } from './accept.js';
import { addCommand } from './add.js';
import { bisectCommand } from './bisect.js';
import { chipBudgetCommand } from './chip-budget.js';
import { chipBuildCommand } from './chip-build.js';
import { chipLibraryCommand } from './chip-library.js';
import { chipReplayCommand } from './chip-replay.js';
import { compareCommand } from './compare.js';
import { contestCommand } from './contest.js';
import type { Context, ExitCode, Surroundings } from './context.js';
import { exportCommand } from './export.js';
import { fitCommand } from './fit.js';
import { importCommand } from './import.js';
import { parametersCommand } from './parameters.js';
import { plotCommand } from './plot.js';
import { recoverCommand } from './recover.js';
import { replayCommand } from './replay.js';
import { showCommand } from './show.js';
import { shrinkCommand } from './shrink.js';
import { simulateCommand } from './simulate.js';
import { sizeCommand } from './size.js';
import { usageTexts } from './usage-errors.js';
import { watchCommand } from './watch.js';

const chipRoutes = buildRouteMap({
  docs: { brief: 'Build, run and measure the controller on microcontrollers' },
  routes: { build: chipBuildCommand, library: chipLibraryCommand, replay: chipReplayCommand, budget: chipBudgetCommand },
});

const routes = buildRouteMap({
  docs: { brief: 'The workbench for row-crop planter down-force control with latching valves' },
  routes: {
    replay: replayCommand,
    simulate: simulateCommand,
    size: sizeCommand,
    compare: compareCommand,
    bisect: bisectCommand,
    shrink: shrinkCommand,
    watch: watchCommand,
    chip: chipRoutes,
    contest: contestCommand,
    fit: fitCommand,
    accept: acceptCommand,
    add: addCommand,
    show: showCommand,
    plot: plotCommand,
    parameters: parametersCommand,
    import: importCommand,
    export: exportCommand,
    recover: recoverCommand,
  },
});

const BAD_USAGE: readonly unknown[] = [FrameworkExitCode.UnknownCommand, FrameworkExitCode.InvalidArgument];

/** The command's words before its flags and arguments, for a hint. */
function helpCommand(argv: readonly string[]): string {
  const [name = '', sub = ''] = argv;
  const entry = (map: typeof routes, word: string) => map.getAllEntries().find((one) => one.name.original === word)?.target;
  const found = entry(routes, name);
  if (found === undefined) return 'latchbench --help';
  const isNested = 'getAllEntries' in found && entry(found, sub) !== undefined;
  return `latchbench ${isNested ? `${name} ${sub}` : name} --help`;
}

/** Runs the program with the arguments of a command line. */
export async function run(argv: readonly string[], surroundings: Surroundings): Promise<ExitCode> {
  const { stdout, stderr, env } = surroundings;
  const errors: string[] = [];
  const application = buildApplication(routes, {
    name: 'latchbench',
    versionInfo: { getCurrentVersion: async () => (await import('../common/version.js')).toolVersion() },
    scanner: { caseStyle: 'allow-kebab-for-camel' },
    localization: { text: usageTexts((message) => void errors.push(message)) },
  });
  const process: Context['process'] = { stdout, stderr, env };
  const context: Context = { process, surroundings, exitCode: 0 };
  await runApplication(application, argv, context);
  const framework = Number(process.exitCode ?? 0);
  if (framework === 0) return context.exitCode;
  const isUsage = BAD_USAGE.includes(framework);
  if (isUsage) stderr.write(`See '${helpCommand(argv)}'.\n`);
  if (argv.includes('--json')) {
    const message = isUsage ? errors.join(' ') : 'internal error of latchbench: see stderr';
    stdout.write(`${JSON.stringify({ error: { message } }, null, 2)}\n`);
  }
  return isUsage ? 2 : 3;
}
