import { flagName } from '../../../host/cli/flag-rules.js';
import { COMMANDS, type Command, type Flag, wordsOf } from './commands.js';
import type { Malformed } from './malformed.js';

/** What a flag takes, found by trying. */
type FlagKind = 'integer' | 'number' | 'output file' | 'output folder' | 'list' | 'words';

function errorOf(flag: Flag, value: string): string {
  try {
    flag.parse?.(value);
    return '';
  } catch (error) {
    return (error as Error).message;
  }
}

function kindOf(flag: Flag): FlagKind {
  const [, number] = /must be an? (integer|number) /.exec(errorOf(flag, 'abc')) ?? [];
  if (number !== undefined) return number as FlagKind;
  if (!errorOf(flag, 'no-such-folder/file').includes('folder')) return Array.isArray(flag.parse?.('a')) ? 'list' : 'words';
  return errorOf(flag, '/etc').includes('this is a folder') ? 'output file' : 'output folder';
}

const BAD: Readonly<Record<FlagKind, readonly string[]>> = {
  integer: ['', '-1', '1.5', 'abc', 'NaN', '1e3', '99999999999', '5 ms', '4,5', '0x', '١'],
  number: ['', '-1', 'abc', 'NaN', 'Infinity', '1e99', '5 ms', '4,5', '--'],
  'output file': ['', '.', 'no-such-folder/out', 'taken.txt/out', '/dev/null', 'folder/', 'x'.repeat(300), '/proc/none/x'],
  'output folder': ['', 'no-such-folder/out', 'taken.txt', 'taken.txt/out', '/dev/null', 'x'.repeat(300)],
  list: ['', ',', 'a,,b'],
  words: ['', ' '],
};

const FILES = { 'taken.txt': 'Something else.\n', 'folder/kept.txt': '' };

const malformed = (command: Command, mistake: string, detail: string, argv: readonly string[], places: readonly string[]): Malformed => ({
  kind: `flag`,
  mistake,
  detail: `${command.words.join(' ')} ${detail}`,
  files: FILES,
  argv,
  places,
});

/** Bad values of one flag of one command. */
function badValues(command: Command, name: string, flag: Flag): Malformed[] {
  const shown = flagName(name);
  if (flag.kind === 'boolean')
    return [malformed(command, 'a value for a switch', shown, [...wordsOf(command), `${shown}=maybe`], [shown, 'maybe'])];
  if (flag.kind === 'enum')
    return ['', 'nonsense'].map((value) =>
      malformed(command, 'an unknown choice', `${shown} ${value}`, wordsOf(command, { [name]: value }), [shown]),
    );
  const kind = kindOf(flag);
  const isOutput = kind.startsWith('output');
  return BAD[kind].map((value) =>
    malformed(command, `a bad ${kind}`, `${shown} ${JSON.stringify(value.slice(0, 20))}`, wordsOf(command, { [name]: value }), [
      isOutput && value !== '' ? `${value.slice(0, 20)}` : shown,
    ]),
  );
}

/** What can be wrong with any flag that takes a value. */
function badUse(command: Command, name: string, flag: Flag): Malformed[] {
  if (flag.kind === 'boolean') return [];
  const shown = flagName(name);
  const valid = command.given[name] ?? (kindOf(flag) === 'integer' ? '1' : 'a');
  const isRequired = flag.optional !== true && flag.default === undefined;
  return [
    malformed(command, 'no value', shown, [...wordsOf(command, { [name]: undefined }), shown], [shown]),
    ...(flag.variadic || flag.kind === 'enum'
      ? []
      : [malformed(command, 'given twice', shown, [...wordsOf(command, { [name]: valid }), shown, valid], [shown])]),
    ...(isRequired ? [malformed(command, 'left out', shown, wordsOf(command, { [name]: undefined }), [shown])] : []),
  ];
}

const misspelt = (name: string): string => `${flagName(name)}x`;

function ofCommand(command: Command): Malformed[] {
  const flags = Object.entries(command.flags);
  const [[some = 'json'] = []] = flags;
  return [
    ...flags.flatMap(([name, flag]) => [...badValues(command, name, flag), ...badUse(command, name, flag)]),
    malformed(command, 'an unknown flag', misspelt(some), [...wordsOf(command), misspelt(some), '1'], [misspelt(some)]),
    malformed(command, 'an unknown short flag', '-z', [...wordsOf(command), '-z'], ['-z']),
  ];
}

/** Returns bad values, and bad uses, of every flag of every command. */
export const malformedFlags = (): Malformed[] => COMMANDS.flatMap(ofCommand);

/** Command lines whose flags do not belong together, or whose values the flag's parser cannot judge alone. */
const COMBINATIONS: readonly (readonly [line: string, place: string])[] = [
  ['simulate target-step --by A', '--by: needs --record-vector'],
  ['simulate target-step --reason A', '--reason: needs --record-vector'],
  ['simulate target-step --record-vector x', '--record-vector: needs --by'],
  ['simulate target-step --record-vector x --by A', '--record-vector: needs --reason'],
  ['simulate target-step --record-vector x --by A --reason A --seeds 2', '--seeds: cannot'],
  ['simulate target-step --record-vector x --by A --reason A -o run.mcap', '--output: cannot'],
  ['simulate target-step --record-vector x --by A --reason A --strategy perfect', '--record-vector: the strategy'],
  ['simulate target-step --seeds 2 -o run.mcap', '--output: cannot'],
  ['simulate target-step cold-oil -o run.mcap', '--output: 2 scenarios'],
  ['simulate target-step cold-oil --seeds 2', '--seeds: 2 scenarios'],
  ['simulate -o run.mcap', '--output: '],
  ['simulate target-step --strategy fuzzy', '--strategy: '],
  ['simulate target-step --set deadbandN', '--set: '],
  ['simulate target-step --set =5', '--set: '],
  ['simulate target-step --set deadbandN=', '--set: '],
  ['simulate target-step --set deadbandN=many', '--set deadbandN=many: '],
  ['simulate target-step --set deadbandN=1e9', '--set deadbandN=1e9: '],
  ['simulate target-step --set deadBandN=50', '--set deadBandN=50: '],
  ['simulate target-step --set deadbandN=[1', '--set deadbandN=[1: '],
  ['simulate target-step --set deadbandN="1', '--set deadbandN="1: '],
  ['simulate target-step --set deadbandN=*a', '--set deadbandN=*a: '],
  ['simulate target-step --set minPulseMs=1.5', '--set: '],
  ['simulate target-step --set __proto__=1', '--set __proto__=1: '],
  ['size default --seed 1', '--seed: needs --search'],
  ['size default --tries 1', '--tries: needs --search'],
  ['size default --finalists 1', '--finalists: needs --search'],
  ['size default --runs 1', '--runs: needs --search'],
  ['size default -o found', '--output: needs --search'],
  ['size default --search row-hydraulics --html a.html', '--html: cannot'],
  ['size default --search row-hydraulics --drawings a.svg', '--drawings: cannot'],
  ['size default --search row-hydraulics --spm 5', '--spm: cannot'],
  ['size default --units us --json', '--units: '],
  ['size default --html a.html --drawings a.html', 'a.html: two outputs'],
  ['size default --search nonsense', 'nonsense'],
  ['size default --search row-hydraulics -o folder', 'folder: '],
  ['compare . . relatch-at-rest --seed 1', '--seed: needs --scenario'],
  ['compare . . relatch-at-rest --details 1 --json', '--details: cannot'],
  ['compare . . relatch-at-rest --html a --junit a', 'a: two outputs'],
  ['compare .', 'latchbench compare: '],
  ['compare', 'latchbench compare: '],
  ['compare . no-such-branch relatch-at-rest', 'no-such-branch'],
  ['compare . --upload-pack=x relatch-at-rest', '--upload-pack'],
  ['compare . . --scenario nonsense', 'nonsense'],
  ['shrink relatch-at-rest --against .', 'latchbench shrink: '],
  ['shrink relatch-at-rest --against . -o x.mcap --by A', '--output: cannot'],
  ['shrink relatch-at-rest --against . -o x.mcap --reason A', '--output: cannot'],
  ['shrink relatch-at-rest --against . -o x.mcap --name a', '--output: cannot'],
  ['watch relatch-at-rest --parameters missing.yaml', 'missing.yaml: no such file'],
  ['watch relatch-at-rest --against no-such-branch', 'no-such-branch'],
  ['watch no-such-vector', 'no-such-vector'],
  ['chip build --chip nonsense', '--chip: '],
  ['chip library -o library --chip native,native', '--chip: '],
  ['chip library -o folder', 'folder: '],
  ['chip replay relatch-at-rest --baud 9600', '--baud: needs --port'],
  ['chip replay relatch-at-rest --port none --chip native', '--chip: cannot'],
  ['chip replay relatch-at-rest --port none --over uart', '--over: cannot'],
  ['chip replay relatch-at-rest --port none', 'none: '],
  ['chip replay relatch-at-rest --port taken.txt', 'taken.txt: '],
  ['chip budget --accept', '--accept: needs --by'],
  ['chip budget --by A', '--by: needs --accept'],
  ['chip budget --reason A', '--reason: needs --accept'],
  ['rig check', 'rig.yaml: there is no such file'],
  ['rig check --rig missing.yaml', 'missing.yaml: no such file'],
  ['rig replay --rig missing.yaml --lead 5', '--lead: needs --free-run'],
  ['rig replay --rig missing.yaml --input-period 5', '--input-period: needs --free-run'],
  ['rig replay --rig missing.yaml -o run.mcap', '--output: needs --free-run'],
  ['rig replay --rig missing.yaml --free-run -o run.mcap --times 2', '--output: cannot'],
  ['rig simulate --rig missing.yaml --lockstep --real-time', '--lockstep: cannot'],
  ['rig simulate --rig missing.yaml --times 2', '--times: needs --real-time'],
  ['contest target-step', '--strategies, --parameters: '],
  ['contest target-step --strategies perfect,proportional --at 5', '--at: '],
  ['contest target-step --strategies perfect,proportional --scales 1,2', '--scales: '],
  ['contest target-step --strategies threshold,cascade --against nonsense', '--against: '],
  ['contest target-step --strategies threshold,cascade --scales 0', '--scales: '],
  ['contest target-step --strategies threshold,cascade --scales 1,1', '--scales: '],
  ['contest target-step --strategies threshold,cascade --at many', '--at: '],
  ['contest target-step --strategies threshold,cascade --set strategy=cascade', '--set: '],
  ['contest target-step --strategies threshold,threshold', '--strategies, --parameters: '],
  ['contest nonsense --strategies threshold,cascade', 'nonsense'],
  ['accept relatch-at-rest --by A --reason A --signals nonsense', 'case.yaml: --signals'],
  ['show relatch-at-rest --signal nonsense', 'nonsense'],
  ['show relatch-at-rest --row 9', '9'],
  ['plot relatch-at-rest -o p.svg --from 9 --to 3', '--to'],
  ['plot relatch-at-rest -o p.svg --from 99999999', '99999999'],
  ['plot relatch-at-rest -o p.svg --signal loadN,pressureKpa', 'pressureKpa'],
  ['plot relatch-at-rest -o p.svg --signal loadN[99]', 'the row of loadN is 99'],
  ['export INPUT -o out.csv --signal nonsense', 'nonsense'],
  ['export INPUT -o out.csv --from 9 --to 3', '--to'],
  ['export INPUT -o out.csv --from 99999999', '99999999'],
  ['export INPUT --json', '--json: '],
  ['find-change relatch-at-rest --from no-such-branch', 'no-such-branch'],
  ['find-change relatch-at-rest --from HEAD --to HEAD', '--from'],
  ['replay no-such-vector', 'no-such-vector'],
  ['simulate no-such-scenario', 'no-such-scenario'],
  ['size no-such-machine', 'no-such-machine'],
  ['replay relatch-at-rest relatch-at-rest --record recordings', 'recordings: '],
  ['show', 'vector|recording'],
  ['size default another', 'another'],
  ['nonsense', 'nonsense'],
  ['chip nonsense', 'nonsense'],
  ['', 'latchbench'],
];

const input = (COMMANDS.find(({ words }) => words[0] === 'export')?.arguments ?? [])[0] ?? '';

/** Returns command lines with flags that do not belong together, or with unknown names. */
export const malformedCombinations = (): Malformed[] =>
  COMBINATIONS.filter(([line]) => line !== '').map(([line, place]) => ({
    kind: 'combination of flags',
    mistake: line.split(' ')[0] ?? '',
    detail: line,
    files: FILES,
    argv: line.split(' ').map((word) => (word === 'INPUT' ? input : word)),
    places: [place],
  }));
