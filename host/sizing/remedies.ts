/** What remedies of several checks change. */
export type Subject =
  | 'valves'
  | 'accumulator'
  | 'precharge'
  | 'piston'
  | 'liftSpring'
  | 'rowWeight'
  | 'deadband'
  | 'strokesAtOnce'
  | 'strokeMs'
  | 'coilCurrent'
  | 'railPressure'
  | 'hose'
  | 'fuse'
  | 'reboundOrifice';

/** More or less of a subject. */
export type Change = `${'+' | '-'}${Subject}`;

/** What to do about a check, and what that changes if other checks depend on it too. */
export type Remedy = string | readonly [text: string, change: Change];

/** A check as far as its remedies depend on it. */
export interface WithRemedies {
  readonly name: string;
  readonly result: 'pass' | 'marginal' | 'fail';
  readonly remedies: readonly Remedy[];
}

const opposite = (change: Change): Change => `${change.startsWith('+') ? '-' : '+'}${change.slice(1) as Subject}`;

const changeOf = (remedy: Remedy): Change | undefined => (typeof remedy === 'string' ? undefined : remedy[1]);
const textOf = (remedy: Remedy): string => (typeof remedy === 'string' ? remedy : remedy[0]);

/** Returns the names of the checks with a remedy that does the opposite. */
function against(remedy: Remedy, checks: readonly WithRemedies[]): WithRemedies[] {
  const change = changeOf(remedy);
  if (change === undefined) return [];
  return checks.filter(({ remedies }) => remedies.some((one) => changeOf(one) === opposite(change)));
}

const namesOf = (checks: readonly WithRemedies[]): string => checks.map(({ name }) => name).join(', ');

/** `one`, `one, or two`, with a capital letter at the start and a full stop at the end. */
const sentence = (parts: readonly string[]): string => {
  const text = parts.join(', or ');
  return `${text.slice(0, 1).toUpperCase()}${text.slice(1)}.`;
};

/** Whether a remedy changes something that the machine has. */
const isPossible = (remedy: Remedy, absent: readonly Subject[]): boolean => !absent.some((one) => changeOf(remedy)?.slice(1) === one);

/**
 * Returns the remedies of a check as text. One that works against other checks names them. If one of those does not pass either, the
 * remedy is given last, as one that does not help on its own: a sheet must not ask for larger valves here and for smaller ones there.
 * @param absent what the machine does not have, so that no remedy can change it
 */
export function remedyText(check: WithRemedies, checks: readonly WithRemedies[], absent: readonly Subject[]): string {
  const useful: string[] = [];
  const disputed: string[] = [];
  for (const remedy of check.remedies.filter((one) => isPossible(one, absent))) {
    const opposed = against(remedy, checks);
    const failing = opposed.filter(({ result }) => result !== 'pass');
    if (failing.length > 0 && check.result !== 'pass') disputed.push(`${textOf(remedy)} (worse for ${namesOf(failing)})`);
    else useful.push(opposed.length === 0 ? textOf(remedy) : `${textOf(remedy)} (watch ${namesOf(opposed)})`);
  }
  const help = useful.length === 0 ? [] : [sentence(useful)];
  const not = disputed.length === 0 ? [] : [`Not on its own: ${disputed.join('; ')}.`];
  return [...help, ...not].join(' ');
}
