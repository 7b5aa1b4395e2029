import { integer, type Part, quantity } from './machine.js';

// biome-ignore format: a table reads best with one quantity to a line
const TABLE = [
  {
    name: 'work',
    help: 'Operating conditions that the machine is sized for',
    ascending: [
      ['speedMinMps', 'speedTypicalMps', 'speedMaxMps'],
      ['targetLoadMinN', 'targetLoadTypicalN', 'targetLoadMaxN'],
      ['openerMinN', 'openerMaxN'],
    ],
    quantities: [
      integer('rowCount', 1, 48, 24, 'Number of rows'),
      quantity('rowSpacingM', 'metre', 0.1, 2, 0.762, 'Row spacing'),
      quantity('speedMinMps', 'metrePerSecond', 0.3, 10, 2, 'Lowest planting speed'),
      quantity('speedTypicalMps', 'metrePerSecond', 0.3, 10, 3, 'Typical planting speed'),
      quantity('speedMaxMps', 'metrePerSecond', 0.3, 10, 5, 'Highest planting speed'),
      quantity('targetLoadMinN', 'newton', 50, 10000, 300, 'Lowest target load'),
      quantity('targetLoadTypicalN', 'newton', 50, 10000, 450, 'Typical target load'),
      quantity('targetLoadMaxN', 'newton', 50, 10000, 1200, 'Highest target load'),
      quantity('openerMinN', 'newton', 0, 10000, 300, 'Opener force in the softest soil, at the set depth'),
      quantity('openerMaxN', 'newton', 0, 10000, 1200, 'Opener force in the hardest soil, at the set depth'),
      quantity('soilStepN', 'newton', 1, 10000, 400, 'Change of opener force at the edge of a soil patch'),
      quantity('soilStepS', 'second', 0.02, 10, 0.5, 'Time allowed for the down force to follow the change soilStepN'),
      quantity('loadVariationRatio', 'ratio', 0, 2, 1, 'Standard deviation of the gauge-wheel load, as its sensor reads it, divided by its mean, on the roughest field; the default is from simulations of class E at 5 m/s'),
      quantity('roughnessTypicalCm3', 'cubicCentimetre', 0, 1000000, 1024, 'Roughness Gd(n0) of the typical field at 0.1 cycles/m'),
      quantity('stoneTypicalEveryM', 'metre', 0, 100000, 60, 'Mean distance between stones in a row of the typical field; 0: no stones'),
      quantity('stoneTypicalMm', 'millimetre', 0, 300, 50, 'Height of its stones'),
      quantity('stoneTypicalLengthMm', 'millimetre', 100, 2000, 200, 'Length of its stones'),
      quantity('floatMm', 'millimetre', 1, 600, 50, 'Float travel in each direction that the accumulator absorbs while the valves stay closed'),
      quantity('floatSwingN', 'newton', 1, 20000, 500, 'Largest allowed change of down force over the full float travel'),
      quantity('dutyPulsesPerMin', 'perMinute', 0, 2000, 125, 'Pulses per minute and row, both valves together; each pulse is two strokes; the default is from simulations of class D at 3 m/s'),
      quantity('dutyOpenMs', 'millisecond', 0.5, 5000, 75, 'Mean open time of the supply valve per pulse; the return valve, with less pressure drop, stays open longer'),
    ],
  },
  {
    name: 'climate',
    help: 'Extremes of temperature, voltage and pressure',
    strictlyAscending: [
      ['oilColdC', 'oilHotC'],
      ['gasColdC', 'gasHotC'],
      ['coilColdC', 'coilHotC'],
      ['supplyMinV', 'supplyMaxV'],
    ],
    quantities: [
      quantity('oilColdC', 'degreeCelsius', -40, 40, -15, 'Lowest oil temperature at work'),
      quantity('oilHotC', 'degreeCelsius', 20, 120, 80, 'Highest oil temperature'),
      quantity('gasColdC', 'degreeCelsius', -60, 40, -20, 'Lowest gas temperature in the accumulator'),
      quantity('gasHotC', 'degreeCelsius', 0, 120, 70, 'Highest gas temperature in the accumulator'),
      quantity('coilColdC', 'degreeCelsius', -60, 40, -40, 'Lowest temperature of coils, wires and reservoir'),
      quantity('coilHotC', 'degreeCelsius', 0, 155, 85, 'Highest temperature of coils, wires and reservoir'),
      quantity('airHotC', 'degreeCelsius', 0, 70, 45, 'Highest air temperature'),
      quantity('supplyMinV', 'volt', 4, 60, 9, 'Lowest supply voltage at which every stroke must move its valve'),
      quantity('supplyMaxV', 'volt', 5, 72, 16, 'Highest supply voltage'),
      quantity('gasRatioMax', 'ratio', 1, 100, 8, 'Highest allowed ratio of working pressure to precharge, both absolute: 4 for bladder, 8 for diaphragm, 10 for piston accumulators'),
      quantity('railMarginKpa', 'kilopascal', 0, 20000, 2000, 'Rail pressure required above the highest chamber pressure, for the drop across the valve'),
    ],
  },
  {
    name: 'cooling',
    help: 'Thermal resistances and temperature limits',
    strictlyAscending: [
      ['coilHotC', 'coilLimitC'],
      ['airHotC', 'sealLimitC'],
    ],
    quantities: [
      quantity('coilKPerW', 'kelvinPerWatt', 0, 500, 25, 'Thermal resistance from a coil to the air'),
      quantity('coilLimitC', 'degreeCelsius', 50, 300, 155, 'Temperature limit of the coil insulation'),
      quantity('cylinderKPerW', 'kelvinPerWatt', 0, 50, 0.8, 'Thermal resistance from the cylinder to the air'),
      quantity('sealLimitC', 'degreeCelsius', 30, 250, 100, 'Temperature limit of the cylinder seals'),
    ],
  },
  {
    name: 'cylinder',
    help: 'Cylinder dimensions',
    quantities: [
      quantity('cylinderStrokeMm', 'millimetre', 5, 2000, 200, 'Stroke of the cylinder'),
    ],
  },
  {
    name: 'wiring',
    help: 'Wires from the bank to the rows; the resistance up to the bank is harnessOhm',
    quantities: [
      integer('starWired', 0, 1, 0, '1: star, a separate pair of wires to each row; 0: daisy chain from row to row'),
      integer('harnessArms', 1, 2, 2, 'Branches of the harness; 2 if the bank is in the middle of the machine'),
      quantity('leadM', 'metre', 0, 50, 3, 'Wire length from the bank to the first row of a branch'),
      integer('wireAwg', 0, 24, 12, 'Wire size, AWG'),
      integer('wireSmallestAwg', 0, 24, 20, 'Smallest wire size that is mechanically strong enough, AWG'),
      quantity('wireLimitC', 'degreeCelsius', 50, 300, 105, 'Temperature limit of the insulation of the wires'),
      quantity('fuseA', 'ampere', 1, 500, 10, 'Rating of the fuse between the bank and the wires to the rows'),
    ],
  },
  {
    name: 'capacitor',
    help: 'Derating of the reservoir over temperature and age',
    quantities: [
      quantity('capacitorToleranceRatio', 'ratio', 0, 0.5, 0.2, 'Capacitance tolerance when new, as a fraction'),
      quantity('capacitorAgeingRatio', 'ratio', 0, 0.8, 0.2, 'Fraction of the capacitance lost over its life'),
      quantity('capacitorColdRatio', 'ratio', 0, 0.9, 0.3, 'Fraction of the capacitance lost in the cold'),
      quantity('capacitorEsrOhm', 'ohm', 0, 10, 0.015, 'Series resistance when new, at 20 °C'),
      quantity('esrAgeingFactor', 'ratio', 1, 10, 2, 'Series resistance at the end of life, as a multiple of new'),
      quantity('esrColdFactor', 'ratio', 1, 50, 3, 'Series resistance in the cold, as a multiple of that at 20 °C'),
      quantity('reservoirLoadW', 'watt', 0, 100, 0, 'Other load on the reservoir while the valves close after a loss of power'),
    ],
  },
  {
    name: 'hoses',
    help: 'Hoses between tractor and machine, and from the rail to each row',
    quantities: [
      quantity('supplyHoseM', 'metre', 0, 100, 10, 'Length of the supply hose'),
      quantity('supplyHoseMm', 'millimetre', 3, 60, 16, 'Bore of the supply hose'),
      quantity('returnHoseM', 'metre', 0, 100, 10, 'Length of the return hose'),
      quantity('returnHoseMm', 'millimetre', 3, 60, 19, 'Bore of the return hose'),
      quantity('rowHoseM', 'metre', 0, 20, 1.5, 'Length of the hose to a row'),
      quantity('rowHoseMm', 'millimetre', 2, 30, 8, 'Bore of the hose to a row'),
    ],
  },
  {
    name: 'consumers',
    help: 'Other consumers of oil and electrical power',
    none: {
      cleanerLpm: 0,
      fertiliserLpm: 0,
      fanLpm: 0,
      liftLpm: 0,
      cleanerW: 0,
      fertiliserW: 0,
      meterW: 0,
      monitorW: 0,
    },
    quantities: [
      quantity('cleanerLpm', 'litrePerMinute', 0, 10, 0.1, 'Mean oil flow of a row cleaner'),
      quantity('fertiliserLpm', 'litrePerMinute', 0, 10, 0.1, 'Mean oil flow of a fertiliser opener'),
      quantity('fanLpm', 'litrePerMinute', 0, 10, 1.2, 'Oil flow of the fan motors, per row'),
      quantity('liftLpm', 'litrePerMinute', 0, 500, 60, 'Oil flow of the machine lift while lifting; down force is not controlled then'),
      quantity('cleanerW', 'watt', 0, 500, 2, 'Electrical power of a row cleaner'),
      quantity('fertiliserW', 'watt', 0, 500, 2, 'Electrical power of a fertiliser opener'),
      quantity('meterW', 'watt', 0, 500, 25, 'Electrical power of a seed meter'),
      quantity('monitorW', 'watt', 0, 2000, 60, 'Electrical power of displays and computers'),
    ],
  },
  {
    name: 'tractor',
    help: 'Electrical supply of the tractor; for its pump see rail',
    quantities: [
      quantity('alternatorA', 'ampere', 10, 1000, 200, 'Alternator output current at working speed'),
      quantity('tractorA', 'ampere', 0, 1000, 80, 'Current drawn by the tractor'),
    ],
  },
  {
    name: 'service',
    help: 'Required service life',
    quantities: [
      quantity('hectaresPerYear', 'hectare', 1, 100000, 2000, 'Area planted per year'),
      quantity('serviceYears', 'none', 0.5, 50, 10, 'Years in service'),
      quantity('strokeLifeCount', 'none', 10000, 10000000000, 20000000, 'Rated life of a valve, in strokes'),
    ],
  },
] satisfies readonly Part[];

export type SizingName = (typeof TABLE)[number]['quantities'][number]['name'];

/**
 * The conditions that a machine is sized for and the equipment around its rows, part by part. A machine file has these parts
 * besides those of MACHINE, but neither plant nor controller uses them: they change no memory layout and no run. Names differ from
 * all names in MACHINE and from all parameters. Defaults are engineering estimates for an invented machine, not data of any product.
 */
export const SIZING: readonly Part<SizingName>[] = TABLE;

/** Quantities of MACHINE that sizing uses besides all of SIZING. */
// biome-ignore format: a list of names
export const SIZED_MACHINE = [
  'massKg', 'seedKg', 'closingN', 'contactNPerM', 'lugPitchM', 'envelopePerM', 'equaliserRatio', 'bounceHz', 'bounceDampingRatio', 'frameWaveM', 'wingRows', 'armM', 'attachM', 'cylinderPivotRearM', 'cylinderPivotUpM',
  'travelDownMm', 'travelUpMm', 'capAreaCm2', 'chamberOilMl', 'bulkModulusMpa', 'airRatio', 'accumulatorMl', 'prechargeAbsoluteKpa',
  'gasExponent', 'liftN', 'liftNPerM', 'reboundOrificeMm', 'rodAreaCm2', 'reboundUpRatio', 'valveFlowLpm', 'valveFlowDropKpa', 'returnFlowRatio', 'flowRatioPerC', 'passageMm',
  'valveLeakMlPerMin', 'moveMs', 'throwRatio', 'coilOhm', 'coilMh', 'pullA', 'railNominalKpa', 'railDroopKpaPerLpm', 'pumpLpm', 'returnKpa',
  'returnRiseKpaPerLpm', 'oilKgPerM3', 'viscosityAt40', 'viscosityAt100', 'adcFullScaleCounts', 'loadNoiseN', 'loadAtTenPercentN',
  'loadAtNinetyPercentN', 'pressureNoiseKpa', 'pressureAtTenPercentKpa', 'pressureAtNinetyPercentKpa', 'sourceV', 'harnessOhm',
  'electronicsW', 'reservoirUf', 'chargeOhm', 'proportionalOhm', 'proportionalMinA', 'proportionalMaxA', 'proportionalMaxKpa',
] as const;

/** Controller parameters that sizing uses and no machine part has. */
// biome-ignore format: a list of names
export const SIZED_PARAMETERS = [
  'strokeMs', 'minPulseMs', 'strokesAtOnce', 'slotCount', 'deadbandMode', 'deadbandN', 'deadbandMinN',
] as const;
