import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { PROJECT } from './project.js';

export const README = readFileSync(join(PROJECT.root, 'README.md'), 'utf8');

const lines = [...README.matchAll(/```sh\n([\s\S]*?)```/g)].flatMap(([, block = '']) => block.trim().split('\n'));
const commands = lines.filter((line) => line.startsWith('npx latchbench '));

/** Commands that take several seconds, and those that need compilers and emulators. */
const isSlow = (line: string): boolean => /--search| contest | fit | chip |class-e/.test(line);

/** The commands of the README, as typed. */
export const FAST_COMMANDS = commands.filter((line) => !isSlow(line));
export const SLOW_COMMANDS = commands.filter(isSlow);

/** Arguments of such a command. */
export const argumentsOf = (line: string): string[] => line.split(' ').slice(2);

/** Pictures of the README, each with the arguments that make it, except the file's name. */
export const PICTURES = [...README.matchAll(/Made with `npx latchbench ([^`]+ (?:-o|--drawings)) ([^`]+\.svg)`/g)].map(
  ([, words = '', picture = '']) => ({ picture, argv: words.split(' ') }),
);

/** The contest takes half a minute. */
export const SLOW_PICTURES: readonly string[] = ['class-d-contest.svg'];
