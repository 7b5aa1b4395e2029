import { rigCheckText } from '../../report/rig/check-text.js';
import { identifyBuild } from '../../review/builds.js';
import { type BoardCheck, checkBoard } from '../../rig/check-rig.js';
import { SYSTEM_CLOCK } from '../../rig/link/clock.js';
import { withRig } from '../../rig/open-rig.js';
import { command } from '../context.js';
import type { RigFlags } from '../rig-flags.js';
import { currentController } from './binaries.js';
import { chooseRig, rigUse } from './rig.js';

export default command<RigFlags>(async (job, flags) => {
  const { rig, boards } = chooseRig(job, flags);
  const build = await currentController(job);
  const use = rigUse(job, build, 'uart');
  const checks = await withRig(rig, boards, job.onInterrupt, async (opened) => {
    const all: BoardCheck[] = [];
    for (const config of boards) all.push(await checkBoard(rig, config, use, SYSTEM_CLOCK, opened));
    return all;
  });
  const passed = checks.every(({ problems }) => problems.length === 0);
  const controller = identifyBuild(build);
  return { text: rigCheckText(rig, checks, controller.contractHash), json: { controller, rig: rig.title, boards: checks }, passed };
});
