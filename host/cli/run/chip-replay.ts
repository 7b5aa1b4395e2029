import { buildFirmware } from '../../chip/build.js';
import { openPort } from '../../chip/line.js';
import { Link } from '../../chip/link.js';
import { type ChipRun, runLogged, runOnFirmware, runOnLink } from '../../chip/run-chip.js';
import type { Project } from '../../common/project.js';
import { chipTable } from '../../report/chip/chip-text.js';
import { type Build, identifyBuild } from '../../review/builds.js';
import { checkAccepted, readVector, type VectorCase, vectorNames } from '../../vector/vector.js';
import { command, type Job } from '../context.js';
import { checkFlags, type FlagRule } from '../flag-rules.js';
import { BAUD } from '../flags.js';
import { currentController } from './binaries.js';
import { availableChips, splitFlags } from './chips.js';

interface Flags {
  readonly chip?: string;
  readonly over?: 'files' | 'uart';
  readonly port?: string;
  readonly baud?: number;
  readonly compiler?: string;
  readonly log?: string;
  readonly json?: boolean;
}

const RULES: readonly FlagRule<Flags>[] = [
  ...(['chip', 'compiler', 'over'] as const).map(
    (flag) => ({ flag, excludes: 'port', why: 'the board already runs its firmware' }) as const,
  ),
  { flag: 'baud', needs: 'port' },
];

function chosenVectors(project: Project, names: readonly string[]): VectorCase[] {
  const vectors = (names.length > 0 ? names : vectorNames(project)).map((name) => readVector(project, name));
  for (const one of vectors) checkAccepted(one);
  return vectors;
}

/** Replays on a board at a serial port, one vector after another, in this thread. */
function replayOnBoard({ project, progress }: Job, flags: Flags, port: string, { controller }: Build, names: readonly string[]): ChipRun[] {
  const vectors = chosenVectors(project, names);
  const { baud = BAUD } = flags;
  const line = openPort(port, baud);
  try {
    return [runOnLink(new Link(line), controller, vectors, `${port}, ${baud} baud`, flags.log, progress.show)];
  } finally {
    line.close();
  }
}

/** Replays on emulated chips: many at once, or one after another if the link's traffic is logged. */
async function replayOnEmulators(
  job: Job,
  flags: Flags,
  { file: wasmFile, controller }: Build,
  names: readonly string[],
): Promise<ChipRun[]> {
  const { project, progress } = job;
  const vectors = chosenVectors(project, names);
  const chips = availableChips(job, flags.chip);
  const firmware = chips.map((chip) => {
    progress.show(`building ${chip.name}`);
    return buildFirmware(chip, wasmFile, { channel: flags.over ?? 'files', flags: splitFlags(flags.compiler) });
  });
  if (flags.log === undefined) return runOnFirmware(firmware, wasmFile, vectors, progress.show);
  return runLogged(firmware, controller, vectors, flags.log, progress.show);
}

export default command<Flags, string[]>(async (job, flags, ...names) => {
  checkFlags(flags, RULES);
  const build = await currentController(job);
  const { port } = flags;
  const runs = await (port === undefined ? replayOnEmulators(job, flags, build, names) : replayOnBoard(job, flags, port, build, names));
  const passed = runs.every(({ vectors }) => vectors.every(({ verdict }) => verdict === 'same'));
  const controller = identifyBuild(build);
  return { text: chipTable(runs, controller), json: { controller, runs }, passed };
});
