import { runTune } from '../../../host/tune/command.js';
import { Collector, latchbench, type Result, snapshot } from '../command.js';
import type { Noise } from '../noise.js';
import { PROJECT } from '../project.js';

/** A command with something wrong in one of its files, its flags or its paths. */
export interface Malformed {
  /** What is malformed: `scenario`, `CSV`, `flag`, … */
  readonly kind: string;
  /** How it is malformed. */
  readonly mistake: string;
  /** One more word for the reader, such as the file that was changed and the line. */
  readonly detail: string;
  /** Files in the folder in which the command runs. */
  readonly files: Readonly<Record<string, string | Uint8Array>>;
  /** Words after `latchbench`; `tune` is `npm run tune`. */
  readonly argv: readonly string[];
  /** What the first line of the error must contain: `machine.yaml:3:`. One of several is enough. */
  readonly places: readonly string[];
}

/** Words of libraries, of the program's implementation, and of a stack trace. */
const FOREIGN =
  /Map keys must|flow (collection|map|sequence)|block (collection|scalar)|plain (value|scalar)|implicit (map )?key|Unexpected (token|scalar|end)|in JSON at|instancePath|schema path|undefined|\[object |\bE[A-Z]{4,}\b|TypeError|RangeError|Internal error|^ +at |node_modules|file:\/\//m;

const LINES_MAX = 24;
const COLUMNS_MAX = 200;
const SECONDS_MAX = 5;

/** Why a command that must be refused was not refused well; empty if it was. */
function shortcomings({ status, out, err }: Result, { argv, places }: Malformed, seconds: number): string[] {
  const lines = err.replaceAll(`${PROJECT.root}/`, '').trimEnd().split('\n');
  const [first = ''] = lines;
  const isPrinted = argv.includes('--json') ? typeof JSON.parse(out).error?.message === 'string' : out === '';
  return [
    ...(status === 2 ? [] : [`exit code ${status}`]),
    ...(isPrinted ? [] : ['something else on stdout']),
    ...(places.some((place) => first.includes(place)) ? [] : [`no place ${places.join(' or ')}`]),
    ...(lines.length <= LINES_MAX && lines.every(({ length }) => length <= COLUMNS_MAX) ? [] : ['more than a screen']),
    ...(FOREIGN.test(err) ? [`foreign words: ${FOREIGN.exec(err)?.[0]}`] : []),
    ...(seconds <= SECONDS_MAX ? [] : [`${seconds.toFixed(1)} s`]),
  ];
}

async function run([first, ...others]: readonly string[]): Promise<Result> {
  if (first !== 'tune') return latchbench(first ?? '', ...others);
  const [stdout, stderr] = [new Collector(), new Collector()];
  const status = await runTune(others, { stdout, stderr });
  return { status, out: stdout.text, err: stderr.text };
}

/** Runs a command in the current folder. Returns what it printed, and why it was not refused well. */
export async function tryMalformed(one: Malformed): Promise<{ result: Result; faults: string[] }> {
  const before = snapshot('.');
  // Processor time, which does not depend on what else the computer does.
  const start = process.cpuUsage();
  const result = await run(one.argv);
  const { user, system } = process.cpuUsage(start);
  const seconds = (user + system) / 1e6;
  const after = snapshot('.');
  const isUnchanged = JSON.stringify(before) === JSON.stringify(after);
  return { result, faults: [...shortcomings(result, one, seconds), ...(isUnchanged ? [] : ['a file was written'])] };
}

/** Picks up to `count` elements, the same ones for the same seed. */
export function sample<T>(all: readonly T[], count: number, noise: Noise): T[] {
  const left = [...all];
  const picked: T[] = [];
  while (picked.length < count && left.length > 0) picked.push(...left.splice(Math.floor(noise.share() * left.length), 1));
  return picked;
}

/** Line, from 1, at an offset. */
export const lineAt = (text: string, offset: number): number => text.slice(0, offset).split('\n').length;
