import { atLeast, atMost, atMostOrMilder, type Draft, RULE_OF_THUMB } from './check.js';
import { PRECHARGE_SHARE } from './gas.js';
import { absoluteKpa } from './geometry.js';
import type { Sizes } from './sizes.js';
import type { SizingInput } from './sizing-input.js';

/** Upper limit of times, s: no movement at all. */
const NEVER_S = 1e6;

/** Returns the time for a change of force, s. */
const stepS = (newton: number, newtonPerS: number): number => (newtonPerS > 0 ? Math.min(NEVER_S, newton / newtonPerS) : NEVER_S);

/** Returns the checks of cylinder, travel and weight. */
export function geometryChecks({ force }: Sizes, input: SizingInput): Draft[] {
  const travelMm = Math.min(input.travelDownMm, input.travelUpMm);
  return [
    atMost('cylinder-stroke', 'millimetre', force.cylinderStrokeNeededMm, input.cylinderStrokeMm, input.cylinderStrokeMm, [
      'The cylinder must not bottom out before the linkage reaches its stops.',
      ['use a longer cylinder', 'attach it closer to the pivot of the arm'],
      'stroke needed from stop to stop <= cylinder stroke',
      'plane geometry',
    ]),
    atMost('float-travel', 'millimetre', input.floatMm, 0.9 * travelMm, travelMm, [
      'The row must not hit its stops within the float travel.',
      ['allow more travel', 'specify less float'],
      'float <= 0.9 of the shorter travel',
      RULE_OF_THUMB,
    ]),
    atLeast('minimum-pressure', 'kilopascal', force.workMinUnclampedKpa, input.returnKpa + 200, input.returnKpa, [
      'At the lowest target in soft soil, the chamber would need less pressure than the return line allows.',
      [
        ['use a stronger lift spring', '+liftSpring'],
        ['use a lighter row', '-rowWeight'],
      ],
      'lowest working pressure >= return pressure without flow plus 2 bar for the drop across the valve; marginal: without the 2 bar',
      'force balance; the 2 bar are a rule of thumb',
    ]),
  ];
}

/** Returns the checks of accumulator and float; without an accumulator only that of the float. */
export function gasChecks(sizes: Sizes, input: SizingInput): Draft[] {
  const { float } = sizes;
  const hasGas = sizes.accumulator !== undefined;
  const swing = atMost('float-swing', 'newton', float.swingN, input.floatSwingN, 1.25 * input.floatSwingN, [
    'Over the float travel the down force changes with the chamber pressure; a large change has to be corrected with pulses.',
    [
      hasGas
        ? ['use a larger accumulator; the gas volume needed is listed under Gas and stiffness', '+accumulator']
        : 'fit an accumulator: oil alone is too stiff for any float',
    ],
    'change of down force over the float travel <= floatSwingN',
    `${hasGas ? 'p·Vⁿ = const' : 'compression of oil and free air'}; the limit is set in the machine file`,
  ]);
  return hasGas ? [...accumulatorChecks(sizes, input), swing] : [swing];
}

/** Returns the checks of the gas itself. */
function accumulatorChecks({ accumulator, float, force }: Sizes, input: SizingInput): Draft[] {
  if (accumulator === undefined) return [];
  const ratio = accumulator.gasRatio;
  return [
    atMost('precharge-ratio', 'ratio', accumulator.prechargeHotKpa / absoluteKpa(force.workMinKpa), PRECHARGE_SHARE, 1, [
      'Below its precharge pressure an accumulator holds no oil: the row is stiff, and one pulse changes the pressure by tens of bar.',
      [
        ['lower the precharge', '-precharge'],
        'raise the lowest target',
        ['use a stronger lift spring, which raises all working pressures', '+liftSpring'],
      ],
      'precharge with hot gas <= 0.9 of the lowest working pressure, both absolute',
      `${RULE_OF_THUMB}; a published worked example uses 90 bar for 100 bar`,
    ]),
    atMost('gas-ratio', 'ratio', ratio, input.gasRatioMax, 1.25 * input.gasRatioMax, [
      'Gas that is compressed too far folds its bladder or diaphragm, and its heat ages them.',
      [
        ['raise the precharge', '+precharge'],
        ['use a larger piston, which lowers all working pressures', '+piston'],
        ['use a weaker lift spring', '-liftSpring'],
        'use a piston accumulator, and set gasRatioMax to its limit',
      ],
      'highest working pressure over precharge at 20 °C, both absolute, <= gasRatioMax; marginal: 1.25 times that',
      "4 for bladders and 4 to 8 for diaphragms in a manufacturer's selection guide; 10 for pistons from memory",
    ]),
    atMost('float-oil-ratio', 'ratio', Math.min(1e6, float.oilMl / 2 / accumulator.gasTypicalMl), 0.5, 0.8, [
      'The oil of the float travel must not fill the accumulator.',
      [
        ['use a larger accumulator', '+accumulator'],
        ['use a smaller piston', '-piston'],
      ],
      'half of the float oil <= half of the gas volume at typical pressure',
      RULE_OF_THUMB,
    ]),
  ];
}

/** Returns a check of the time to follow a change of soil; fast enough with warm oil but not with cold oil is marginal. */
function slewCheck(name: string, coldNPerS: number, warmNPerS: number, input: SizingInput): Draft {
  const [cold, warm] = [stepS(input.soilStepN, coldNPerS), stepS(input.soilStepN, warmNPerS)];
  return atMostOrMilder(name, 'second', cold, input.soilStepS, { value: warm, when: 'with oil at 40 °C (104 °F)' }, [
    'Soil changes within one or two metres; if the pressure follows too slowly, the correction comes too late.',
    [
      ['use larger valves', '+valves'],
      ['use a smaller accumulator', '-accumulator'],
      ['raise the precharge', '+precharge'],
      'use wider or shorter hoses, if the coldest oil is the trouble',
    ],
    'time for soilStepN at the slew rate with the coldest oil, through valve and hoses, <= soilStepS; marginal: with oil at 40 °C only',
    'dp/dt = Q/C; the time is set in the machine file',
  ]);
}

/** Returns the checks of slew and minimum pulse. */
export function slewChecks({ slew, deadbandN }: Sizes, input: SizingInput): Draft[] {
  const pressures = [slew.lowPressure, slew.typical, slew.highPressure];
  const largestN = Math.max(...pressures.flatMap((one) => [one.minPulseUpN, one.minPulseDownN]));
  return [
    slewCheck('slew-up-time', slew.coldOil.upNPerS, slew.typical.upNPerS, input),
    slewCheck('slew-down-time', slew.coldOil.downNPerS, slew.typical.downNPerS, input),
    atMost('minimum-pulse', 'newton', largestN, 0.5 * deadbandN, deadbandN, [
      'If a single pulse crosses the deadband, the row hunts.',
      [
        ['use smaller valves', '-valves'],
        'use a shorter minimum pulse',
        ['use a larger accumulator', '+accumulator'],
        ['use a wider deadband', '+deadband'],
      ],
      'largest step of a minimum pulse over the working range <= half of the deadband (half width)',
      RULE_OF_THUMB,
    ]),
  ];
}
