import { join } from 'node:path';
import { acceptCommand } from '../../../host/cli/accept.js';
import { addCommand } from '../../../host/cli/add.js';
import { chipBudgetCommand } from '../../../host/cli/chip-budget.js';
import { chipBuildCommand } from '../../../host/cli/chip-build.js';
import { chipLibraryCommand } from '../../../host/cli/chip-library.js';
import { chipReplayCommand } from '../../../host/cli/chip-replay.js';
import { compareCommand } from '../../../host/cli/compare.js';
import { contestCommand } from '../../../host/cli/contest.js';
import { exportCommand } from '../../../host/cli/export.js';
import { findChangeCommand } from '../../../host/cli/find-change.js';
import { fitCommand } from '../../../host/cli/fit.js';
import { flagName } from '../../../host/cli/flag-rules.js';
import { importCommand } from '../../../host/cli/import.js';
import { parametersCommand } from '../../../host/cli/parameters.js';
import { plotCommand } from '../../../host/cli/plot.js';
import { recoverCommand } from '../../../host/cli/recover.js';
import { replayCommand } from '../../../host/cli/replay.js';
import { rigCheckCommand } from '../../../host/cli/rig-check.js';
import { rigReplayCommand } from '../../../host/cli/rig-replay.js';
import { rigSimulateCommand } from '../../../host/cli/rig-simulate.js';
import { showCommand } from '../../../host/cli/show.js';
import { shrinkCommand } from '../../../host/cli/shrink.js';
import { simulateCommand } from '../../../host/cli/simulate.js';
import { sizeCommand } from '../../../host/cli/size.js';
import { watchCommand } from '../../../host/cli/watch.js';
import { PROJECT } from '../project.js';

/** A flag as the framework knows it. */
export interface Flag {
  readonly kind: 'parsed' | 'enum' | 'boolean';
  readonly parse?: (value: string) => unknown;
  readonly optional?: boolean;
  readonly variadic?: boolean;
  readonly default?: string;
}

/** A command with flags that are all valid. */
export interface Command {
  readonly words: readonly string[];
  readonly arguments: readonly string[];
  /** Values of flags without which it refuses to work. */
  readonly given: Readonly<Record<string, string>>;
  readonly flags: Readonly<Record<string, Flag>>;
}

const INPUT = join(PROJECT.vectors, 'relatch-at-rest', 'input.mcap');
const SIGNED = { by: 'A. Reviewer', reason: 'Tried' };

const command = (
  words: string,
  { parameters }: object & { parameters: unknown },
  given: Readonly<Record<string, string>> = {},
  ...args: readonly string[]
): Command => ({
  words: words.split(' '),
  arguments: args,
  given,
  flags: (parameters as { flags: Readonly<Record<string, Flag>> }).flags,
});
type Built = { parameters: unknown };
const built = (one: unknown): Built => one as Built;

export const COMMANDS: readonly Command[] = [
  command('replay', built(replayCommand), {}, 'relatch-at-rest'),
  command('simulate', built(simulateCommand), {}, 'target-step'),
  command('size', built(sizeCommand), {}, 'default'),
  command('compare', built(compareCommand), {}, '.', '.', 'relatch-at-rest'),
  command('find-change', built(findChangeCommand), { from: 'HEAD' }, 'relatch-at-rest'),
  command('shrink', built(shrinkCommand), { against: '.', output: 'shrunk.mcap' }, 'relatch-at-rest'),
  command('watch', built(watchCommand), { against: '.', verdicts: '1' }, 'relatch-at-rest'),
  command('chip build', built(chipBuildCommand)),
  command('chip library', built(chipLibraryCommand), { output: 'library' }),
  command('chip replay', built(chipReplayCommand), {}, 'relatch-at-rest'),
  command('chip budget', built(chipBudgetCommand)),
  command('rig check', built(rigCheckCommand)),
  command('rig replay', built(rigReplayCommand), {}, 'relatch-at-rest'),
  command('rig simulate', built(rigSimulateCommand), {}, 'target-step'),
  command('contest', built(contestCommand), { strategies: 'threshold,cascade' }, 'target-step'),
  command('fit', built(fitCommand), {}, INPUT),
  command('accept', built(acceptCommand), SIGNED, 'relatch-at-rest'),
  command('add', built(addCommand), { ...SIGNED, from: INPUT, title: 'A', why: 'A' }, 'never-made'),
  command('show', built(showCommand), {}, 'relatch-at-rest'),
  command('plot', built(plotCommand), { output: 'plot.svg' }, 'relatch-at-rest'),
  command('parameters', built(parametersCommand)),
  command('import', built(importCommand), { map: 'map.yaml', output: 'log.mcap' }, 'log.csv'),
  command('export', built(exportCommand), { output: 'out.csv' }, INPUT),
  command('recover', built(recoverCommand), { output: 'saved.mcap' }, INPUT),
];

/** Words of a command line, with other values of flags; undefined leaves one out. */
export function wordsOf({ words, arguments: args, given }: Command, change: Readonly<Record<string, string | undefined>> = {}): string[] {
  const flags = Object.entries({ ...given, ...change }).flatMap(([name, value]) => (value === undefined ? [] : [flagName(name), value]));
  return [...words, ...args, ...flags];
}
