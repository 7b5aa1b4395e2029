import { atLeast, atMost, type Check, RULE_OF_THUMB } from './check.js';
import { PRECHARGE_SHARE } from './gas.js';
import { absoluteKpa } from './geometry.js';
import type { Sizes } from './sizes.js';
import type { SizingInput } from './sizing-input.js';

/** Upper limit of times, s: no movement at all. */
const NEVER_S = 1e6;

/** Returns the time for a change of force, s. */
const stepS = (newton: number, newtonPerS: number): number => (newtonPerS > 0 ? Math.min(NEVER_S, newton / newtonPerS) : NEVER_S);

/** Returns the checks of cylinder, travel and weight. */
export function geometryChecks({ force }: Sizes, input: SizingInput): Check[] {
  const travelMm = Math.min(input.travelDownMm, input.travelUpMm);
  return [
    atMost('cylinder-stroke', 'millimetre', force.cylinderStrokeNeededMm, input.cylinderStrokeMm, input.cylinderStrokeMm, [
      'The cylinder must not bottom out before the linkage reaches its stops.',
      'Use a longer cylinder, or attach it closer to the pivot of the arm.',
      'stroke needed from stop to stop <= cylinder stroke',
      'plane geometry',
    ]),
    atMost('float-travel', 'millimetre', input.floatMm, 0.9 * travelMm, travelMm, [
      'The row must not hit its stops within the float travel.',
      'Allow more travel, or specify less float.',
      'float <= 0.9 of the shorter travel',
      RULE_OF_THUMB,
    ]),
    atLeast('minimum-pressure', 'kilopascal', force.workMinUnclampedKpa, input.returnKpa + 200, input.returnKpa, [
      'At the lowest target in soft soil, the chamber would need less pressure than the return line allows.',
      'Use a stronger lift spring, or a lighter row.',
      'lowest working pressure >= return pressure plus 2 bar for the drop across the valve; marginal: without the 2 bar',
      'force balance; the 2 bar are a rule of thumb',
    ]),
  ];
}

/** Returns the checks of accumulator and float. */
export function gasChecks({ accumulator, force }: Sizes, input: SizingInput): Check[] {
  const hasGas = input.accumulatorMl > 0;
  const prechargeRatio = hasGas ? accumulator.prechargeHotKpa / absoluteKpa(force.workMinKpa) : 0;
  const oilRatio = hasGas ? accumulator.floatOilMl / 2 / accumulator.gasTypicalMl : 1;
  const swing = accumulator.floatSwingN;
  return [
    atMost('precharge-ratio', 'ratio', prechargeRatio, PRECHARGE_SHARE, 1, [
      'Below its precharge pressure an accumulator holds no oil: the row is stiff, and one pulse changes the pressure by tens of bar.',
      'Lower the precharge, raise the lowest target, or use a stronger lift spring, which raises all working pressures.',
      'precharge with hot gas <= 0.9 of the lowest working pressure, both absolute',
      `${RULE_OF_THUMB}; a published worked example uses 90 bar for 100 bar`,
    ]),
    atMost('float-oil-ratio', 'ratio', Math.min(1e6, oilRatio), 0.5, 0.8, [
      'The oil of the float travel must not fill the accumulator.',
      'Use a larger accumulator, or a smaller piston.',
      'half of the float oil <= half of the gas volume at typical pressure',
      RULE_OF_THUMB,
    ]),
    atMost('float-swing', 'newton', swing, input.floatSwingN, 1.25 * input.floatSwingN, [
      'Over the float travel the down force changes with the gas pressure; a large change has to be corrected with pulses.',
      'Use a larger accumulator; the gas volume needed is listed under Gas and stiffness.',
      'change of down force over the float travel <= floatSwingN',
      'p·Vⁿ = const; the limit is set in the machine file',
    ]),
  ];
}

/** Returns the checks of rail pressure, slew and minimum pulse. */
export function slewChecks({ slew, oil, deadbandN }: Sizes, input: SizingInput): Check[] {
  const pressures = [slew.lowPressure, slew.typical, slew.highPressure];
  const largestN = Math.max(...pressures.flatMap((one) => [one.minPulseUpN, one.minPulseDownN]));
  const limitS = input.soilStepS;
  const slewCheck = (name: string, coldNPerS: number, warmNPerS: number): Check => {
    const [cold, warm] = [stepS(input.soilStepN, coldNPerS), stepS(input.soilStepN, warmNPerS)];
    // Fast enough with warm oil but not with cold oil is marginal.
    return atMost(name, 'second', cold, limitS, warm <= limitS ? Math.max(cold, limitS) : limitS, [
      'Soil changes within one or two metres; if the pressure follows too slowly, the correction comes too late.',
      'Use larger valves, a smaller accumulator or a higher precharge; watch the minimum pulse.',
      'time for soilStepN at the slew rate with the coldest oil <= soilStepS; marginal: with oil at 40 °C only',
      'dp/dt = Q/C; the time is set in the machine file',
    ]);
  };
  return [
    atLeast('rail-margin', 'kilopascal', oil.railMarginKpa, input.railMarginKpa, 0, [
      'Without a pressure drop across the valve, no oil flows into the chamber.',
      'Raise the rail pressure, use a wider supply hose or a larger piston, or a weaker lift spring.',
      'rail pressure at peak flow less the highest working pressure >= railMarginKpa',
      RULE_OF_THUMB,
    ]),
    slewCheck('slew-up-time', slew.coldOil.upNPerS, slew.typical.upNPerS),
    slewCheck('slew-down-time', slew.coldOil.downNPerS, slew.typical.downNPerS),
    atMost('minimum-pulse', 'newton', largestN, 0.5 * deadbandN, deadbandN, [
      'If a single pulse crosses the deadband, the row hunts.',
      'Use smaller valves, a shorter minimum pulse, a larger accumulator or a wider deadband.',
      'largest step of a minimum pulse over the working range <= half of the deadband (half width)',
      RULE_OF_THUMB,
    ]),
  ];
}

/** Returns the checks of pump, hoses, oil and heat. */
export function supplyChecks({ supplyBudget, oil, valve, heat }: Sizes, input: SizingInput): Check[] {
  const spareLpm = Math.min(supplyBudget.spareAtPeakLpm, supplyBudget.spareWhileLiftingLpm);
  return [
    // Enough on average is marginal, whatever the shortfall at the peak.
    atLeast('pump-margin', 'litrePerMinute', spareLpm, 0, supplyBudget.spareLpm >= 0 ? Math.min(0, spareLpm) : 0, [
      'When demand exceeds the pump flow, the rail pressure drops and the pulses of all rows become wrong together.',
      'Use a larger pump, a separate pump for the fans, or fewer consumers.',
      'pump flow >= flow of all consumers, both at the down-force peak and while lifting; marginal: on average only',
      "sum of flows; Poisson's law for the peak",
    ]),
    atMost('supply-hose-drop', 'kilopascal', oil.supplyHoseDropKpa, 0.1 * input.railNominalKpa, 0.2 * input.railNominalKpa, [
      'Pressure lost in the hose becomes heat, and it changes with every valve that opens.',
      'Use a wider or shorter hose.',
      'drop at peak flow, oil at 40 °C, <= 0.1 of the rail pressure',
      RULE_OF_THUMB,
    ]),
    atMost('row-hose-drop', 'kilopascal', oil.rowHoseDropKpa, 0.1 * input.railNominalKpa, 0.2 * input.railNominalKpa, [
      'A narrow hose to the row takes pressure from the valve and makes slew depend on temperature.',
      'Use a wider or shorter hose.',
      'drop at the flow of one open valve, oil at 40 °C, <= 0.1 of the rail pressure',
      RULE_OF_THUMB,
    ]),
    atMost('cold-oil-viscosity', 'squareMillimetrePerSecond', valve.coldViscosityMm2PerS, 1500, 5000, [
      'Oil this thick hardly flows through valves and hoses, and can cavitate the pump.',
      'Use thinner oil or one with a higher viscosity index, or warm up before work.',
      'viscosity of the coldest oil <= 1500 mm²/s',
      RULE_OF_THUMB,
    ]),
    atMost('cylinder-temperature', 'degreeCelsius', heat.cylinderMaxC, input.sealLimitC - 10, input.sealLimitC, [
      'Rebound damping turns the fall of the row into heat in the cylinder.',
      'Use a larger rebound orifice, a smaller rod side, or a lower speed on rough fields.',
      'highest air temperature plus steady-state rise at the highest speed <= sealLimitC less 10 K',
      'ΔT = P·R_th; the 10 K are a rule of thumb',
    ]),
  ];
}
