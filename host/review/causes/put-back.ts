import type { ControllerSources } from '../../build/controller.js';
import type { ParameterValues } from '../../contract/contract.js';
import type { Build } from '../builds.js';
import type { ReviewSide, Sides } from '../review-task.js';
import { type Edit, putBackEdits } from './edits.js';

/** What may cause a difference: an edit of the sources, or a parameter that has another value. */
export interface Suspect {
  readonly edit?: Edit | undefined;
  readonly parameter?: string | undefined;
}

export interface TwoSources {
  readonly base: ControllerSources;
  readonly head: ControllerSources;
}

/** Values of head's parameter file with parameters as base has them: from its file, from the run, or base's default. */
function valuesWith({ base, head }: Sides, names: readonly string[]): ParameterValues {
  const given = { ...head.parameters?.values };
  for (const name of names) {
    const own = base.parameters?.values[name];
    const defaultOf = ({ build }: ReviewSide): number | undefined =>
      build.controller.description.contract.parameters.find((one) => one.name === name)?.default;
    const value = own ?? (defaultOf(base) === defaultOf(head) ? undefined : defaultOf(base));
    if (value === undefined) delete given[name];
    else given[name] = value;
  }
  return given;
}

/**
 * Head with suspects as they are in base; undefined if it cannot be compiled here.
 * @throws InputError with the compiler's messages
 */
export async function headWith(
  back: readonly Suspect[],
  sides: Sides,
  sources: TwoSources | undefined,
  compile: (from: ControllerSources) => Promise<Build> | undefined,
): Promise<ReviewSide | undefined> {
  const edits = back.flatMap(({ edit }) => edit ?? []);
  const names = back.flatMap(({ parameter }) => parameter ?? []);
  let { build, parameters } = sides.head;
  if (edits.length > 0) {
    if (sources === undefined) return undefined;
    const put = putBackEdits(sources.base.sources, sources.head.sources, edits);
    const compiled = await compile({ ...sources.head, sources: put });
    if (compiled === undefined) return undefined;
    build = compiled;
  }
  if (names.length > 0) parameters = { file: parameters?.file ?? '', values: valuesWith(sides, names) };
  return { build, parameters };
}
