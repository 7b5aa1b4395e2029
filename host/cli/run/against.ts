import { beforeAfterText } from '../../report/simulation/before-after-text.js';
import type { MetricChoice } from '../../report/simulation/metrics-text.js';
import { type BeforeAfter, type BeforeAfterSide, runBeforeAfter, runsNeeded, SIDES } from '../../review/before-after.js';
import { findBuild } from '../../review/builds.js';
import { configOf } from '../../review/review-task.js';
import { resolveSettings } from '../../simulate/run-options.js';
import type { Scenario } from '../../simulate/scenario.js';
import { checkRuns } from '../../simulate/work.js';
import type { Answer, Job } from '../context.js';

/** A scenario to run before and after a change. */
interface Runs {
  readonly scenario: Scenario;
  readonly plant: WebAssembly.Module;
  readonly seeds: number;
  readonly choice: MetricChoice;
  readonly isConfirmed: boolean | undefined;
}

const isParameterFile = (name: string): boolean => /\.ya?ml$/i.test(name);

/** Base: head's build with a file's parameters over the scenario's, or another build with head's settings. @throws InputError */
async function baseOf({ project, progress }: Job, against: string, head: BeforeAfterSide, scenario: Scenario): Promise<BeforeAfterSide> {
  const { seed, parameters } = head.settings;
  if (isParameterFile(against)) {
    const { contract } = head.build.controller.description;
    return { build: head.build, settings: resolveSettings(scenario, { seed, parameters: against }, contract) };
  }
  progress.show(`building ${against}`);
  const build = await findBuild(against, project.root);
  return { build, settings: { ...head.settings, parameters: configOf({ build }, parameters).values } };
}

/** Whether head reached the end and met its requirements with every seed. */
const hasPassed = ({ head }: BeforeAfter): boolean =>
  head.runs.every(({ trap, requirements }) => trap === undefined && requirements.every(({ met }) => met));

/**
 * Runs a scenario before and after a change.
 * @param against parameter file or build
 * @throws InputError if a side cannot be read or built, or refuses the run
 */
export async function runAgainst(job: Job, against: string, head: BeforeAfterSide, runs: Runs): Promise<Answer> {
  const { scenario, plant, seeds, choice, isConfirmed } = runs;
  const sides = { base: await baseOf(job, against, head, scenario), head };
  const count = runsNeeded(sides, seeds);
  checkRuns(scenario, count, isConfirmed);
  const result = await runBeforeAfter(scenario, plant, sides, seeds, (done) =>
    job.progress.show(done <= SIDES.length * seeds ? `${done} of ${SIDES.length * seeds} runs` : `which parameters are used: run ${done}`),
  );
  return { text: beforeAfterText(result, choice), json: result, passed: hasPassed(result) };
}
