import { parseArgs } from 'node:util';
import { integerFlag } from '../common/integer-flag.js';

/** What `npm run robustness` may be asked for. */
export interface RobustnessOptions {
  /** Only cases whose title contains this, and the nominal one. */
  readonly only: string;
  readonly seeds: number;
  readonly seconds: number;
  /** Number of random machines. */
  readonly machines: number;
  /** Only look for broken safety rules, on this number of random machines with random events; 0: compare the cases. */
  readonly soak: number;
  readonly json: boolean;
  /** File for the drawing. */
  readonly output: string | undefined;
}

/** Three seeds of a minute on four rows: the mean load RMS error of the nominal case is then within about 3 %. */
const DEFAULTS = { only: '', seeds: '3', seconds: '60', machines: '40', soak: '0' } as const;
/** The last event of the cases is at 15 s, and a row is assessed from 2 s after it. */
const SECONDS_MIN = 20;

/** Parses the command line. @throws Error that names the flag and what it may be */
export function readOptions(args: readonly string[]): RobustnessOptions {
  const text = { type: 'string' } as const;
  const { values } = parseArgs({
    args: [...args],
    options: {
      only: { ...text, default: DEFAULTS.only },
      seeds: { ...text, default: DEFAULTS.seeds },
      seconds: { ...text, default: DEFAULTS.seconds },
      machines: { ...text, default: DEFAULTS.machines },
      soak: { ...text, default: DEFAULTS.soak },
      json: { type: 'boolean', default: false },
      output: { ...text, short: 'o' },
    },
  });
  return {
    only: values.only,
    seeds: integerFlag('seeds', values.seeds, 1, 1000),
    seconds: integerFlag('seconds', values.seconds, SECONDS_MIN, 3600),
    machines: integerFlag('machines', values.machines, 0, 10_000),
    soak: integerFlag('soak', values.soak, 0, 1_000_000),
    json: values.json,
    output: values.output,
  };
}
