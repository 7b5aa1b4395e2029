import { type Budget, type FirmwareSheet, SETTING_NAMES } from '../../chip/budget.js';
import type { BudgetVerdict } from '../../chip/budget-table.js';
import { ARITHMETIC_FINDINGS } from '../../chip/link.js';
import type { ChipCaseResult } from '../../chip/replay-chip.js';
import type { ChipRun } from '../../chip/run-chip.js';
import { colours } from '../form/colours.js';
import { counted, grouped, textTable } from '../form/text-table.js';

const PAINT = { same: colours.green, different: colours.red, stopped: colours.red };

/** Why a case is not the same, as one phrase. */
export function chipDifference({ difference, stop }: ChipCaseResult): string {
  if (stop !== undefined) return stop;
  if (difference === undefined) return '';
  const { tick, row, signal, wasm, chip } = difference;
  return `tick ${tick}${row === 0 ? '' : ` row ${row}`} ${signal}: ${wasm} → ${chip}`;
}

const sumOf = (cases: readonly ChipCaseResult[], value: (one: ChipCaseResult) => number): number =>
  cases.reduce((sum, one) => sum + value(one), 0);

function runRow({ chip, over, cases, chain }: ChipRun): string[] {
  const bad = cases.filter(({ verdict }) => verdict !== 'same');
  const verdict = bad.length === 0 ? PAINT.same('same') : PAINT.different(`${bad.length} of ${cases.length} differ`);
  const stack = Math.max(...cases.map(({ stackBytes }) => stackBytes));
  const ticks = sumOf(cases, (one) => one.ticks);
  return [chip, over, String(cases.length), grouped(ticks), chain, verdict, stack === 0 ? '' : `${stack} B`];
}

/** One line for each chip, the wasm first; then every vector that is not the same. */
export function chipTable(runs: readonly ChipRun[]): string {
  const [first] = runs;
  if (first === undefined) return '';
  const columns = [
    { title: 'target' },
    { title: 'link over' },
    { title: 'vectors', isNumber: true },
    { title: 'ticks', isNumber: true },
    { title: 'chain' },
    { title: 'against the wasm' },
    { title: 'stack used', isNumber: true },
  ];
  const wasm = ['wasm', '', String(first.cases.length), '', first.wasmChain, '', ''];
  const different = runs.flatMap(({ chip, cases }) =>
    cases.filter(({ verdict }) => verdict !== 'same').map((one) => [chip, one.name, PAINT[one.verdict](one.verdict), chipDifference(one)]),
  );
  const findings = runs
    .map(({ chip, cases }) => ({ chip, arithmetic: cases[0]?.greeting.arithmetic ?? 0 }))
    .filter(({ arithmetic }) => arithmetic !== 0)
    .map(({ chip, arithmetic }) => `${chip}: ${ARITHMETIC_FINDINGS[arithmetic] ?? `arithmetic ${arithmetic}`}\n`);
  const details = textTable([{ title: 'target' }, { title: 'vector' }, { title: 'verdict' }, { title: 'first difference' }], different);
  const ticks = sumOf(
    runs.flatMap(({ cases }) => cases),
    (one) => one.ticks,
  );
  const end = `${counted(ticks, 'tick')} on ${counted(runs.length, 'target')}\n`;
  return `${textTable(columns, [wasm, ...runs.map(runRow)])}\n${different.length === 0 ? '' : `${details}\n`}${findings.join('')}${end}`;
}

const bytes = (count: number): string => grouped(count);

/** What images take. */
export function firmwareTable(sheets: readonly FirmwareSheet[]): string {
  const columns = ['text', 'data', 'bss', 'controller text', 'controller RAM', 'stack, proven'].map((title) => ({ title, isNumber: true }));
  const rows = sheets.map((one) => [
    one.chip,
    String(one.rows),
    bytes(one.textBytes),
    bytes(one.dataBytes),
    bytes(one.bssBytes),
    bytes(one.controllerTextBytes),
    bytes(one.controllerRamBytes),
    one.stackBytes === undefined ? '' : bytes(one.stackBytes),
  ]);
  const paths = sheets
    .filter(({ stackPath }) => stackPath.length > 0)
    .map(({ chip, stackPath }) => `${chip}: ${stackPath.map(({ name, frame }) => `${name} ${frame}`).join(' → ')}`);
  const table = textTable([{ title: 'chip' }, { title: 'rows', isNumber: true }, ...columns], rows);
  return `${table}\nbytes; the deepest way down the stack, before interrupts:\n${paths.join('\n')}\n`;
}

const VERDICT_PAINT = { within: colours.green, better: colours.yellow, worse: colours.red, new: colours.yellow };

/** The budgets as they are now, and every metric that is not within 5 % of what was accepted. */
export function budgetTable(budgets: readonly Budget[], verdicts: readonly BudgetVerdict[]): string {
  const titles = ['rows', 'text', 'data', 'bss', 'stack proven', 'used', ...SETTING_NAMES.flatMap((one) => [one, 'worst'])];
  const rows = budgets.map((one) => [
    one.chip,
    String(one.rows),
    bytes(one.textBytes),
    bytes(one.dataBytes),
    bytes(one.bssBytes),
    bytes(one.stackBytes ?? 0),
    bytes(Math.max(...SETTING_NAMES.map((name) => one.settings[name].stackUsedBytes))),
    ...SETTING_NAMES.flatMap((name) => {
      const { meanInstructions, worstInstructions } = one.settings[name];
      return [meanInstructions.toFixed(0), worstInstructions.toFixed(0)];
    }),
  ]);
  const other = verdicts.filter(({ verdict }) => verdict !== 'within');
  const details = other.map((one) => [
    one.chip,
    String(one.rows),
    one.metric,
    one.accepted === undefined ? '' : String(one.accepted),
    String(one.value),
    VERDICT_PAINT[one.verdict](one.verdict),
  ]);
  const table = textTable([{ title: 'chip' }, ...titles.map((title) => ({ title, isNumber: true }))], rows);
  const parted = ['chip', 'rows', 'metric', 'accepted', 'now', 'verdict'].map((title) => ({ title }));
  const end = other.length === 0 ? `all ${verdicts.length} metrics within 5 % of what was accepted\n` : textTable(parted, details);
  return `${table}\nbytes; executed instructions for a row’s share of a tick, mean and worst\n\n${end}`;
}
