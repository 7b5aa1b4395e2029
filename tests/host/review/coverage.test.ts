import { beforeAll, describe, expect, it } from 'vitest';
import { readControllerSources } from '../../../host/build/controller.js';
import type { SourceTree } from '../../../host/build/sources.js';
import type { Build } from '../../../host/review/builds.js';
import { CodeFinder, type CodeLine } from '../../../host/review/coverage/changed-code.js';
import { type ProbedBuild, probedBuilds } from '../../../host/review/coverage/probes.js';
import { Program } from '../../../host/review/coverage/program.js';
import type { CoveredLine, Review } from '../../../host/review/review.js';
import { reviewBuilds } from '../../../host/review/review-builds.js';
import { reviewHere } from '../../../host/review/review-engine.js';
import { buildPlain } from '../../../host/review/trace/traced-build.js';
import { readVector } from '../../../host/vector/vector.js';
import { buildFrom, patchSources, type SourceEdit } from '../../support/patched-controller.js';
import { PROJECT } from '../../support/project.js';

const FILE = 'assembly/controller/index.ts';
const OTHER = 'assembly/controller/other.ts';

/** Each line that a test asks for has a comment with its name. */
const TEXT = `import { HALF, Mode, twice } from './other';
const LIMIT: i32 = 3; // limit
const AT: usize = memory.data(16, 8);
export function configure(rows: i32): i32 {
  store<i32>(AT, 0); // configured
  return rows > 48 ? -1 : 0;
}
function isOdd(value: i32): bool {
  return (value & 1) === 1; // odd
}
function never(value: i32): i32 {
  const sum = value + 1; // uncalled
  return sum;
}
export function tick(): void {
  const at = load<i32>(AT); // tick
  store<i32>(AT, at + 1);
  if (at < LIMIT) return; // early
  if (at > 5 && isOdd(at)) { // both
    store<i32>(AT, at + HALF); // inner
    if (at > 9 || at < 0) { // either
      store<i32>(AT, 0); // deepest
    }
  }
  for (let i = 0; i < at; i++) {
    if (i === 2) continue; // skip
    store<i32>(AT, twice(i) - 2 * i + at + 1, 4); // body
  }
  switch (at) {
    case 4: // four
      store<i32>(AT, 5, 8); // atFour
      break;
    default:
      store<i32>(AT, 6, 8); // atDefault
  }
  const grown = 7; // local
  if (load<i32>(AT) === grown) store<u8>(AT, <u8>Mode.Second, 12); // local use
}
`;
const OTHER_TEXT = `const WHOLE: i32 = 2; // whole
export const HALF: i32 = WHOLE / 2; // half
export enum Mode {
  First, // first
  Second, // second
}
/** A comment. */
export function twice(value: i32): i32 {
  return (
    value * // value
    WHOLE
  ); // bracket
}
`;
const SOURCES: SourceTree = new Map([
  [FILE, TEXT],
  [OTHER, OTHER_TEXT],
]);

/** File and line, from 1, of the comment that names a line. */
function marked(name: string): { file: string; line: number } {
  const found = [...SOURCES].flatMap(([file, text]) =>
    text.split('\n').flatMap((line, index) => (line.endsWith(`// ${name}`) ? [{ file, line: index + 1 }] : [])),
  );
  expect(found, name).toHaveLength(1);
  return found[0] ?? { file: '', line: 0 };
}

/** Tick n has the counter n, so that what a number of ticks reaches follows from the text. */
describe('coverage of a small controller', () => {
  let program: Program;
  let finder: CodeFinder;
  let build: ProbedBuild;
  let probed: readonly number[];
  beforeAll(async () => {
    program = new Program(await buildPlain({ ...readControllerSources(PROJECT.root), sources: SOURCES }));
    finder = new CodeFinder(program, SOURCES);
    const targets = new Set(program.blocks.keys());
    probed = program.waysTo(targets);
    [build] = (await probedBuilds([{ program, probed, targets }])) as [ProbedBuild];
  });

  const codeOf = (name: string): CodeLine | undefined => finder.codeOf(marked(name));

  /** Whether a block is reached by configure() and a number of ticks. */
  function reachedAfter(ticks: number): (block: number) => boolean {
    const { exports } = new WebAssembly.Instance(build.module, {});
    const { memory, configure, tick } = exports as { memory: WebAssembly.Memory; configure: (rows: number) => number; tick: () => void };
    configure(1);
    for (let at = 0; at < ticks; at++) tick();
    const flags = new Uint8Array(memory.buffer, build.at, build.count);
    return (block) => flags[probed.indexOf(block)] === 1;
  }

  it.each([
    ['configured', 0],
    ['tick', 1],
    // An early return until the counter is 3.
    ['both', 4],
    ['value', 4],
    ['body', 4],
    ['atDefault', 4],
    ['four', 4],
    ['atFour', 5],
    ['odd', 7],
    ['local use', 4],
    ['inner', 8],
    ['deepest', 12],
    // Constants are reached where they are used: in the early return, in inner, and in twice().
    ['limit', 1],
    ['half', 8],
    ['whole', 4],
    ['second', 7],
    ['local', 4],
  ])('reaches the line "%s" in %i ticks and not in fewer', (name, ticks) => {
    const { blocks = [] } = codeOf(name) ?? {};
    const isReached = (count: number): boolean => blocks.some(reachedAfter(count));
    expect([isReached(ticks), ticks > 0 && isReached(ticks - 1)]).toEqual([true, false]);
  });

  it.each(['first', 'bracket'])('finds no code in the line "%s"', (name) => {
    expect(codeOf(name)).toBeUndefined();
  });

  it('finds a line in a function that nothing calls, without a block', () => {
    expect(codeOf('uncalled')).toMatchObject({ blocks: [], line: { text: expect.stringContaining('const sum') } });
  });

  it('names the lines where a constant is used, also through another constant', () => {
    const usedAt = codeOf('whole')?.usedAt.map(({ file, line }) => `${file}:${line}`);
    const { file, line } = marked('value');
    expect(usedAt).toEqual(expect.arrayContaining([`${FILE}:${marked('inner').line}`, `${file}:${line + 1}`]));
  });

  it.each<[name: string, ticks: number, at: string, needs: boolean, conditions: number]>([
    ['both', 2, 'early', false, 1],
    ['inner', 2, 'early', false, 2],
    ['deepest', 2, 'early', false, 3],
    ['deepest', 5, 'both', true, 2],
    ['deepest', 8, 'either', true, 1],
    // Into twice() from its caller: the early return, the loop, and the one that skips a round.
    ['value', 2, 'early', false, 3],
    ['atFour', 4, 'four', true, 1],
  ])('comes nearest to "%s" in %i ticks at "%s", which would have to be %s', (name, ticks, at, needs, conditions) => {
    const barrier = program.nearestBarrier(codeOf(name)?.blocks ?? [], reachedAfter(ticks));
    expect(barrier).toMatchObject({ needs, conditions });
    expect(program.endOf(barrier?.reached ?? -1)).toMatchObject(marked(at));
  });

  it('comes near to nothing that the run does not call', () => {
    expect(program.nearestBarrier(codeOf('both')?.blocks ?? [], (block) => block === codeOf('configured')?.blocks[0])).toBeUndefined();
  });
});

/** Oil is at -15 °C in cold-oil, and at 40 °C in relatch-at-rest. Only the constant has an effect. */
const EDITS: readonly SourceEdit[] = [
  {
    file: 'bank.ts',
    find: '  if (!isTargetValid) conditions |= BankFault.TargetInvalid;\n',
    replace: `  // A comment.
  if (!isTargetValid) conditions |= BankFault.TargetInvalid;
  if (input.oilTemperatureC < -10) {
    conditions |= 0 * BankFault.TargetInvalid;
    if (input.oilTemperatureC < -20) {
      conditions |= 0 * BankFault.SpeedInvalid;
    }
  }
  if (input.oilTemperatureC > 200) conditions |= 0 * BankFault.SupplyLow;
`,
  },
  { file: 'learn.ts', find: 'const MIN_SHARE: f32 = 0.3;', replace: 'const MIN_SHARE: f32 = 0.95;' },
  // Only base has it; a doubt ends in none of these runs.
  { file: 'doubt.ts', find: '  row.valve(<u8>(detector.doubt - 1)).repeats = 0;\n', replace: '' },
];

describe('coverage of a change of the controller', () => {
  let review: Review;
  beforeAll(async () => {
    const patched = patchSources(EDITS);
    const builds = await Promise.all([patchSources([]), patched].map((sources) => buildFrom(sources, { optimisation: 'none' })));
    const [base, head] = builds.map((build) => ({ build })) as [{ build: Build }, { build: Build }];
    const vectors = ['cold-oil', 'relatch-at-rest'].map((name) => readVector(PROJECT, name));
    review = await reviewBuilds({ base, head }, { vectors, withCoverage: true }, reviewHere());
  });

  const lineWith = (text: string): CoveredLine | undefined => review.coverage?.lines.find(({ line }) => line.text.includes(text));
  const runsOf = (text: string): string[] | undefined =>
    lineWith(text)
      ?.reachedBy.map(({ run }) => review.runs[run]?.name ?? '')
      .sort();

  it('counts lines with code, and those without', () => {
    // The comment and two brackets have none.
    expect(review.coverage?.counts).toEqual({ different: 1, same: 4, unreached: 2, noCode: 3 });
  });

  it('says which runs reach a line, and from which tick on', () => {
    expect(runsOf('oilTemperatureC < -10')).toEqual(['cold-oil', 'relatch-at-rest']);
    expect(runsOf('0 * BankFault.TargetInvalid')).toEqual(['cold-oil']);
    expect(lineWith('0 * BankFault.TargetInvalid')).toMatchObject({ reach: 'same', reachedBy: [{ tick: 0 }] });
  });

  it('counts a constant as reached where it is used, and as the cause of what differs by it', () => {
    const line = lineWith('MIN_SHARE: f32 = 0.95');
    expect(line).toMatchObject({
      reach: 'different',
      usedAt: [{ function: 'learnAfterPulse', text: expect.stringContaining('MIN_SHARE') }],
    });
  });

  it('names the condition that was never met, and the run that comes nearest', () => {
    const { nearest, reach } = lineWith('0 * BankFault.SpeedInvalid') ?? {};
    expect(reach).toBe('unreached');
    expect(nearest).toMatchObject({ runs: 1, needs: true, conditions: 1, at: { text: expect.stringContaining('< -20') } });
    expect(review.runs[nearest?.run ?? -1]?.name).toBe('cold-oil');
  });

  it('looks for a removed line in base', () => {
    expect(lineWith('.repeats = 0;')).toMatchObject({ side: 'base', reach: 'unreached', line: { function: 'endDoubt' } });
  });

  it('names the part of a line that no run reaches', () => {
    const line = lineWith('> 200');
    expect(line?.reach).toBe('same');
    expect(line?.missed.map(({ column, text }) => text.slice(column - 1))).toEqual(['conditions |= 0 * BankFault.SupplyLow;']);
  });
});
