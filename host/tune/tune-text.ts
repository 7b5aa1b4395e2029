import { stringify } from 'yaml';
import type { Contract } from '../contract/contract.js';
import { textTable } from '../report/form/text-table.js';
import type { Compared, Tuned } from './tune.js';
import type { Tuning } from './tuning-file.js';

const change = (from: number, to: number, digits: number): string => `${from.toFixed(digits)} → ${to.toFixed(digits)}`;
const percent = (from: number, to: number): string => `${to >= from ? '+' : ''}${((to / from - 1) * 100).toFixed(1)} %`;

/** A line for each scenario on some seeds. */
const linesOf = (kind: string, scenarios: readonly string[], { start, result }: Compared): string[][] =>
  scenarios.flatMap((name, index) => {
    const [from, to] = [start[index], result[index]];
    if (from === undefined || to === undefined) return [];
    return [
      [
        name,
        kind,
        change(from.loadRmsN, to.loadRmsN, 1),
        percent(from.loadRmsN, to.loadRmsN),
        change(from.pulsesPerMin, to.pulsesPerMin, 0),
        change(from.oilLpm, to.oilLpm, 2),
      ],
    ];
  });

const COLUMNS = [
  { title: 'scenario' },
  { title: 'seeds' },
  { title: 'load RMS error, N', isNumber: true },
  { title: '', isNumber: true },
  { title: 'pulses, 1/min', isNumber: true },
  { title: 'oil, L/min', isNumber: true },
];

/** The result of a search as tables, for people. */
export function tunedText({ title, scenarios, start, result, evaluations, tuning, fresh, isBetter }: Tuned): string {
  const values = Object.keys(result).map((name) => [name, String(start[name]), String(result[name])]);
  const objective = ({ objective: { start: from, result: to } }: Compared): string => change(from, to, 4);
  return [
    `${title}\n`,
    textTable([{ title: 'name' }, { title: 'start', isNumber: true }, { title: 'result', isNumber: true }], values),
    textTable(COLUMNS, [...linesOf('tuning', scenarios, tuning), ...linesOf('fresh', scenarios, fresh)]),
    `objective: ${objective(tuning)} on the tuning seeds, ${objective(fresh)} on fresh seeds; ${evaluations} evaluations\n`,
    isBetter ? '' : 'The result is not better than the start on fresh seeds.\n',
  ].join('\n');
}

/** A title on one line of a comment, whatever characters it has. */
const oneLine = (text: string): string => text.replace(/[\p{Cc}\u2028\u2029]/gu, ' ');

/** The result as a file: all parameters that the tuning sets, or the part of a machine, under a comment that says where it is from. */
export function resultFile(tuning: Tuning, tuned: Tuned, contract: Contract): string {
  const { seeds, searchSeed, startParameters } = tuning;
  const { start, result } = tuned.fresh.objective;
  const head = [
    `# ${oneLine(tuned.title)}`,
    `# Tuned on ${tuned.scenarios.join(', ')}; seeds ${seeds.first} to ${seeds.first + seeds.count - 1};`,
    `# ${tuned.evaluations} evaluations, search seed ${searchSeed}. Objective on ${seeds.fresh} fresh seeds: ${change(start, result, 4)}.`,
  ];
  const all: Readonly<Record<string, number>> = { ...startParameters, ...tuned.result };
  const named = contract.parameters.filter(({ name }) => name in all);
  const parameters = Object.fromEntries(named.map(({ name, choices }) => [name, choices?.[all[name] as number] ?? all[name]]));
  return `${head.join('\n')}\n${stringify(tuning.of === 'parameters' ? parameters : { proportional: tuned.result })}`;
}
