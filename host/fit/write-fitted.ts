import { stringify } from 'yaml';
import { showControls } from '../common/control-characters.js';
import { shellWord } from '../common/shell-word.js';
import { writeAtomic } from '../common/write-atomic.js';
import type { Contract, ParameterValues } from '../contract/contract.js';

/** Words as one line of a comment, whatever characters a file name has. */
const commentOf = (words: readonly string[]): string => words.map((word) => showControls(shellWord(word))).join(' ');

/**
 * Writes a parameter file, with choices by name, under a comment that says what it was fitted to.
 * @param settings the command's flags as typed
 * @throws InputError if it can't be written
 */
export function writeFitted(
  file: string,
  values: ParameterValues,
  contract: Contract,
  recordings: readonly string[],
  settings: readonly string[],
): void {
  const named = contract.parameters.filter(({ name }) => name in values);
  const written = Object.fromEntries(named.map(({ name, choices }) => [name, choices?.[values[name] as number] ?? values[name]]));
  const head = [`# Fitted to ${commentOf(recordings)}`, `# by latchbench fit ${commentOf(settings)}`];
  writeAtomic(file, `${head.join('\n')}\n${stringify(written)}`);
}
