import { FAULTS } from '../../shared/faults.js';
import { ROWS_MAX } from '../../shared/limits.js';
import { UNITS, type UnitName } from '../../shared/units.js';
import type { InputError } from '../common/input-error.js';
import type { YamlFile, YamlPath } from '../common/yaml-file.js';
import { BANK_FIGURES, type FaultSpan, FIGURES, type FigureName, type Figures, OVERS, type Over, ROW_FIGURES } from './metrics.js';

/** A figure must be between two values, or on one side of one. In the figure's own unit. */
export interface FigureRequirement {
  readonly figure: FigureName;
  readonly least?: number;
  readonly most?: number;
  /** Of a figure of rows: what of all rows is judged; left out, what the figure's kind says. */
  readonly over?: Over;
  /** Or the one row that is, counted from 1. */
  readonly row?: number;
}

/** A fault must be raised between two moments, seconds into the run, or never. */
export interface FaultRequirement {
  readonly fault: string;
  /** Counted from 1; left out for a fault of the bank. */
  readonly row?: number;
  readonly fromS?: number;
  readonly toS?: number;
  readonly never?: true;
}

/** No fault may be raised at all. */
export interface NoFaults {
  readonly faults: 'none';
}

export type Requirement = FigureRequirement | FaultRequirement | NoFaults;

/** What a kind of requirement may say, by the key that tells the kind. */
const KEYS = {
  figure: ['figure', 'least', 'most', 'over', 'row'],
  fault: ['fault', 'row', 'fromS', 'toS', 'never'],
  faults: ['faults'],
} as const;
type Kind = keyof typeof KEYS;
const KINDS = Object.keys(KEYS) as Kind[];

/**
 * JSON Schema of a list of requirements. One mapping of all keys, not one for each kind, so that an error stands at the key or
 * value that is wrong; which keys go together is `checkRequirements`’ part.
 */
export function requirementsSchema(): object {
  const moment = { type: 'number', minimum: 0, unit: 's' };
  return {
    type: 'array',
    maxItems: 1000,
    items: {
      type: 'object',
      additionalProperties: false,
      properties: {
        figure: { type: 'string', enum: FIGURES.map(({ name }) => name) },
        least: { type: 'number' },
        most: { type: 'number' },
        over: { type: 'string', enum: OVERS },
        row: { type: 'integer', minimum: 1, maximum: ROWS_MAX },
        fault: { type: 'string', enum: FAULTS.map(({ name }) => name) },
        fromS: moment,
        toS: moment,
        never: { const: true },
        faults: { const: 'none' },
      },
    },
  };
}

/** The run that requirements are for. */
export interface RequiredRun {
  readonly rows: number;
  readonly seconds: number;
}

/** Makes an InputError about a key of a requirement, or about the requirement if the key is left out. */
type Wrong = (key: string | undefined, what: string, allowed: string | readonly string[]) => InputError;

function checkRow(row: number, rows: number, wrong: Wrong): void {
  if (row > rows) throw wrong('row', 'row', `a whole number from 1 to ${rows}`);
}

function checkFigure({ figure, least, most, over, row }: FigureRequirement, { rows }: RequiredRun, wrong: Wrong): void {
  if (least === undefined && most === undefined) throw wrong(undefined, `least or most of ${figure} is missing`, 'one of them, or both');
  if (least !== undefined && most !== undefined && least > most) throw wrong('least', 'least', `up to most, ${most}`);
  const stray = over !== undefined ? 'over' : 'row';
  const isOfRows = ROW_FIGURES.some(({ name }) => name === figure);
  if (!isOfRows && (over ?? row) !== undefined)
    throw wrong(stray, `${figure} with ${stray}`, 'neither over nor row: it is a figure of the bank');
  if (over !== undefined && row !== undefined) throw wrong('over', 'row with over', 'one of the two');
  if (row !== undefined) checkRow(row, rows, wrong);
}

function checkFault({ fault, row, fromS, toS, never }: FaultRequirement, { rows, seconds }: RequiredRun, wrong: Wrong): void {
  const isOfRow = FAULTS.find(({ name }) => name === fault)?.scope === 'row';
  if (isOfRow && row === undefined) throw wrong(undefined, `row of ${fault} is missing`, `a whole number from 1 to ${rows}`);
  if (!isOfRow && row !== undefined) throw wrong('row', `${fault} with row`, 'no row: it is a fault of the bank');
  if (row !== undefined) checkRow(row, rows, wrong);
  if (never) {
    if ((fromS ?? toS) !== undefined) throw wrong('never', 'fromS or toS with never', 'one of the two');
    return;
  }
  if (fromS === undefined || toS === undefined) throw wrong(undefined, `when of ${fault} is missing`, 'fromS and toS, or never: true');
  if (!(fromS < toS)) throw wrong('toS', 'toS', `after fromS, ${fromS} s`);
  if (toS > seconds) throw wrong('toS', 'toS', `up to ${seconds} s, the run’s end`);
}

/**
 * Checks what the schema can't say of a list of requirements that it let pass, and answers the same list.
 * @param path where the list stands in the file
 * @throws InputError at the key that doesn't go with the others, the figure or fault, or the run
 */
export function checkRequirements(
  written: readonly unknown[],
  run: RequiredRun,
  file: YamlFile<unknown>,
  path: YamlPath,
): readonly Requirement[] {
  for (const [index, one] of written.entries()) {
    const wrong: Wrong = (key, ...words) => file.wrong([...path, index, ...(key === undefined ? [] : [key])], ...words);
    const keys = Object.keys(Object(one));
    const kinds = KINDS.filter((kind) => keys.includes(kind));
    const [kind] = kinds;
    if (kind === undefined) throw wrong(undefined, 'requirement without a subject', KINDS);
    const stray = keys.find((key) => !(KEYS[kind] as readonly string[]).includes(key));
    if (stray !== undefined) throw wrong(stray, `${kind} with ${stray}`, `only ${KEYS[kind].join(', ')}`);
    if (kind === 'figure') checkFigure(one as FigureRequirement, run, wrong);
    if (kind === 'fault') checkFault(one as FaultRequirement, run, wrong);
  }
  return written as readonly Requirement[];
}

/** Whether a requirement holds, with words for it and for what was found. */
export interface Verdict {
  readonly words: string;
  readonly found: string;
  readonly holds: boolean;
}

/** So many digits that a value just beyond a limit doesn't look like the limit. */
const DIGITS = 6;

/** The number that a requirement judges, and words for what it is of. */
function judgedValue({ figure, over, row }: FigureRequirement, figures: Figures): { value: number; of: string; unit: UnitName } {
  const ofBank = BANK_FIGURES.find(({ name }) => name === figure);
  if (ofBank !== undefined) return { value: figures.bank[ofBank.name], of: figure, unit: ofBank.unit };
  const ofRow = ROW_FIGURES.find(({ name }) => name === figure);
  if (ofRow === undefined) throw new Error(`no figure is called ${figure}`);
  const { name, unit } = ofRow;
  if (row !== undefined) return { value: figures.byRow[name][row - 1] ?? Number.NaN, of: `${name} of row ${row}`, unit };
  const judged = over ?? ofRow.over;
  return { value: figures.over[name][judged], of: `${name}, ${judged} over rows`, unit };
}

const shortened = (value: number): number => Number(value.toPrecision(DIGITS));

function judgeFigure(requirement: FigureRequirement, figures: Figures): Verdict {
  const { least, most } = requirement;
  const { value, of, unit } = judgedValue(requirement, figures);
  const { symbol } = UNITS[unit];
  const limits = least === undefined ? `at most ${most}` : most === undefined ? `at least ${least}` : `${least} to ${most}`;
  return {
    words: `${of}: ${limits} ${symbol}`.trimEnd(),
    found: Number.isNaN(value) ? 'no value' : `${shortened(value)} ${symbol}`.trimEnd(),
    // So written that what is not a number does not hold.
    holds: value >= (least ?? Number.NEGATIVE_INFINITY) && value <= (most ?? Number.POSITIVE_INFINITY),
  };
}

const raisedAt = (span: FaultSpan | undefined): string => (span === undefined ? 'not raised' : `raised at ${shortened(span.fromS)} s`);

function judgeFault({ fault, row = 0, fromS = 0, toS = 0, never }: FaultRequirement, { faults }: Figures): Verdict {
  const subject = row === 0 ? fault : `${fault} of row ${row}`;
  const raised = faults.filter((span) => span.name === fault && span.row === row);
  if (never) return { words: `${subject} never raised`, found: raisedAt(raised[0]), holds: raised.length === 0 };
  const inTime = raised.find((span) => span.fromS >= fromS && span.fromS <= toS);
  return { words: `${subject} raised from ${fromS} to ${toS} s`, found: raisedAt(inTime ?? raised[0]), holds: inTime !== undefined };
}

function judgeNone({ faults }: Figures): Verdict {
  const [first] = faults;
  const found = first === undefined ? 'none' : `${first.name}${first.row === 0 ? '' : ` of row ${first.row}`} ${raisedAt(first)}`;
  return { words: 'no fault raised', found, holds: first === undefined };
}

/** Verdicts on a run's figures, in the order of the requirements. What could not be assessed does not hold. */
export function judge(figures: Figures, requirements: readonly Requirement[]): Verdict[] {
  return requirements.map((one) => {
    if ('figure' in one) return judgeFigure(one, figures);
    return 'fault' in one ? judgeFault(one, figures) : judgeNone(figures);
  });
}
