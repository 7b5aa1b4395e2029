import { ROWS_MAX } from '../../shared/limits.js';
import { CHIP_NAMES } from '../chip/chips.js';
import { MOMENT_RULE, type Moment, parseMoment } from '../common/moment.js';
import { checkOutputFile, checkOutputFolder } from '../common/outputs.js';
import { parseNumber } from '../common/parse-number.js';
import { SYSTEMS } from '../report/form/units.js';

/** Flags that several commands have, and parsers of their values. A parser's error follows the offending value: `it must be …`. */

/** Text that is not blank, such as a path or a name. */
export function text(value: string): string {
  if (value.trim() === '') throw new Error('it must not be empty');
  return value;
}

/** The same without spaces at its ends. */
export const words = (value: string): string => text(value).trim();

/** Path of a file to write, which must be possible before anything is read or computed. */
function outputPath(value: string): string {
  checkOutputFile(text(value));
  return value;
}

/** The same of a folder. */
function outputFolderPath(value: string): string {
  checkOutputFolder(text(value));
  return value;
}

/** `supplyOrder,mode`. */
export const list = (value: string): string[] => value.split(',').map(words);

/** Parses a number between two limits. */
export const numberIn =
  (min: number, max: number) =>
  (value: string): number => {
    const number = parseNumber(value);
    if (number === undefined || number < min || number > max) throw new Error(`it must be a number between ${min} and ${max}`);
    return number;
  };

/** A time in a run. */
export function moment(value: string): Moment {
  const found = parseMoment(value);
  if (found === undefined) throw new Error(`it must be ${MOMENT_RULE}`);
  return found;
}

/** Parses an integer between two limits. */
export const integerIn =
  (min: number, max: number) =>
  (value: string): number => {
    const number = Number(value);
    if (!/^\d{1,9}$/.test(value) || number < min || number > max) throw new Error(`it must be an integer between ${min} and ${max}`);
    return number;
  };

const INTEGER_MAX = 999_999_999;
export const integer = integerIn(0, INTEGER_MAX);
export const positiveInteger = integerIn(1, INTEGER_MAX);
export const seedCount = integerIn(1, 10_000);
/** The number of a row, or of rows. */
export const rowCount = integerIn(1, ROWS_MAX);

/** Brief of a flag with a value, which the framework's list of flags does not show. */
const withValue = (brief: string, placeholder: string): string => `${placeholder.toUpperCase()}: ${brief}`;

/** An optional flag with a text. */
export const option = (brief: string, placeholder: string) =>
  ({ kind: 'parsed', parse: text, brief: withValue(brief, placeholder), optional: true, placeholder }) as const;

/** An optional flag that may be given several times. */
export const repeated = (brief: string, placeholder: string) => ({ ...option(brief, placeholder), variadic: true }) as const;

/** A flag with a text that must be given. */
export const required = (brief: string, placeholder: string) =>
  ({ kind: 'parsed', parse: text, brief: withValue(brief, placeholder), placeholder }) as const;

/** The same with a text that is not blank. */
export const requiredWords = (brief: string, placeholder: string) =>
  ({ kind: 'parsed', parse: words, brief: withValue(brief, placeholder), placeholder }) as const;

/** An optional flag with a text that is not blank. */
export const optionalWords = (brief: string, placeholder: string) =>
  ({ kind: 'parsed', parse: words, brief: withValue(brief, placeholder), optional: true, placeholder }) as const;

/** An optional flag with a value. */
export const optional = <T>(parse: (value: string) => T, brief: string, placeholder: string) =>
  ({ kind: 'parsed', parse, brief: withValue(brief, placeholder), optional: true, placeholder }) as const;

/** An optional flag with a file to write. */
export const outputFile = (brief: string) => optional(outputPath, brief, 'file');

/** An optional flag with a folder to write to. */
export const outputFolder = (brief: string) => optional(outputFolderPath, brief, 'folder');

/** The same flags where they must be given. */
export const requiredOutputFile = (brief: string) => ({ ...required(brief, 'file'), parse: outputPath }) as const;
export const requiredOutputFolder = (brief: string) => ({ ...required(brief, 'folder'), parse: outputFolderPath }) as const;

/** Flags of a part of a run, both ends inclusive. */
export const partFlags = {
  from: optional(moment, 'Start of the part, in seconds, or in ticks with a t: 12.5, 12500t', 'time'),
  to: optional(moment, 'End of the part, in the same way', 'time'),
} as const;

/** A flag with a value and a default. */
export const defaulted = <T>(parse: (value: string) => T, brief: string, placeholder: string, byDefault: string) =>
  ({ kind: 'parsed', parse, brief: withValue(brief, placeholder), default: byDefault, placeholder }) as const;

/** A flag without a value. */
export const toggle = (brief: string) => ({ kind: 'boolean', brief, optional: true, withNegated: false }) as const;

/** The flag that every command has. */
export const jsonFlag = toggle('Print one JSON document instead of text');

/** The flag of commands that print quantities. Names of metrics, signals and parameters keep the unit that they end in. */
export const unitsFlag = {
  kind: 'enum',
  values: SYSTEMS,
  brief: 'SI units or US customary units in text and pictures; JSON is always in the units of the names (default: si)',
  optional: true,
} as const;

/** The flag that selects metrics of simulated runs. */
export const metricFlag = repeated('Metric to show; repeatable (default: all)', 'name');

/** The flag of commands whose work depends on what a file demands. */
export const yesFlag = toggle('Do it, however long it is estimated to take');

export const setFlag = (brief: string) => repeated(brief, 'name=value');
export const chipsFlag = option(`Chips, separated by commas: ${CHIP_NAMES.join(', ')}`, 'names');
export const compilerFlag = option('Additional compiler flags, such as "-ffp-contract=fast"', 'flags');

/** Default rate of a serial port. */
export const BAUD = 115_200;

/** What a build is named by. */
export const BUILD_FORMS = 'a commit, branch or tag; a binary (*.wasm); or . for the working tree';

export const vectorArgument = { brief: 'Vector, by name or folder', parse: text, placeholder: 'vector' } as const;

/** All vectors where none is named. */
export const vectorArguments = {
  kind: 'array',
  parameter: { ...vectorArgument, brief: 'Vectors, by name or folder (default: all in vectors/cases)' },
} as const;

/** Joins the lines of a description. */
export const lines = (...all: readonly string[]): string => all.join('\n');
