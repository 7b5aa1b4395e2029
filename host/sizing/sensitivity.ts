import type { Given, GivenName } from './given.js';
import { type Sizes, sizesOf } from './sizes.js';

/** What a designer chooses, and whose effect is shown. Numbers of things are left out: a tenth more of them is none. */
export const CHOICES = [
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
  'supplyLeastV',
  'rowSpacingM',
  'speedUsualMps',
  'supplyHoseMm',
] as const satisfies readonly GivenName[];

/** The metrics that are looked at. */
const METRICS = {
  newtonPerBar: ({ force }) => force.newtonPerBar,
  workUsualKpa: ({ force }) => force.workUsualKpa,
  springNPerM: ({ compliance }) => compliance.springNPerM,
  floatSwingN: ({ accumulator }) => accumulator.floatSwingN,
  upNPerS: ({ slew }) => slew.usual.upNPerS,
  downNPerS: ({ slew }) => slew.usual.downNPerS,
  leastPulseUpN: ({ slew }) => slew.usual.leastPulseUpN,
  railMarginKpa: ({ oil }) => oil.railMarginKpa,
  machineLpm: ({ oil }) => oil.machineLpm,
  machineOilW: ({ oil }) => oil.machineW,
  bankCoilW: ({ duty }) => duty.bankW,
  bankPeakA: ({ duty }) => duty.bankPeakA,
  surelyMovesHotV: ({ harness }) => harness.surelyMovesHotV,
  lastRowHotV: ({ harness }) => harness.lastRowHotV,
  reservoirNeededUf: ({ reservoir }) => reservoir.neededUf,
  reboundW: ({ heat }) => heat.reboundW,
  lifeYears: ({ life }) => life.lifeYears,
} as const satisfies Record<string, (sizes: Sizes) => number>;

export type SensitiveMetric = keyof typeof METRICS;

/** What a tenth more of one choice makes of each metric, percent. */
export interface Sensitivity {
  readonly choice: (typeof CHOICES)[number];
  readonly value: number;
  readonly changePercent: Readonly<Record<SensitiveMetric, number>>;
}

/** Larger changes are told as this. */
const PERCENT_MOST = 1e6;

/** Change over the size of what was before; 100 % where there was nothing. Source: definition. */
function percentChange(before: number, after: number): number {
  if (before === after) return 0;
  if (before === 0) return 100 * Math.sign(after);
  return Math.max(-PERCENT_MOST, Math.min(PERCENT_MOST, (100 * (after - before)) / Math.abs(before)));
}

/** How much each choice, a tenth larger and all else as it is, moves each metric. Limits and relations are not looked at. */
export function sensitivities(given: Given, sizes: Sizes): Sensitivity[] {
  const names = Object.keys(METRICS) as SensitiveMetric[];
  return CHOICES.map((choice) => {
    const moved = sizesOf({ ...given, [choice]: 1.1 * given[choice] });
    const changes = names.map((name) => [name, percentChange(METRICS[name](sizes), METRICS[name](moved))]);
    return { choice, value: given[choice], changePercent: Object.fromEntries(changes) };
  });
}
