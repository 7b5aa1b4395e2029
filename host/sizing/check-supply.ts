import { atLeast, atLeastOrMilder, atMost, type Draft, RULE_OF_THUMB } from './check.js';
import type { Sizes } from './sizes.js';
import type { SizingInput } from './sizing-input.js';

/** Returns the checks of rail and return line at the peak of the down force, with oil at 40 °C and with the coldest oil. */
export function railChecks({ oil }: Sizes, input: SizingInput): Draft[] {
  return [
    atLeast('rail-margin', 'kilopascal', oil.railMarginKpa, input.railMarginKpa, 0, [
      'Without a pressure drop across the valve, no oil flows into the chamber.',
      [
        ['raise the rail pressure', '+railPressure'],
        'use a wider or shorter supply hose',
        'use oil that stays thinner in the cold, or warm up before work',
        ['use a larger piston', '+piston'],
        ['use a weaker lift spring', '-liftSpring'],
      ],
      'rail pressure at peak flow less the highest working pressure >= railMarginKpa, with the coldest oil and at 40 °C',
      'Hagen–Poiseuille and the droop of the pump with all that it delivers; the margin is set in the machine file',
    ]),
    atLeast('return-margin', 'kilopascal', oil.returnMarginKpa, 200, 0, [
      'A row lowers its pressure against that of the return line: at its peak no row could go below it.',
      [
        'use a wider or shorter return hose',
        'use oil that stays thinner in the cold, or warm up before work',
        ['use a stronger lift spring, which raises all working pressures', '+liftSpring'],
      ],
      'lowest working pressure less the return pressure at peak flow >= 2 bar, with the coldest oil and at 40 °C',
      'Hagen–Poiseuille; the 2 bar are a rule of thumb',
    ]),
  ];
}

/** Returns the check of the pump. */
export function pumpChecks({ supplyBudget }: Sizes): Draft[] {
  const spareLpm = Math.min(supplyBudget.spareAtPeakLpm, supplyBudget.spareWhileLiftingLpm);
  return [
    atLeastOrMilder('pump-margin', 'litrePerMinute', spareLpm, 0, { value: supplyBudget.spareLpm, when: 'on average while planting' }, [
      'When demand exceeds the pump flow, the rail pressure drops and the pulses of all rows become wrong together.',
      ['use a larger pump', 'use a separate pump for the fans', 'use fewer consumers'],
      'pump flow >= flow of all consumers, both at the down-force peak and while lifting; marginal: on average only',
      "sum of flows; Poisson's law for the peak",
    ]),
  ];
}

/** Highest velocity in pressure hoses, m/s: 20 ft/s, for short times 25 ft/s; in return hoses 10 ft/s, up to 4 m/s. */
const PRESSURE_MPS = 6.1;
const PRESSURE_MAX_MPS = 7.6;
const RETURN_MPS = 3;
const RETURN_MAX_MPS = 4;

/** Returns the checks of the hoses. */
export function hoseChecks({ oil }: Sizes, input: SizingInput): Draft[] {
  const [limitKpa, marginalKpa] = [0.1 * input.railNominalKpa, 0.2 * input.railNominalKpa];
  const wider = ['use a wider or shorter hose'];
  const velocity = (name: string, mps: number, limit: number, marginal: number, range: string): Draft =>
    atMost(name, 'metrePerSecond', mps, limit, marginal, [
      'Fast oil is turbulent: it heats itself, makes noise and hammers when a valve closes.',
      ['use a wider hose'],
      `highest velocity, oil at 40 °C, <= ${limit} m/s; marginal: ${marginal} m/s`,
      `v = Q/A; hose manufacturers recommend ${range}`,
    ]);
  return [
    atMost('supply-hose-drop', 'kilopascal', oil.warm.supplyHoseDropKpa, limitKpa, marginalKpa, [
      'Pressure lost in the hose becomes heat, and it changes with every valve that opens.',
      wider,
      'drop at peak flow, oil at 40 °C, <= 0.1 of the rail pressure',
      RULE_OF_THUMB,
    ]),
    atMost('row-hose-drop', 'kilopascal', oil.warm.rowHoseDropKpa, limitKpa, marginalKpa, [
      'A narrow hose to the row takes pressure from the valve and makes slew depend on temperature.',
      wider,
      'drop at the flow of one open valve, oil at 40 °C, <= 0.1 of the rail pressure',
      RULE_OF_THUMB,
    ]),
    velocity(
      'pressure-hose-velocity',
      Math.max(oil.supplyHoseMps, oil.rowHoseMps),
      PRESSURE_MPS,
      PRESSURE_MAX_MPS,
      '3 to 6 m/s, for short times 7.6 m/s',
    ),
    velocity('return-hose-velocity', oil.returnHoseMps, RETURN_MPS, RETURN_MAX_MPS, '1.5 to 3 m/s, at most 4 m/s'),
  ];
}

/** Returns the checks of oil and heat. */
export function oilChecks({ valve, heat }: Sizes, input: SizingInput): Draft[] {
  return [
    atMost('cold-oil-viscosity', 'squareMillimetrePerSecond', valve.coldViscosityMm2PerS, 1500, 5000, [
      'Oil this thick hardly flows through valves and hoses, and can cavitate the pump.',
      ['use thinner oil', 'use oil with a higher viscosity index', 'warm up before work'],
      'viscosity of the coldest oil <= 1500 mm²/s',
      RULE_OF_THUMB,
    ]),
    atMost('cylinder-temperature', 'degreeCelsius', heat.cylinderMaxC, input.sealLimitC - 10, input.sealLimitC, [
      'Rebound damping turns the fall of the row into heat in the cylinder.',
      ['use a larger rebound orifice', 'use a smaller rod side', 'drive slower on rough fields'],
      'highest air temperature plus steady-state rise at the highest speed <= sealLimitC less 10 K',
      'ΔT = P·R_th; the 10 K are a rule of thumb',
    ]),
  ];
}
