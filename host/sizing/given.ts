import { PARAMETERS } from '../../shared/parameters.js';
import type { Machine } from '../machine/machine.js';

// biome-ignore format: lists of names
const OF_MACHINE = [
  'massKg', 'seedKg', 'closingN', 'contactNPerM', 'lugPitchM', 'envelopePerM', 'armM', 'attachM', 'cylinderPivotRearM', 'cylinderPivotUpM',
  'travelDownMm', 'travelUpMm', 'capAreaCm2', 'chamberOilMl', 'bulkModulusMpa', 'airRatio', 'accumulatorMl', 'prechargeAbsoluteKpa',
  'gasExponent', 'liftN', 'liftNPerM', 'reboundOrificeMm', 'rodAreaCm2', 'reboundUpRatio', 'valveFlowLpm', 'valveFlowDropKpa', 'passageMm',
  'valveLeakMlPerMin', 'moveMs', 'throwRatio', 'coilOhm', 'coilMh', 'pullA', 'railNominalKpa', 'railDroopKpaPerLpm', 'pumpLpm', 'returnKpa',
  'returnRiseKpaPerLpm', 'oilKgPerM3', 'viscosityAt40', 'viscosityAt100', 'adcFullScaleCounts', 'loadNoiseN', 'loadAtTenPercentN',
  'loadAtNinetyPercentN', 'pressureNoiseKpa', 'pressureAtTenPercentKpa', 'pressureAtNinetyPercentKpa', 'sourceV', 'harnessOhm',
  'electronicsW', 'reservoirUf', 'chargeOhm', 'proportionalOhm', 'proportionalMinA', 'proportionalMaxA', 'proportionalMaxKpa',
] as const;

// biome-ignore format: lists of names
const OF_SIZING = [
  'rowCount', 'rowSpacingM', 'speedLeastMps', 'speedUsualMps', 'speedMostMps', 'targetLeastN', 'targetUsualN', 'targetMostN', 'openerLeastN',
  'openerMostN', 'soilStepN', 'soilStepS', 'loadVariationRatio', 'roughnessUsualCm3', 'floatMm', 'floatSwingN', 'dutyPulsesPerMin',
  'dutyOpenMs', 'oilColdC', 'oilHotC', 'gasColdC', 'gasHotC', 'coilColdC', 'coilHotC', 'airHotC', 'supplyLeastV', 'supplyMostV',
  'railMarginKpa', 'coilKPerW', 'coilLimitC', 'cylinderKPerW', 'sealLimitC', 'cylinderStrokeMm', 'starWired', 'harnessArms', 'leadM',
  'wireAwg', 'thinnestAwg', 'capacitorToleranceRatio', 'capacitorAgeingRatio', 'capacitorColdRatio', 'capacitorEsrOhm', 'esrAgeingTimes',
  'esrColdTimes', 'keptAliveW', 'supplyHoseM', 'supplyHoseMm', 'returnHoseM', 'returnHoseMm', 'rowHoseM', 'rowHoseMm', 'cleanerLpm',
  'fertiliserLpm', 'fanLpm', 'liftLpm', 'cleanerW', 'fertiliserW', 'meterW', 'monitorW', 'alternatorA', 'tractorA', 'hectaresPerYear',
  'serviceYears', 'strokeLifeCount',
] as const;

/** What only the controller is told. */
const OF_CONTROLLER = ['strokeMs', 'minPulseMs', 'strokesAtOnce', 'slotCount', 'deadbandMode', 'deadbandN', 'deadbandMinN'] as const;

/** All that sizing starts from. */
export const GIVEN_NAMES: readonly GivenName[] = [...OF_MACHINE, ...OF_SIZING, ...OF_CONTROLLER];

export type GivenName = (typeof OF_MACHINE)[number] | (typeof OF_SIZING)[number] | (typeof OF_CONTROLLER)[number];

/** Every number that sizing starts from, by name, in the unit that the name says. */
export type Given = Readonly<Record<GivenName, number>>;

/**
 * The numbers of a machine that sizing starts from; a controller's parameter that the machine says nothing of has its default.
 * @throws Error where a name is in no table: a fault of ours
 */
export function givenOf({ values, sizing, told }: Machine): Given {
  const byDefault = (name: string): number | undefined => PARAMETERS.find((one) => one.name === name)?.default;
  const known = (name: GivenName, value: number | undefined): [GivenName, number] => {
    if (value === undefined) throw new Error(`no table has ${name}`);
    return [name, value];
  };
  return Object.fromEntries([
    ...OF_MACHINE.map((name) => known(name, values[name])),
    ...OF_SIZING.map((name) => known(name, sizing[name])),
    ...OF_CONTROLLER.map((name) => known(name, told[name] ?? byDefault(name))),
  ]) as Given;
}
