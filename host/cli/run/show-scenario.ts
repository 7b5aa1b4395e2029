import { InputError } from '../../common/input-error.js';
import { fieldMap } from '../../report/simulation/field-map.js';
import { readScenario } from '../../simulate/scenario.js';
import type { Answer, Job } from '../context.js';

/** Width of a map where no terminal has one, characters. */
const WIDTH = 100;

/** Shows a scenario's field along the pass. @throws InputError for another word than `scenario`, or flags of signals */
export function showScenario(
  { project, stdout }: Job,
  { signal }: { readonly signal?: readonly string[] },
  word: string,
  name: string,
): Answer {
  if (word !== 'scenario')
    throw new InputError({ file: 'show', problem: `the argument before ${name} is ${word}`, value: word, allowed: ['scenario'] });
  if (signal !== undefined) throw new InputError({ file: '--signal', problem: 'a scenario has no signals to show before it has run' });
  const scenario = readScenario(project, name);
  const { title, story, machine, rows, seconds, seed, field, layout, pass } = scenario;
  const json = { scenario: scenario.name, title, story, machine: machine.name, rows, seconds, seed, field, ...layout, pass };
  return { text: fieldMap(scenario, stdout.columns ?? WIDTH), json, passed: true };
}
