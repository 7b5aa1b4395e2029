import { type Part, quantity } from './machine.js';

/**
 * What a machine is sized for and what stands beside its rows, part by part. These parts lie in a machine file beside those of
 * MACHINE, but neither plant nor controller knows them, so that they change no memory and no run. Names differ from all of MACHINE
 * and from all parameters. Defaults are engineering estimates of an invented machine, no product's data.
 */
// biome-ignore format: a table reads best with one quantity to a line
export const SIZING: readonly Part[] = [
  {
    name: 'work',
    help: 'The work that the machine is sized for',
    quantities: [
      quantity('rowCount', 'none', 1, 48, 24, 'Rows of the machine'),
      quantity('rowSpacingM', 'metre', 0.1, 2, 0.762, 'Distance between rows'),
      quantity('speedLeastMps', 'metrePerSecond', 0.3, 10, 2, 'Lowest speed at which it plants'),
      quantity('speedUsualMps', 'metrePerSecond', 0.3, 10, 3, 'Usual speed'),
      quantity('speedMostMps', 'metrePerSecond', 0.3, 10, 5, 'Highest speed'),
      quantity('targetLeastN', 'newton', 50, 10000, 300, 'Lowest target load'),
      quantity('targetUsualN', 'newton', 50, 10000, 450, 'Usual target load'),
      quantity('targetMostN', 'newton', 50, 10000, 1200, 'Highest target load'),
      quantity('openerLeastN', 'newton', 0, 10000, 300, 'Opener force in the softest soil, at the depth set'),
      quantity('openerMostN', 'newton', 0, 10000, 1200, 'Opener force in the hardest soil'),
      quantity('soilStepN', 'newton', 1, 10000, 400, 'Change of opener force at the border of a soil patch'),
      quantity('soilStepS', 'second', 0.02, 10, 0.5, 'Time within which the pressure must have followed it'),
      quantity('loadVariationRatio', 'ratio', 0, 2, 0.62, 'Standard deviation of the gauge-wheel load over its mean, on the roughest field'),
      quantity('roughnessUsualCm3', 'cubicCentimetre', 0, 1000000, 1024, 'Roughness Gd(n0) at 0.1 cycles/m of the usual field'),
      quantity('floatMm', 'millimetre', 1, 600, 50, 'Travel, up and down alike, over which the row floats without a valve’s help'),
      quantity('floatSwingN', 'newton', 1, 20000, 500, 'Most that the down force may change over the whole of it'),
      quantity('dutyPulsesPerMin', 'perMinute', 0, 2000, 110, 'Pulses of a row in a minute, both valves together: two strokes each'),
      quantity('dutyOpenMs', 'millisecond', 0.5, 5000, 56, 'Mean time that the supply valve stays open in a pulse; the return valve, with less drop, stays open longer'),
    ],
  },
  {
    name: 'climate',
    help: 'The extremes that it is sized for',
    quantities: [
      quantity('oilColdC', 'degreeCelsius', -40, 40, -15, 'Oil at its coldest in work'),
      quantity('oilHotC', 'degreeCelsius', 20, 120, 80, 'Oil at its hottest'),
      quantity('gasColdC', 'degreeCelsius', -60, 40, -20, 'Gas of the accumulator at its coldest'),
      quantity('gasHotC', 'degreeCelsius', 0, 120, 70, 'Gas of the accumulator at its hottest'),
      quantity('coilColdC', 'degreeCelsius', -60, 40, -40, 'Coils, wires and reservoir at their coldest'),
      quantity('coilHotC', 'degreeCelsius', 0, 155, 85, 'Coils, wires and reservoir at their hottest'),
      quantity('airHotC', 'degreeCelsius', 0, 70, 45, 'Air at its hottest'),
      quantity('supplyLeastV', 'volt', 4, 60, 9, 'Lowest voltage of battery and alternator at which strokes must be sure'),
      quantity('supplyMostV', 'volt', 5, 72, 16, 'Highest voltage of battery and alternator'),
      quantity('railMarginKpa', 'kilopascal', 0, 20000, 2000, 'Rail pressure wanted over the highest chamber pressure, for the valve’s own drop'),
    ],
  },
  {
    name: 'cooling',
    help: 'What carries heat away, and what it must not go beyond',
    quantities: [
      quantity('coilKPerW', 'kelvinPerWatt', 0, 500, 25, 'Steady temperature rise of a coil for each watt in it'),
      quantity('coilLimitC', 'degreeCelsius', 50, 300, 155, 'Temperature that the coils’ insulation stands'),
      quantity('cylinderKPerW', 'kelvinPerWatt', 0, 50, 0.8, 'Steady temperature rise of the cylinder for each watt of rebound heat'),
      quantity('sealLimitC', 'degreeCelsius', 30, 250, 100, 'Temperature that the cylinder’s seals stand'),
    ],
  },
  {
    name: 'cylinder',
    help: 'The cylinder’s own stroke',
    quantities: [
      quantity('cylinderStrokeMm', 'millimetre', 5, 2000, 200, 'Stroke that the cylinder has'),
    ],
  },
  {
    name: 'wiring',
    help: 'Wires from the bank to the rows; what lies before the bank is harnessOhm',
    quantities: [
      quantity('starWired', 'none', 0, 1, 0, '1: every row has wires of its own; 0: rows are a daisy chain'),
      quantity('harnessArms', 'none', 1, 2, 2, 'Arms of the harness: 2 with the bank in the middle of the machine'),
      quantity('leadM', 'metre', 0, 50, 3, 'Wires from the bank to the first row of an arm'),
      quantity('wireAwg', 'none', 0, 24, 12, 'Gauge of the wires, AWG'),
      quantity('thinnestAwg', 'none', 0, 24, 20, 'Thinnest gauge that is strong enough to be laid'),
    ],
  },
  {
    name: 'capacitor',
    help: 'What becomes of the reservoir’s capacitance over temperature and years',
    quantities: [
      quantity('capacitorToleranceRatio', 'ratio', 0, 0.5, 0.2, 'Share of its capacitance that it may lack when new'),
      quantity('capacitorAgeingRatio', 'ratio', 0, 0.8, 0.2, 'Share that it loses over its life'),
      quantity('capacitorColdRatio', 'ratio', 0, 0.9, 0.3, 'Share that it loses in the cold'),
      quantity('capacitorEsrOhm', 'ohm', 0, 10, 0.015, 'Its series resistance when new, at 20 °C'),
      quantity('esrAgeingTimes', 'ratio', 1, 10, 2, 'Times that resistance at the end of its life'),
      quantity('esrColdTimes', 'ratio', 1, 50, 3, 'Times that resistance in the cold'),
      quantity('keptAliveW', 'watt', 0, 100, 0, 'What else it feeds while the valves are closed after a loss of power'),
    ],
  },
  {
    name: 'hoses',
    help: 'Hoses between tractor and machine, and from the machine’s rail to a row',
    quantities: [
      quantity('supplyHoseM', 'metre', 0, 100, 10, 'Length of the supply hose'),
      quantity('supplyHoseMm', 'millimetre', 3, 60, 16, 'Its bore'),
      quantity('returnHoseM', 'metre', 0, 100, 10, 'Length of the return hose'),
      quantity('returnHoseMm', 'millimetre', 3, 60, 19, 'Its bore'),
      quantity('rowHoseM', 'metre', 0, 20, 1.5, 'Length of a row’s hose'),
      quantity('rowHoseMm', 'millimetre', 2, 30, 8, 'Its bore'),
    ],
  },
  {
    name: 'consumers',
    help: 'What else draws oil and current from the tractor',
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
      quantity('cleanerLpm', 'litrePerMinute', 0, 10, 0.1, 'Oil of a row’s cleaner, mean'),
      quantity('fertiliserLpm', 'litrePerMinute', 0, 10, 0.1, 'Oil of a row’s fertiliser opener, mean'),
      quantity('fanLpm', 'litrePerMinute', 0, 10, 1.2, 'Oil of the fan motors, a row’s share'),
      quantity('liftLpm', 'litrePerMinute', 0, 500, 60, 'Oil of the machine’s lift while it lifts; down force stands still then'),
      quantity('cleanerW', 'watt', 0, 500, 2, 'Electrical power of a row’s cleaner'),
      quantity('fertiliserW', 'watt', 0, 500, 2, 'Electrical power of a row’s fertiliser opener'),
      quantity('meterW', 'watt', 0, 500, 25, 'Electrical power of a row’s seed meter'),
      quantity('monitorW', 'watt', 0, 2000, 60, 'Electrical power of displays and computers'),
    ],
  },
  {
    name: 'tractor',
    help: 'The tractor’s alternator; its pump is in rail',
    quantities: [
      quantity('alternatorA', 'ampere', 10, 1000, 200, 'Current that the alternator gives at working speed'),
      quantity('tractorA', 'ampere', 0, 1000, 80, 'Current that the tractor itself draws'),
    ],
  },
  {
    name: 'service',
    help: 'How long it has to last',
    quantities: [
      quantity('hectaresPerYear', 'hectare', 1, 100000, 2000, 'Area planted in a year'),
      quantity('serviceYears', 'none', 0.5, 50, 10, 'Years that it has to last'),
      quantity('strokeLifeCount', 'none', 10000, 10000000000, 20000000, 'Strokes that a valve lasts'),
    ],
  },
];
