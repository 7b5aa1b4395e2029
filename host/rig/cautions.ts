import { InputError } from '../common/input-error.js';
import type { Rig } from './rig-file.js';

/** What everyone at a rig must know; shown by `rig check`, in the help of its commands and in the README. */
export const CAUTIONS: readonly string[] = [
  'Oil under pressure: a jet pierces the skin; never search for leaks by hand. Accumulators and trapped oil keep',
  'their energy after a stop, and a latching valve keeps its position without power: relieve the pressure, and',
  'verify that it is gone. People: nobody within reach of rows, cylinders and hoses while a program drives the',
  'valves. Valves move without warning. Emergency stop: in hardware, within reach, cutting coil current and',
  'pressure without this computer; the stop of this program is a convenience that needs a link which works. Who',
  'may run it: persons trained on this rig, under the local codes, with hydraulic and electrical work done by',
  'licensed professionals. The program is an engineering aid, not a certified safety function.',
];

/** What asks a person at the terminal for a line; undefined if there is no terminal. */
export type Ask = (question: string) => string | undefined;

/**
 * Starts a rig whose hydraulics can be under pressure only if a person wants that and confirms it at the terminal.
 * @throws InputError otherwise
 */
export function requireConfirmation({ file, title, pressurised }: Rig, isAllowed: boolean, ask: Ask): void {
  if (!pressurised && isAllowed)
    throw new InputError({
      file: '--pressurised',
      problem: `${file} does not say that the rig is pressurised`,
      hint: 'Leave the flag out',
    });
  if (!pressurised) return;
  if (!isAllowed)
    throw new InputError({
      file,
      problem: 'the hydraulics of this rig can be under pressure, so it starts only with --pressurised',
      hint: 'Read the cautions of `latchbench rig check` first',
    });
  const answer = ask(
    `${CAUTIONS.join('\n')}\n\nNobody is within reach, and the emergency stop works. Type the title of the rig (${title}) to start: `,
  );
  if (answer === undefined)
    throw new InputError({
      file,
      problem: 'a pressurised rig needs a person at a terminal who confirms the start',
      hint: 'Run it in a terminal',
    });
  if (answer.trim() !== title)
    throw new InputError({ file, problem: 'not started: the title was not typed', value: answer, allowed: title });
}
