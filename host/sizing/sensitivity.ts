import { type Sizes, sizesOf } from './sizes.js';
import type { SizingInput, SizingInputName } from './sizing-input.js';

/** Design quantities whose effect is shown. Integers are left out: they cannot grow by 10 %. */
export const VARIED_QUANTITIES = [
  'capAreaCm2',
  'armM',
  'accumulatorMl',
  'prechargeAbsoluteKpa',
  'chamberOilMl',
  'liftN',
  'valveFlowLpm',
  'railNominalKpa',
  'reboundOrificeMm',
  'rodAreaCm2',
  'coilOhm',
  'coilMh',
  'pullA',
  'strokeMs',
  'minPulseMs',
  'dutyPulsesPerMin',
  'dutyOpenMs',
  'sourceV',
  'supplyMinV',
  'rowSpacingM',
  'speedTypicalMps',
  'supplyHoseMm',
] as const satisfies readonly SizingInputName[];

/** The results that are compared. */
const RESULTS = {
  newtonPerBar: ({ force }) => force.newtonPerBar,
  workTypicalKpa: ({ force }) => force.workTypicalKpa,
  springNPerM: ({ compliance }) => compliance.springNPerM,
  floatSwingN: ({ float }) => float.swingN,
  upNPerS: ({ slew }) => slew.typical.upNPerS,
  downNPerS: ({ slew }) => slew.typical.downNPerS,
  minPulseUpN: ({ slew }) => slew.typical.minPulseUpN,
  railMarginKpa: ({ oil }) => oil.railMarginKpa,
  machineLpm: ({ oil }) => oil.machineLpm,
  machineOilW: ({ oil }) => oil.machineW,
  bankCoilW: ({ duty }) => duty.bankW,
  bankPeakA: ({ duty }) => duty.bankPeakA,
  pullInHotV: ({ harness }) => harness.pullInHotV,
  lastRowHotV: ({ harness }) => harness.lastRowHotV,
  reservoirNeededUf: ({ reservoir }) => reservoir.neededUf,
  reboundW: ({ heat }) => heat.reboundW,
  lifeYears: ({ life }) => life.lifeYears,
} as const satisfies Record<string, (sizes: Sizes) => number>;

export type SensitivityResult = keyof typeof RESULTS;

/** Change of each result, percent, when one quantity grows by 10 %. */
export interface Sensitivity {
  readonly quantity: (typeof VARIED_QUANTITIES)[number];
  readonly value: number;
  readonly changePercent: Readonly<Record<SensitivityResult, number>>;
}

/** Upper limit of changes, so that they stay finite. */
const PERCENT_MAX = 1e6;

/** Returns the change relative to the magnitude before; 100 % if that was zero. Source: definition. */
function percentChange(before: number, after: number): number {
  if (before === after) return 0;
  if (before === 0) return 100 * Math.sign(after);
  return Math.max(-PERCENT_MAX, Math.min(PERCENT_MAX, (100 * (after - before)) / Math.abs(before)));
}

/** Quantities that mean nothing while another one is 0. */
const DEPENDENT: Readonly<Partial<Record<SizingInputName, SizingInputName>>> = {
  prechargeAbsoluteKpa: 'accumulatorMl',
  reboundOrificeMm: 'rodAreaCm2',
};

/** Whether a quantity can grow: a part that is `none` has zeros. */
const isPresent = (name: SizingInputName, input: SizingInput): boolean => input[name] !== 0 && input[DEPENDENT[name] ?? name] !== 0;

/** Returns how much each quantity, 10 % larger with all others unchanged, moves each result. Limits and relations are ignored. */
export function sensitivities(input: SizingInput, sizes: Sizes): Sensitivity[] {
  const names = Object.keys(RESULTS) as SensitivityResult[];
  return VARIED_QUANTITIES.filter((name) => isPresent(name, input)).map((quantity) => {
    const varied = sizesOf({ ...input, [quantity]: 1.1 * input[quantity] });
    const changes = names.map((name) => [name, percentChange(RESULTS[name](sizes), RESULTS[name](varied))]);
    return { quantity, value: input[quantity], changePercent: Object.fromEntries(changes) };
  });
}
