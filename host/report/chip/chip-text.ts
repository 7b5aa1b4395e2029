import { type ChipBudget, type FirmwareSizes, SETTING_NAMES } from '../../chip/budget.js';
import { BUDGET_MARGIN, type BudgetCheck } from '../../chip/budget-table.js';
import { ARITHMETIC_FINDINGS } from '../../chip/protocol.js';
import type { ChipVectorResult } from '../../chip/replay-chip.js';
import type { ChipRun } from '../../chip/run-chip.js';
import type { BuildIdentity } from '../../contract/run-identity.js';
import { colours } from '../form/colours.js';
import { buildLine, madeByLines } from '../form/run-identity.js';
import { counted, grouped, textTable } from '../form/text-table.js';
import { paintVerdict } from '../form/verdict.js';

/** Why a vector is not the same, as one phrase; empty if it is. */
export function divergenceText({ divergence, stop }: ChipVectorResult): string {
  if (stop !== undefined) return stop;
  if (divergence === undefined) return '';
  const { tick, row, signal, wasm, chip } = divergence;
  return `tick ${tick}${row === 0 ? '' : ` row ${row}`} ${signal}: ${wasm} → ${chip}`;
}

const totalTicks = (vectors: readonly ChipVectorResult[]): number => vectors.reduce((sum, { ticks }) => sum + ticks, 0);
const isDifferent = ({ verdict }: ChipVectorResult): boolean => verdict !== 'same';

function runRow({ chip, over, vectors, chain }: ChipRun): string[] {
  const different = vectors.filter(isDifferent);
  const verdict = different.length === 0 ? paintVerdict('same') : colours.red(`${different.length} of ${vectors.length} differ`);
  const stack = Math.max(...vectors.map(({ stackBytes }) => stackBytes));
  return [chip, over, String(vectors.length), grouped(totalTicks(vectors)), chain, verdict, stack === 0 ? '' : `${stack} B`];
}

function divergenceTable(runs: readonly ChipRun[]): string {
  const rows = runs.flatMap(({ chip, vectors }) =>
    vectors.filter(isDifferent).map((one) => [chip, one.name, paintVerdict(one.verdict), divergenceText(one)]),
  );
  if (rows.length === 0) return '';
  return `${textTable([{ title: 'runner' }, { title: 'vector' }, { title: 'verdict' }, { title: 'first difference' }], rows)}\n`;
}

/** One line per chip whose arithmetic deviates. */
function arithmeticText(runs: readonly ChipRun[]): string {
  const lines = runs.map(({ chip, vectors }) => {
    const arithmetic = vectors[0]?.greeting.arithmetic ?? 0;
    return arithmetic === 0 ? '' : `${chip}: ${ARITHMETIC_FINDINGS[arithmetic] ?? `arithmetic ${arithmetic}`}\n`;
  });
  return lines.join('');
}

/** One line per runner, the wasm first; then every vector that is not the same. */
export function chipTable(runs: readonly ChipRun[], build: BuildIdentity): string {
  const [first] = runs;
  if (first === undefined) return '';
  const columns = [
    { title: 'runner' },
    { title: 'link over' },
    { title: 'vectors', isNumber: true },
    { title: 'ticks', isNumber: true },
    { title: 'chain' },
    { title: 'compared with wasm' },
    { title: 'stack used', isNumber: true },
  ];
  const wasm = ['wasm', '', String(first.vectors.length), '', first.wasmChain, '', ''];
  const ticks = totalTicks(runs.flatMap(({ vectors }) => vectors));
  const end = `${counted(ticks, 'tick')} on ${counted(runs.length, 'chip')}\n`;
  return `${textTable(columns, [wasm, ...runs.map(runRow)])}\n${divergenceTable(runs)}${arithmeticText(runs)}${madeByLines(first.vectors, build)}${end}`;
}

const numbers = (titles: readonly string[]): { title: string; isNumber: true }[] => titles.map((title) => ({ title, isNumber: true }));

/** Sizes of images. */
export function firmwareTable(images: readonly FirmwareSizes[], build: BuildIdentity): string {
  const columns = numbers(['rows', 'text', 'data', 'bss', 'controller text', 'controller RAM', 'stack, proven']);
  const rows = images.map((one) => [
    one.chip,
    String(one.rows),
    grouped(one.textBytes),
    grouped(one.dataBytes),
    grouped(one.bssBytes),
    grouped(one.controllerTextBytes),
    grouped(one.controllerRamBytes),
    one.stackBytes === undefined ? '' : grouped(one.stackBytes),
  ]);
  const paths = images
    .filter(({ stackPath }) => stackPath.length > 0)
    .map(({ chip, stackPath }) => `${chip}: ${stackPath.map(({ name, frame }) => `${name} ${frame}`).join(' → ')}`);
  const deepest = paths.length === 0 ? '' : `Deepest call path with its stack frames, without interrupts:\n${paths.join('\n')}\n`;
  return `${textTable([{ title: 'chip' }, ...columns], rows)}\nSizes in bytes.\n${deepest}${buildLine(build)}\n`;
}

const RESULT_PAINT = { within: colours.green, better: colours.yellow, worse: colours.red, new: colours.yellow };
const MARGIN = `${BUDGET_MARGIN * 100} %`;

/** The metrics that are not within the margin of their accepted values. */
function checkTable(checks: readonly BudgetCheck[]): string {
  const other = checks.filter(({ result }) => result !== 'within');
  if (other.length === 0) return `All ${checks.length} metrics are within ${MARGIN} of the accepted values.\n`;
  const rows = other.map((one) => [
    one.chip,
    String(one.rows),
    one.metric,
    one.accepted === undefined ? '' : String(one.accepted),
    String(one.value),
    RESULT_PAINT[one.result](one.result),
  ]);
  const titles = ['chip', 'rows', 'metric', 'accepted', 'measured', 'result'];
  return `Not within ${MARGIN} of the accepted values:\n${textTable(
    titles.map((title) => ({ title })),
    rows,
  )}`;
}

/** The measured budgets, and how they compare with the accepted ones. */
export function budgetTable(budgets: readonly ChipBudget[], checks: readonly BudgetCheck[], build: BuildIdentity): string {
  const titles = ['rows', 'text', 'data', 'bss', 'stack proven', 'used', ...SETTING_NAMES.flatMap((one) => [one, 'max'])];
  const rows = budgets.map((one) => [
    one.chip,
    String(one.rows),
    grouped(one.textBytes),
    grouped(one.dataBytes),
    grouped(one.bssBytes),
    grouped(one.stackBytes ?? 0),
    grouped(Math.max(...SETTING_NAMES.map((name) => one.settings[name].stackUsedBytes))),
    ...SETTING_NAMES.flatMap((name) => {
      const { meanInstructions, maxInstructions } = one.settings[name];
      return [meanInstructions.toFixed(0), maxInstructions.toFixed(0)];
    }),
  ]);
  const table = textTable([{ title: 'chip' }, ...numbers(titles)], rows);
  return `${table}\nSizes in bytes; executed instructions of a row's share of a tick, mean and max.\n${buildLine(build)}\n\n${checkTable(checks)}`;
}
