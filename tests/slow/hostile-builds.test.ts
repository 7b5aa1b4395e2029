import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { runGuarded, showsHidden } from '../support/guarded-commands.js';
import { hostileBuilds } from '../support/hostile-builds.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

/** Groups whose builds start: the others are refused when they are read, by whatever command. */
const RUNNING = ['endless', 'traps', 'garbage in memory'];
const SEED = 2;
/** Together about a minute of computing; a busy computer takes many. */
const TIMEOUT_MS = 900_000;

it.each([
  ['compare', (file: string) => ['compare', file, PROJECT.controllerWasm, 'target-step'], [...RUNNING, 'contract']],
  ['simulate', (file: string) => ['simulate', '--controller', file, 'target-step'], RUNNING],
])(
  '%s refuses a hostile build or has a verdict on it, shows nothing hidden, and never hangs',
  async (name, command, groups) => {
    const builds = hostileBuilds(SEED).filter(({ group }) => groups.includes(group));
    const commands = builds.map(({ bytes }, index) => {
      const file = join(folder, `${name}-${index}.wasm`);
      writeFileSync(file, bytes);
      return command(file);
    });
    const outcomes = await runGuarded(commands, 60);
    const failures = outcomes.flatMap((outcome, index) => {
      const { status, err } = outcome;
      const holds = status !== undefined && status !== 3 && !showsHidden(outcome);
      return holds ? [] : [`seed ${SEED}, ${builds[index]?.group}, ${builds[index]?.name}: exit ${status}: ${err}`];
    });
    expect(failures).toEqual([]);
  },
  TIMEOUT_MS,
);
