import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { PROJECT } from './project.js';

export const README = readFileSync(join(PROJECT.root, 'README.md'), 'utf8');

/** What the README shows in a team's own project, and the rest. */
const [PROJECT_SECTION = ''] = /## Your project\n[\s\S]*?\n(?=## )/.exec(README) ?? [];

/** Commands of the shell blocks of a text, without their comments. */
const commandsIn = (text: string): string[] =>
  [...text.matchAll(/```sh\n([\s\S]*?)```/g)]
    .flatMap(([, block = '']) => block.trim().split('\n'))
    .map((line) => line.replace(/\s+#.*/, ''))
    .filter((line) => line.startsWith('npx latchbench '));

const commands = commandsIn(README.replace(PROJECT_SECTION, ''));
/** From a log to a vector and fitted parameters; `init` comes before them. */
export const PROJECT_COMMANDS = commandsIn(PROJECT_SECTION).filter((line) => !line.includes(' init '));

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

/** Quantities of the table "A Cortex-M4F with 24 rows", and the metric of the chip budget that each of them is. */
const CHIP_METRICS: Readonly<Record<string, string>> = {
  'instructions per row and tick: predictive, default machine': 'predictive.meanInstructions',
  'the same with an accelerometer': 'accelerometer.meanInstructions',
  cascade: 'cascade.meanInstructions',
  'code, the whole example firmware': 'textBytes',
  'RAM, the whole example firmware, excluding its stack': 'bssBytes',
  'stack, proven from the machine code': 'stackBytes',
};

const numberOf = (text: string): number => Number(text.replaceAll(',', ''));

/** A line of that table: the measured value, the target (NaN if there is none), and what it says about the target. */
export interface ChipLine {
  readonly quantity: string;
  readonly metric: string;
  readonly value: number;
  readonly target: number;
  readonly words: string;
}

const [, chipTable = ''] = /A Cortex-M4F\s+with 24 rows:\n\n\| quantity .*\n\| --- .*\n([\s\S]*?)\n\n/.exec(README) ?? [];

/** The lines of that table; none may be without a metric. */
export const CHIP_TABLE: readonly ChipLine[] = chipTable.split('\n').map((line) => {
  const [, quantity = '', value = '', target = '', words = ''] =
    /^\| (.*?) \| ([\d,]+)(?: bytes)? \| ([\d,]*\d)?(.*?) ?\|$/.exec(line) ?? [];
  const metric = CHIP_METRICS[quantity];
  if (metric === undefined) throw new Error(`README.md has a chip figure without a metric: ${line}`);
  return { quantity, metric, value: numberOf(value), target: target === '' ? Number.NaN : numberOf(target), words };
});

/** A line's value among the metrics of chip budgets, measured or accepted; NaN if it is missing. */
export const chipValue = (
  metrics: readonly { readonly chip: string; readonly rows: number; readonly metric: string; readonly value: number }[],
  { metric }: ChipLine,
): number => metrics.find((one) => one.chip === 'cortex-m4f' && one.rows === 24 && one.metric === metric)?.value ?? Number.NaN;
