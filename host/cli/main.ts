#!/usr/bin/env node
import { buildApplication, buildRouteMap, run } from '@stricli/core';
import { acceptCommand } from './accept.js';
import { addCommand } from './add.js';
import type { Context } from './answer.js';
import { bisectCommand } from './bisect.js';
import { chipBudgetCommand } from './chip-budget.js';
import { chipBuildCommand } from './chip-build.js';
import { chipLibraryCommand } from './chip-library.js';
import { chipReplayCommand } from './chip-replay.js';
import { compareCommand } from './compare.js';
import { contestCommand } from './contest.js';
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
import { watchCommand } from './watch.js';

const chipRoutes = buildRouteMap({
  docs: { brief: 'The controller on microcontrollers: build, library, replay, budget' },
  routes: { build: chipBuildCommand, library: chipLibraryCommand, replay: chipReplayCommand, budget: chipBudgetCommand },
});

const root = buildRouteMap({
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

const application = buildApplication(root, {
  name: 'latchbench',
  versionInfo: { getCurrentVersion: async () => (await import('../common/version.js')).toolVersion() },
  scanner: { caseStyle: 'allow-kebab-for-camel' },
});

// A reader that has seen enough (`latchbench … | head`) is no fault.
process.stdout.on('error', (error: NodeJS.ErrnoException) => process.exit(error.code === 'EPIPE' ? 0 : 3));

// Node's own type of process.exitCode has `undefined` where the library's has `null`.
const context = { process: process as Context['process'], exitCode: 0 } as Context;
await run(application, process.argv.slice(2), context);
// The library's own codes are negative: an unknown command or a wrong argument is bad usage, all else a fault of ours.
const BAD_USAGE: readonly unknown[] = [-4, -5];
const library = Number(process.exitCode ?? 0);
if (library !== 0 && process.argv.includes('--json')) {
  process.stdout.write(
    `${JSON.stringify({ error: { message: BAD_USAGE.includes(library) ? 'bad usage: see stderr' : 'a fault of latchbench itself: see stderr' } }, null, 2)}\n`,
  );
}
process.exitCode = library === 0 ? context.exitCode : BAD_USAGE.includes(library) ? 2 : 3;
