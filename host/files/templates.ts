import { MACHINE, type Part } from '../../shared/machine.js';
import { SIZING } from '../../shared/sizing.js';
import type { Contract } from '../contract/contract.js';
import { defaultsOf } from '../machine/quantities.js';
import { FILE_KINDS, type FileKind } from './kinds.js';
import type { TemplateKind } from './template-kinds.js';
import { type Values, writeTemplate } from './write-template.js';

/** What a template needs of its project. */
export interface TemplateSource {
  readonly contract: Contract;
  /** A scenario that catalogues and tuning files can name. */
  readonly scenario: string;
}

const PARTS: readonly Part[] = [...MACHINE, ...SIZING];

/** The default of a quantity of the machine, times a factor. */
function timesDefault(name: string, factor: number): number {
  const found = PARTS.flatMap(({ quantities }) => quantities).find((one) => one.name === name);
  if (found === undefined) throw new Error(`there is no quantity ${name}`);
  return Number((found.default * factor).toPrecision(3));
}

/** Values of each template: the keys that it sets. */
const VALUES: Readonly<Record<TemplateKind, (source: TemplateSource) => Values>> = {
  scenario: () => ({
    title: 'A field of two parts, with a stone and a ledge',
    story: 'Replace this: what to look at, and where the data is from. All data is invented.',
    machine: 'default',
    rows: 4,
    seconds: 30,
    seed: 1,
    field: {
      class: 'D',
      segments: [
        { name: 'loam', toM: 50 },
        { name: 'sand', class: 'B', hardnessRatio: 0.5, stoneEveryM: 0 },
      ],
      stones: [
        { atM: 30, heightMm: 80, row: [1, 3] },
        { atM: 40, rowShareRatio: 0.5 },
      ],
      steps: [{ atM: 60, heightMm: -100, overM: 0.5 }],
    },
    drive: [
      { atS: 0, speedMps: 2.5 },
      { atM: 45, speedMps: 2.5 },
      { atM: 55, speedMps: 3.5, targetLoadN: 500 },
    ],
    events: [{ what: 'missed-strokes', atS: 5, forS: 10, row: 'all', missRatio: 0.01 }],
    requirements: [
      { metric: 'inBandPercent', min: 50 },
      { metric: 'bothOpenMs', max: 0 },
    ],
  }),
  machine: () => ({
    title: 'A machine to be described',
    note: 'Every value is the default, which is invented: replace those that you know.',
    ...Object.fromEntries(PARTS.map(({ name, quantities }) => [name, defaultsOf(quantities)])),
  }),
  catalogue: ({ scenario }) => ({
    title: 'Valves and rail pressures',
    note: 'Invented, including the costs, which are only meaningful relative to each other.',
    scenario,
    choices: {
      valve: {
        each: 'row',
        cost: 60,
        options: [0.75, 1.25].map((factor) => ({ cost: 60 * factor, valveFlowLpm: timesDefault('valveFlowLpm', factor) })),
      },
      rail: {
        each: 'machine',
        quantity: 'railNominalKpa',
        from: timesDefault('railNominalKpa', 0.8),
        to: timesDefault('railNominalKpa', 1.2),
        step: timesDefault('railNominalKpa', 0.1),
      },
    },
  }),
  parameters: ({ contract: { parameters } }) =>
    Object.fromEntries(parameters.filter(({ name }) => name === 'deadbandSigmas').map((one) => [one.name, one.default])),
  map: () => ({
    rows: 2,
    time: { column: 'time_s' },
    signals: [
      { signal: 'targetLoadN', value: 450 },
      ...[1, 2].flatMap((row) => [
        { signal: 'loadCounts', row, column: `load_${row}`, unit: 'N' },
        { signal: 'pressureCounts', row, column: `pressure_${row}`, unit: 'bar' },
      ]),
    ],
  }),
  tuning: ({ scenario }) => ({
    title: 'Deadband on one scenario',
    scenarios: [scenario],
    seeds: { first: 1, count: 2, fresh: 2 },
    parameters: { deadbandSigmas: { min: 1, max: 4 } },
    evaluations: 20,
  }),
  rig: ({ scenario }) => ({
    title: 'Firmware on this computer',
    note: 'Replace the board by yours: a serial port, an address, or a program.',
    pressurised: false,
    boards: { native: { chip: 'native', rows: 48 } },
    run: { scenarios: [scenario] },
  }),
};

/** Returns the text of a file to start from: valid as it stands, with every key, its unit, limits, default and meaning. */
export function templateOf(kind: TemplateKind, source: TemplateSource): string {
  const { title, about, schema }: FileKind = FILE_KINDS[kind];
  return writeTemplate(schema(source.contract), VALUES[kind](source), `${title}. ${about.replaceAll('`', '')}.`);
}
