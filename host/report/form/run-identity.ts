import { UNITS } from '../../../shared/units.js';
import { abbreviated } from '../../common/hash.js';
import type { BuildIdentity, ChangedParameter, RunIdentity } from '../../contract/run-identity.js';

/** Number of parameters in a line. */
const PARAMETERS_SHOWN = 6;

/** Name of a build, without its hash. */
export const buildName = ({ name }: Pick<BuildIdentity, 'name'>): string => (name === '.' ? 'working tree' : name);

/** `working tree, source hash 81cc48e98b5d`, `main, commit 0123456789ab, source hash …`. */
export function buildText(build: BuildIdentity): string {
  const { name, commit, sourceHash } = build;
  const isNamedByHash = commit?.startsWith(name) === true;
  const from = commit === undefined || isNamedByHash ? '' : `, commit ${abbreviated(commit)}`;
  return `${buildName(build)}${from}, source hash ${abbreviated(sourceHash)}`;
}

/** `controller: working tree, source hash 81cc48e98b5d`. */
export const buildLine = (build: BuildIdentity): string => `controller: ${buildText(build)}`;

const valueText = ({ name, value, unit }: ChangedParameter): string =>
  `${name} ${value}${unit === 'none' || typeof value === 'string' ? '' : ` ${UNITS[unit].symbol}`}`.trimEnd();

/** `deadbandMinN 18 N, deadbandSigmas 2.2, and 3 more`. */
export function parametersText(parameters: readonly ChangedParameter[], max = PARAMETERS_SHOWN): string {
  const more = parameters.length - max;
  return [...parameters.slice(0, max).map(valueText), ...(more > 0 ? [`and ${more} more`] : [])].join(', ');
}

/** Which parameters differ from the defaults, as a line. */
export const parametersLine = ({ parameters }: Pick<RunIdentity, 'parameters'>): string =>
  parameters.length === 0
    ? 'parameters: all have their defaults'
    : `parameters that differ from the defaults: ${parametersText(parameters)}${parameters.length > PARAMETERS_SHOWN ? ' (--json lists all)' : ''}`;

/** Strategies and parameters of runs, and the build: in full if there is one run only, otherwise a count of each strategy. */
export function madeByLines(runs: readonly { readonly ranWith: RunIdentity }[], build: BuildIdentity): string {
  const [only, second] = runs;
  if (only !== undefined && second === undefined)
    return `${strategyText(only.ranWith)}; ${parametersLine(only.ranWith)}\n${buildLine(build)}\n`;
  const strategies = runs.map(({ ranWith }) => strategyText(ranWith));
  const counts = [...new Set(strategies)].map((one) => `${one} ${strategies.filter((other) => other === one).length}`);
  return `strategies: ${counts.join(', ')}; --json lists the parameters of each run\n${buildLine(build)}\n`;
}

/** Baselines that take the place of a strategy. */
const isBaseline = (strategy: string): boolean => strategy === 'proportional' || strategy === 'perfect';

/** The strategy in force, or the baseline in its place. */
export const strategyText = ({ strategy = '–' }: Pick<RunIdentity, 'strategy'>): string =>
  isBaseline(strategy) ? `${strategy} (baseline, never ships)` : strategy;
