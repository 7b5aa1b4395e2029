import { MACHINE } from '../../../shared/machine.js';
import { SIZING } from '../../../shared/sizing.js';
import type { Check, Verdict } from '../../sizing/check.js';
import type { Sizing } from '../../sizing/size-machine.js';
import { awgMm2, THICKEST_AWG } from '../../sizing/wire.js';
import { gauge, inSystem, type Kind, kindAt, kindOf, type System, written } from './sizing-units.js';
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
  type ListWords,
  OIL,
  PROPORTIONAL,
  RESERVOIR,
  SEGMENT_LABELS,
  SENSITIVE_WORDS,
  SENSORS,
  SLEW_LABELS,
  STROKE_LABELS,
  VALVE,
} from './sizing-words.js';

/** A number on the sheet: where it is from, and how it is written. */
export interface Metric {
  readonly path: string;
  readonly text: string;
}

/** Metrics with a unit each, one to a line. */
export interface List {
  readonly rows: readonly { readonly label: string; readonly metric: Metric; readonly unit: string }[];
}

/** A table of metrics; `unitFirst`: a line has one unit, which stands in its second column. */
export interface Grid {
  readonly caption: string;
  readonly heads: readonly string[];
  readonly unitFirst: boolean;
  readonly rows: readonly { readonly head: string; readonly unit: string; readonly metrics: readonly Metric[] }[];
}

export interface Section {
  readonly id: string;
  readonly title: string;
  readonly note: string;
  readonly lists: readonly List[];
  readonly grids: readonly Grid[];
}

/** A design check as it is written. */
export interface CheckLine {
  readonly check: Check;
  readonly value: Metric;
  readonly limit: Metric;
  readonly nearLimit: Metric;
  readonly unit: string;
}

export interface Sheet {
  readonly system: System;
  readonly checks: readonly CheckLine[];
  readonly counts: Readonly<Record<Verdict, number>>;
  readonly sections: readonly Section[];
}

/** Value at a path such as `harness.segments.0.peakA`. @throws Error where there is no number: a fault of ours */
export function numberAt(of: object, path: string): number {
  let value: unknown = of;
  for (const name of path.split('.')) value = (value as Readonly<Record<string, unknown>> | undefined)?.[name];
  if (typeof value !== 'number') throw new Error(`the sizing has no number at ${path}`);
  return value;
}

const ORDER: readonly Verdict[] = ['fail', 'near', 'pass'];

/** A sheet in one system of units: all that the text and the page print. */
export class SheetWriter {
  constructor(
    readonly sizing: Sizing,
    readonly system: System,
  ) {}

  metric(path: string, kind: Kind = kindAt(path)): Metric {
    return { path, text: inSystem(numberAt(this.sizing, path), kind, this.system) };
  }

  /** A change in percent: a tenth of it is as much as anybody wants to know. */
  change(path: string): Metric {
    const value = numberAt(this.sizing, path);
    const text = Math.abs(value) < 1000 ? value.toFixed(1).replace('-', '−') : written(value);
    return { path, text: /[1-9]/.test(text) ? text : '0' };
  }

  unit(path: string): string {
    return kindAt(path)[this.system].symbol;
  }

  list(labels: Labels): List {
    return { rows: labels.map(([path, label]) => ({ label, metric: this.metric(path), unit: this.unit(path) })) };
  }

  /** One line to a label, one column to a case. */
  across(caption: string, cases: readonly (readonly [path: string, head: string])[], labels: Labels): Grid {
    const [[first] = ['']] = cases;
    return {
      caption,
      heads: cases.map(([, head]) => head),
      unitFirst: true,
      rows: labels.map(([name, head]) => ({
        head,
        unit: this.unit(`${first}.${name}`),
        metrics: cases.map(([path]) => this.metric(`${path}.${name}`)),
      })),
    };
  }

  /** One line to a case, one column to a label. */
  down(caption: string, cases: readonly (readonly [path: string, head: string])[], labels: Labels): Grid {
    const [[first] = ['']] = cases;
    return {
      caption,
      heads: labels.map(([name, head]) => [head, this.unit(`${first}.${name}`)].filter((word) => word !== '').join(', ')),
      unitFirst: false,
      rows: cases.map(([path, head]) => ({ head, unit: '', metrics: labels.map(([name]) => this.metric(`${path}.${name}`)) })),
    };
  }

  checks(): CheckLine[] {
    const lines = this.sizing.checks.map((check, index): CheckLine => {
      const kind = kindOf(check.unit);
      const of = (name: string): Metric => this.metric(`checks.${index}.${name}`, kind);
      return { check, value: of('value'), limit: of('limit'), nearLimit: of('nearLimit'), unit: kind[this.system].symbol };
    });
    return ORDER.flatMap((verdict) => lines.filter(({ check }) => check.verdict === verdict));
  }

  sensitivity(): Grid[] {
    const { sensitivity } = this.sizing;
    const names = Object.keys(SENSITIVE_WORDS);
    const half = Math.ceil(names.length / 2);
    return [names.slice(0, half), names.slice(half)].map((some, part) => ({
      caption: `Change of each metric, %, where a choice is a tenth larger and all else stays${part === 0 ? '' : ' (continued)'}`,
      heads: ['value', 'unit', ...some.map((name) => SENSITIVE_WORDS[name] ?? name)],
      unitFirst: false,
      rows: sensitivity.map(({ choice }, index) => {
        const kind = kindOfQuantity(choice);
        const changes = some.map((name) => this.change(`sensitivity.${index}.changePercent.${name}`));
        const value = this.metric(`sensitivity.${index}.value`, kind);
        return { head: choice, unit: '', metrics: [value, { path: '', text: kind[this.system].symbol }, ...changes] };
      }),
    }));
  }
}

const QUANTITIES = [...MACHINE, ...SIZING].flatMap((part) => part.quantities);

/** What a quantity is: that of the tables; a controller's parameter has its unit in its name. */
export function kindOfQuantity(name: string): Kind {
  const known = QUANTITIES.find((one) => one.name === name);
  return known === undefined ? kindAt(name) : kindOf(known.unit);
}

const section = (writer: SheetWriter, { id, title, note = '', labels }: ListWords, ...grids: Grid[]): Section => ({
  id,
  title,
  note,
  lists: [writer.list(labels)],
  grids,
});

const SLEW_CASES = [
  ['slew.least', 'lowest p'],
  ['slew.usual', 'usual p'],
  ['slew.most', 'highest p'],
  ['slew.cold', 'cold oil'],
  ['slew.hot', 'hot oil'],
] as const;

function strokesGrid(writer: SheetWriter): Grid {
  const supplies = ['lowest', 'usual', 'highest'];
  const coils = ['cold', '20 °C (68 °F)', 'hot'];
  const head = (index: number): string => `${supplies[Math.floor(index / coils.length)]}, ${coils[index % coils.length]}`;
  const cases = writer.sizing.strokes.map((_, index) => [`strokes.${index}`, head(index)] as const);
  return writer.down('A stroke over supply voltage (lowest, usual, highest) and coil temperature', cases, STROKE_LABELS);
}

function segmentGrid(writer: SheetWriter): Grid {
  const { segments } = writer.sizing.harness;
  const cases = segments.map((_, index) => [`harness.segments.${index}`, index === 0 ? 'lead' : ''] as const);
  const grid = writer.down('Segments of the longer arm, lowest supply, worse temperature, worst strokes', cases, SEGMENT_LABELS);
  // The gauge ends at the thickest that there is, the area does not.
  const isBeyond = (index: number): boolean => (segments[index]?.neededMm2 ?? 0) > awgMm2(THICKEST_AWG) * (1 + 1e-9);
  const beyond = (metric: Metric): Metric =>
    metric.path.endsWith('neededAwg') ? { ...metric, text: `over ${gauge(THICKEST_AWG)}` } : metric;
  return { ...grid, rows: grid.rows.map((row, index) => (isBeyond(index) ? { ...row, metrics: row.metrics.map(beyond) } : row)) };
}

function budgetSection(writer: SheetWriter): Section {
  const { budgets, budget } = writer.sizing;
  const others = budgets.map(({ rows }, index) => [`budgets.${index}`, `${rows} rows`] as const);
  const cases = [['budget', `this: ${budget.rows} rows`] as const, ...others];
  const grid = writer.across('What down force and its neighbours need of the tractor, and what is left', cases, BUDGET_LABELS);
  return { id: 'budgets', title: 'Budgets at 24, 36 and 48 rows', note: '', lists: [], grids: [grid] };
}

/** The whole sheet of a sizing. */
export function sheetOf(sizing: Sizing, system: System): Sheet {
  const writer = new SheetWriter(sizing, system);
  const slew = writer.across(
    'Slew and shortest pulse; lowest, usual and highest working pressure with oil at 40 °C (104 °F)',
    SLEW_CASES,
    SLEW_LABELS,
  );
  const closing = writer.across(
    'Closing one valve of each row',
    [
      ['reservoir.cold', 'cold'],
      ['reservoir.hot', 'hot'],
    ],
    CLOSING_LABELS,
  );
  const strokes = { id: 'strokes', title: 'Coil and strokes', note: '', lists: [], grids: [strokesGrid(writer)] };
  const sensitivity = { id: 'sensitivity', title: 'What moves which metric', note: '', lists: [], grids: writer.sensitivity() };
  const checks = writer.checks();
  const counts = { fail: 0, near: 0, pass: 0 };
  for (const { check } of checks) counts[check.verdict] += 1;
  const sections = [
    section(writer, FORCE),
    section(writer, GAS),
    section(writer, VALVE, slew),
    section(writer, SENSORS),
    strokes,
    section(writer, DUTY),
    section(writer, HARNESS, segmentGrid(writer)),
    section(writer, RESERVOIR, closing),
    section(writer, OIL),
    budgetSection(writer),
    section(writer, HEAT),
    section(writer, LIFE),
    section(writer, PROPORTIONAL),
    sensitivity,
  ];
  return { system, checks, counts, sections };
}
