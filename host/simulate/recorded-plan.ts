import { ROWS_MAX } from '../../shared/limits.js';
import { checkRequirements, type RequiredRun, type Requirement, requirementsSchema } from '../assess/requirements.js';
import { parseYaml } from '../common/yaml-file.js';
import type { TimedEvent } from './events.js';
import type { Scenario } from './scenario.js';

/*
 * What a recording keeps of its scenario, so that plots show it later: the scenario's file may have changed by then, or be elsewhere.
 */

/** Events in ticks of the recording, and what its run is required to do; no requirements if it is not the whole run. */
export interface RecordedPlan {
  readonly events: readonly TimedEvent[];
  readonly requirements: readonly Requirement[];
}

const tick = { type: 'integer', minimum: 0, maximum: 2 ** 32 };
const SCHEMA = {
  type: 'object',
  required: ['events', 'requirements'],
  additionalProperties: false,
  properties: {
    events: {
      type: 'array',
      maxItems: 1000,
      items: {
        type: 'object',
        required: ['what', 'rows', 'fromTick', 'untilTick'],
        additionalProperties: false,
        properties: {
          what: { type: 'string', maxLength: 200 },
          rows: { type: 'array', maxItems: ROWS_MAX, items: { type: 'integer', minimum: 0, maximum: ROWS_MAX } },
          fromTick: tick,
          untilTick: tick,
        },
      },
    },
    requirements: requirementsSchema(),
  },
};

/** The plan of a scenario's recording. @param fromTick its first tick in the run @param isWhole whether it has all messages */
export function planText({ timedEvents, requirements }: Scenario, fromTick: number, isWhole: boolean): string {
  const events = timedEvents
    .filter(({ untilTick }) => untilTick > fromTick)
    .map((one) => ({ ...one, fromTick: Math.max(0, one.fromTick - fromTick), untilTick: one.untilTick - fromTick }));
  return JSON.stringify({ events, requirements: isWhole && fromTick === 0 ? requirements : [] } satisfies RecordedPlan);
}

/** Reads what `planText` wrote. @param file named in errors @throws InputError if it is no plan, or not of such a run */
export function readPlan(text: string, file: string, run: RequiredRun): RecordedPlan {
  const plan = parseYaml<RecordedPlan>(text, `${file}, plan`, SCHEMA);
  return { events: plan.value.events, requirements: checkRequirements(plan.value.requirements, run, plan, ['requirements']) };
}
