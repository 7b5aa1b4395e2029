import { MACHINE } from '../../../shared/machine.js';
import { SIZING } from '../../../shared/sizing.js';
import { PARAMETERS } from '../../contract/tables.js';
import type { Check, CheckResult } from '../../sizing/check.js';
import type { Sizing } from '../../sizing/size-machine.js';
import { awgMm2, THICKEST_AWG } from '../../sizing/wire.js';
import {
  BUDGET_LABELS,
  CLOSING_LABELS,
  DUTY,
  FORCE,
  GAS,
  HARNESS,
  HEAT,
  type Labels,
  LIFE,
  type ListLabels,
  OIL,
  PEAK_LABELS,
  PROPORTIONAL,
  RESERVOIR,
  SEGMENT_LABELS,
  SENSITIVITY_LABELS,
  SENSORS,
  SLEW_LABELS,
  STROKE_LABELS,
  VALVE,
} from './sizing-labels.js';
import { AWG, digitsApart, gauge, inSystem, type Kind, kindAt, kindOf, ownKind, type System, written } from './sizing-units.js';

/** A number on the sheet: its path in the sizing, and its text. */
export interface SheetValue {
  readonly path: string;
  readonly text: string;
}

/** Values with a unit each, one to a line. */
export interface List {
  readonly rows: readonly { readonly label: string; readonly value: SheetValue; readonly unit: string }[];
}

/** A table of values. With `unitFirst`, each line has one unit, in the second column. */
export interface Grid {
  readonly caption: string;
  readonly heads: readonly string[];
  readonly unitFirst: boolean;
  readonly rows: readonly { readonly head: string; readonly unit: string; readonly values: readonly SheetValue[] }[];
}

export interface Section {
  readonly id: string;
  readonly title: string;
  readonly note: string;
  readonly lists: readonly List[];
  readonly grids: readonly Grid[];
}

/** A design check with its numbers as text. */
export interface CheckLine {
  readonly check: Check;
  /** The operator as text: gauges count the other way round than areas. */
  readonly relation: '<=' | '>=' | 'no thicker than';
  readonly value: SheetValue;
  readonly milder: SheetValue | undefined;
  readonly limit: SheetValue;
  readonly marginalLimit: SheetValue;
  readonly unit: string;
}

export interface Sheet {
  readonly system: System;
  readonly checks: readonly CheckLine[];
  readonly counts: Readonly<Record<CheckResult, number>>;
  readonly sections: readonly Section[];
}

/** Returns the number at a path such as `harness.segments.0.peakA`. @throws Error if there is none, which is a bug */
export function numberAt(of: object, path: string): number {
  let value: unknown = of;
  for (const name of path.split('.')) value = (value as Readonly<Record<string, unknown>> | undefined)?.[name];
  if (typeof value !== 'number') throw new Error(`the sizing has no number at ${path}`);
  return value;
}

const ORDER: readonly CheckResult[] = ['fail', 'marginal', 'pass'];

/** Writes a sizing in one system of units, for text and page alike. */
export class SheetWriter {
  constructor(
    readonly sizing: Sizing,
    readonly system: System,
  ) {}

  value(path: string, kind: Kind = kindAt(path)): SheetValue {
    return { path, text: inSystem(numberAt(this.sizing, path), kind, this.system) };
  }

  /** A change in percent, to one decimal. */
  change(path: string): SheetValue {
    const value = numberAt(this.sizing, path);
    const text = Math.abs(value) < 1000 ? value.toFixed(1).replace('-', '−') : written(value);
    return { path, text: /[1-9]/.test(text) ? text : '0' };
  }

  unit(path: string): string {
    return kindAt(path)[this.system].symbol;
  }

  list(labels: Labels): List {
    return { rows: labels.map(([path, label]) => ({ label, value: this.value(path), unit: this.unit(path) })) };
  }

  /** A table with a line per label and a column per case. */
  across(caption: string, cases: readonly (readonly [path: string, head: string])[], labels: Labels): Grid {
    const [[first] = ['']] = cases;
    return {
      caption,
      heads: cases.map(([, head]) => head),
      unitFirst: true,
      rows: labels.map(([name, head]) => ({
        head,
        unit: this.unit(`${first}.${name}`),
        values: cases.map(([path]) => this.value(`${path}.${name}`)),
      })),
    };
  }

  /** A table with a line per case and a column per label. */
  down(caption: string, cases: readonly (readonly [path: string, head: string])[], labels: Labels): Grid {
    const [[first] = ['']] = cases;
    return {
      caption,
      heads: labels.map(([name, head]) => [head, this.unit(`${first}.${name}`)].filter((word) => word !== '').join(', ')),
      unitFirst: false,
      rows: cases.map(([path, head]) => ({ head, unit: '', values: labels.map(([name]) => this.value(`${path}.${name}`)) })),
    };
  }

  checks(): CheckLine[] {
    const lines = this.sizing.checks.map((check, index) => this.checkLine(check, `checks.${index}`));
    return ORDER.flatMap((result) => lines.filter(({ check }) => check.result === result));
  }

  /** A check; its numbers have as many digits as it takes to tell the value from the limit. */
  private checkLine(check: Check, path: string): CheckLine {
    const kind = kindOf(check.unit);
    const unit = kind[this.system].symbol;
    const digits = digitsApart(check.value, check.limit, kind, this.system);
    const of = (name: string, value: number): SheetValue => ({
      path: `${path}.${name}`,
      text: inSystem(value, kind, this.system, digits),
    });
    return {
      check,
      relation: unit === AWG && check.operator === '<=' ? 'no thicker than' : check.operator,
      value: of('value', check.value),
      milder: check.milder === undefined ? undefined : of('milder.value', check.milder.value),
      limit: of('limit', check.limit),
      marginalLimit: of('marginalLimit', check.marginalLimit),
      unit,
    };
  }

  sensitivity(): Grid[] {
    const { sensitivity } = this.sizing;
    const names = Object.keys(SENSITIVITY_LABELS);
    const half = Math.ceil(names.length / 2);
    return [names.slice(0, half), names.slice(half)].map((columns, part) => ({
      caption: `Change of each result, %, when one quantity grows by 10 % and all others stay the same${part === 0 ? '' : ' (continued)'}`,
      heads: ['value', 'unit', ...columns.map((name) => SENSITIVITY_LABELS[name] ?? name)],
      unitFirst: false,
      rows: sensitivity.map(({ quantity }, index) => {
        const kind = kindOfQuantity(quantity);
        const changes = columns.map((name) => this.change(`sensitivity.${index}.changePercent.${name}`));
        const value = this.value(`sensitivity.${index}.value`, kind);
        return { head: quantity, unit: '', values: [value, { path: '', text: kind[this.system].symbol }, ...changes] };
      }),
    }));
  }
}

const QUANTITIES = [...[...MACHINE, ...SIZING].flatMap((part) => part.quantities), ...PARAMETERS];

/** Returns the kind of an input value, which is printed beside its name and so in the unit of that name in both systems. */
export function kindOfQuantity(name: string): Kind {
  const known = QUANTITIES.find((one) => one.name === name);
  return known === undefined ? kindAt(name) : ownKind(known.unit);
}

const section = (writer: SheetWriter, { id, title, note = '', labels }: ListLabels, ...grids: Grid[]): Section => ({
  id,
  title,
  note,
  lists: [writer.list(labels.filter(([path]) => writer.sizing.accumulator !== undefined || !path.startsWith('accumulator.')))],
  grids,
});

const SLEW_CASES = [
  ['slew.lowPressure', 'lowest pressure'],
  ['slew.typical', 'typical pressure'],
  ['slew.highPressure', 'highest pressure'],
  ['slew.coldOil', 'cold oil'],
  ['slew.hotOil', 'hot oil'],
] as const;

function strokesGrid(writer: SheetWriter): Grid {
  const supplies = ['lowest', 'nominal', 'highest'];
  const coils = ['cold', '20 °C (68 °F)', 'hot'];
  const head = (index: number): string => `${supplies[Math.floor(index / coils.length)]}, ${coils[index % coils.length]}`;
  const cases = writer.sizing.strokes.map((_, index) => [`strokes.${index}`, head(index)] as const);
  return writer.down(
    'Strokes at the lowest, nominal and highest supply voltage, with the coil cold, at 20 °C (68 °F) and hot',
    cases,
    STROKE_LABELS,
  );
}

function segmentGrid(writer: SheetWriter): Grid {
  const { segments } = writer.sizing.harness;
  const cases = segments.map((_, index) => [`harness.segments.${index}`, index === 0 ? 'lead' : ''] as const);
  const grid = writer.down(
    'Segments of the longer branch: lowest supply voltage, worst-case temperature and strokes',
    cases,
    SEGMENT_LABELS,
  );
  // Gauges end at the thickest one, areas do not.
  const isBeyond = (index: number): boolean => (segments[index]?.neededMm2 ?? 0) > awgMm2(THICKEST_AWG) * (1 + 1e-9);
  const beyond = (value: SheetValue): SheetValue =>
    value.path.endsWith('neededAwg') ? { ...value, text: `over ${gauge(THICKEST_AWG)}` } : value;
  return { ...grid, rows: grid.rows.map((row, index) => (isBeyond(index) ? { ...row, values: row.values.map(beyond) } : row)) };
}

function budgetSection(writer: SheetWriter): Section {
  const { supplyBudgets } = writer.sizing;
  const others = supplyBudgets.map(({ rows }, index) => [`supplyBudgets.${index}`, `${rows} rows`] as const);
  const cases = [['supplyBudget', 'this machine'] as const, ...others];
  const grid = writer.across('Demand of down force and other consumers, and what the tractor has to spare', cases, BUDGET_LABELS);
  return { id: 'supplyBudgets', title: 'Supply budgets at 24, 36 and 48 rows', note: '', lists: [], grids: [grid] };
}

/** Returns the complete sheet of a sizing. */
export function sheetOf(sizing: Sizing, system: System): Sheet {
  const writer = new SheetWriter(sizing, system);
  const slew = writer.across(
    'Slew and minimum pulse; lowest, typical and highest working pressure with oil at 40 °C (104 °F)',
    SLEW_CASES,
    SLEW_LABELS,
  );
  const peak = writer.across(
    'Down-force peak with row cleaners and fertiliser openers on the same hoses',
    [
      ['oil.warm', 'oil at 40 °C (104 °F)'],
      ['oil.cold', 'coldest oil'],
    ],
    PEAK_LABELS,
  );
  const closing = writer.across(
    'Closing one valve per row',
    [
      ['reservoir.cold', 'cold'],
      ['reservoir.hot', 'hot'],
    ],
    CLOSING_LABELS,
  );
  const strokes = { id: 'strokes', title: 'Coil and strokes', note: '', lists: [], grids: [strokesGrid(writer)] };
  const sensitivity = { id: 'sensitivity', title: 'Sensitivity', note: '', lists: [], grids: writer.sensitivity() };
  const checks = writer.checks();
  const counts = { fail: 0, marginal: 0, pass: 0 };
  for (const { check } of checks) counts[check.result] += 1;
  const sections = [
    section(writer, FORCE),
    section(writer, { ...GAS, title: sizing.accumulator === undefined ? 'Stiffness' : GAS.title }),
    section(writer, VALVE, slew),
    section(writer, SENSORS),
    strokes,
    section(writer, DUTY),
    section(writer, HARNESS, segmentGrid(writer)),
    section(writer, RESERVOIR, closing),
    section(writer, OIL, peak),
    budgetSection(writer),
    section(writer, HEAT),
    section(writer, LIFE),
    section(writer, PROPORTIONAL),
    sensitivity,
  ];
  return { system, checks, counts, sections };
}
