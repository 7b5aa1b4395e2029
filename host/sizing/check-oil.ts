import { atLeast, atMost, type Check, COMMON_PRACTICE } from './check.js';
import { PRECHARGE_SHARE } from './gas.js';
import { absoluteKpa } from './geometry.js';
import type { Given } from './given.js';
import type { Sizes } from './sizes.js';

/** Longest time that is told, s: a row that does not move at all. */
const NEVER_S = 1e6;

/** Time that a change of force takes, s. */
const stepS = (newton: number, newtonPerS: number): number => (newtonPerS > 0 ? Math.min(NEVER_S, newton / newtonPerS) : NEVER_S);

/** Cylinder, travel and weight. */
export function geometryChecks({ force }: Sizes, given: Given): Check[] {
  const travelMm = Math.min(given.travelDownMm, given.travelUpMm);
  return [
    atMost('cylinder-stroke', 'millimetre', force.cylinderStrokeNeededMm, given.cylinderStrokeMm, given.cylinderStrokeMm, [
      'Between the stops of the travel the cylinder must not come to its own end.',
      'A longer cylinder, or its attachment nearer to the arm’s pivot.',
      'stroke over the travel <= cylinderStrokeMm',
      'plane geometry',
    ]),
    atMost('float-travel', 'millimetre', given.floatMm, 0.9 * travelMm, travelMm, [
      'The row must not strike its stops where it should float.',
      'More travel, or less float asked for.',
      'floatMm <= nine tenths of the shorter travel',
      COMMON_PRACTICE,
    ]),
    atLeast('row-too-heavy', 'kilopascal', force.workLeastUnboundedKpa, given.returnKpa + 200, given.returnKpa, [
      'At the lowest target in soft soil the chamber would have to be emptier than the return line lets it be.',
      'A stronger lift spring, or a lighter row.',
      'lowest working pressure >= return pressure, and 2 bar for the valve’s drop',
      'balance of forces; the 2 bar are common practice, no source',
    ]),
  ];
}

/** Accumulator and float. */
export function gasChecks({ accumulator, force }: Sizes, given: Given): Check[] {
  const hasGas = given.accumulatorMl > 0;
  const shareOfLeast = hasGas ? accumulator.prechargeHotKpa / absoluteKpa(force.workLeastKpa) : 0;
  const crowding = hasGas ? accumulator.floatOilMl / 2 / accumulator.gasUsualMl : 1;
  const swing = accumulator.floatSwingN;
  return [
    atMost('precharge', 'ratio', shareOfLeast, PRECHARGE_SHARE, 1, [
      'Below its precharge an accumulator stands empty: the row is stiff, and one pulse is tens of bar.',
      'Less precharge, a higher lowest target, or a stronger lift spring, which raises all working pressures.',
      'precharge with hot gas <= 0.9 of the lowest working pressure, absolute',
      `${COMMON_PRACTICE}; a published worked example has 90 bar for 100 bar`,
    ]),
    atMost('accumulator-room', 'ratio', Math.min(1e6, crowding), 0.5, 0.8, [
      'At the end of its float the row must not have crowded the gas out.',
      'A larger accumulator, or less piston area.',
      'half of the float’s oil <= half of the gas at usual pressure',
      COMMON_PRACTICE,
    ]),
    atMost('float-swing', 'newton', swing, given.floatSwingN, 1.25 * given.floatSwingN, [
      'Over the float the down force changes with the gas; what changes too much the valves must make up with pulses.',
      'A larger accumulator: the gas volume needed for the swing allowed stands under Gas and stiffness.',
      'change of down force over the float <= floatSwingN',
      'p·Vⁿ = const; the limit is the machine’s own',
    ]),
  ];
}

/** Pressure and speed that the rail gives. */
export function slewChecks({ slew, oil, deadbandN }: Sizes, given: Given): Check[] {
  const largestN = Math.max(...[slew.least, slew.usual, slew.most].flatMap((one) => [one.leastPulseUpN, one.leastPulseDownN]));
  const limitS = given.soilStepS;
  const slewCheck = (name: string, coldNPerS: number, warmNPerS: number): Check => {
    const [cold, warm] = [stepS(given.soilStepN, coldNPerS), stepS(given.soilStepN, warmNPerS)];
    // With warm oil in time but not with cold is near.
    return atMost(name, 'second', cold, limitS, warm <= limitS ? Math.max(cold, limitS) : limitS, [
      'A soil patch begins within a metre or two; a pressure that comes later comes for the next one.',
      'Larger valves, a smaller accumulator or a higher precharge; watch the smallest pulse.',
      'soilStepN over the slew with the coldest oil <= soilStepS; near: with oil at 40 °C only',
      'dp/dt = Q/C; the time is the machine’s own',
    ]);
  };
  return [
    atLeast('rail-margin', 'kilopascal', oil.railMarginKpa, given.railMarginKpa, 0, [
      'Without a drop over the valve no oil flows into the chamber.',
      'More rail pressure, a wider supply hose, more piston area or a weaker lift spring.',
      'rail at the peak flow less the highest working pressure >= railMarginKpa',
      COMMON_PRACTICE,
    ]),
    slewCheck('slew-up', slew.cold.upNPerS, slew.usual.upNPerS),
    slewCheck('slew-down', slew.cold.downNPerS, slew.usual.downNPerS),
    atMost('smallest-pulse', 'newton', largestN, 0.5 * deadbandN, deadbandN, [
      'A pulse that goes from one side of the deadband to the other makes the row hunt.',
      'Smaller valves, a shorter smallest pulse, a larger accumulator or a wider deadband.',
      'largest of the smallest pulses over the working range <= half of the deadband’s half width',
      COMMON_PRACTICE,
    ]),
  ];
}

/** Pump, hoses, oil and heat. */
export function supplyChecks({ budget, oil, valve, heat }: Sizes, given: Given): Check[] {
  const leftLpm = Math.min(budget.leftAtPeakLpm, budget.leftLiftingLpm);
  return [
    // On average enough is near, however much is wanting at times.
    atLeast('pump', 'litrePerMinute', leftLpm, 0, budget.leftLpm >= 0 ? Math.min(0, leftLpm) : 0, [
      'What the pump cannot give the rail loses, and every row’s pulses go wrong at once.',
      'A larger pump, a pump of its own for the fans, or fewer consumers.',
      'pump flow >= flow of all consumers at down force’s peak, and while lifting; near: on average only',
      'sum of flows; Poisson’s law for the peak',
    ]),
    atMost('supply-hose', 'kilopascal', oil.supplyHoseDropKpa, 0.1 * given.railNominalKpa, 0.2 * given.railNominalKpa, [
      'Pressure lost in the hose is heat, and changes with every valve that opens.',
      'A wider or shorter hose.',
      'drop at peak flow, oil at 40 °C, <= a tenth of the rail’s pressure',
      COMMON_PRACTICE,
    ]),
    atMost('row-hose', 'kilopascal', oil.rowHoseDropKpa, 0.1 * given.railNominalKpa, 0.2 * given.railNominalKpa, [
      'A narrow hose to the row takes the valve’s drop and makes slew hang on temperature.',
      'A wider or shorter hose.',
      'drop at one open valve’s flow, oil at 40 °C, <= a tenth of the rail’s pressure',
      COMMON_PRACTICE,
    ]),
    atMost('cold-oil', 'squareMillimetrePerSecond', valve.coldViscosityMm2PerS, 1500, 5000, [
      'Oil so thick hardly flows through valves and hoses, and pumps draw it badly.',
      'Thinner oil or one of a higher viscosity index; warm up before work.',
      'viscosity at the coldest <= 1500 mm²/s',
      COMMON_PRACTICE,
    ]),
    atMost('cylinder-heat', 'degreeCelsius', heat.cylinderHottestC, given.sealLimitC - 10, given.sealLimitC, [
      'Rebound damping turns the row’s fall into heat in the cylinder.',
      'A wider rebound orifice, a smaller rod side, or lower speed on rough fields.',
      'hottest air and steady rise at the highest speed <= sealLimitC less 10 K',
      'ΔT = P·R_th; the reserve is common practice, no source',
    ]),
  ];
}
