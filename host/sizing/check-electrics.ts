import { atLeast, atMost, type Draft, RULE_OF_THUMB } from './check.js';
import { pullInTimeMs } from './coil.js';
import { VOLTAGE_RESERVE } from './harness.js';
import type { Sizes } from './sizes.js';
import type { SizingInput } from './sizing-input.js';
import { awgMm2, THICKEST_AWG } from './wire.js';

/** Returns the checks of sensor ranges and resonance. */
export function sensorChecks({ sensors, resonance, deadbandN }: Sizes, input: SizingInput): Draft[] {
  return [
    atLeast('load-sensor-margin', 'newton', sensors.loadHeadroomN, 0.05 * sensors.loadSpanN, 0, [
      'A saturated sensor reads less load than there is, and the controller presses harder.',
      ['use a wider span', 'use a lower highest target'],
      'load at 90 % of the sensor supply less the peak load (mean plus three standard deviations) >= 5 % of the span',
      'normal distribution; σ over mean is set in the machine file, by default from simulations; the 5 % are a rule of thumb',
    ]),
    atMost('load-resolution', 'newton', sensors.loadNPerCount, 0.1 * deadbandN, 0.5 * deadbandN, [
      'A converter step must not look like a change of load.',
      ['use a converter with more bits', 'use a narrower span'],
      'load per ADC count <= 0.1 of the deadband',
      RULE_OF_THUMB,
    ]),
    atLeast('pressure-sensor-margin', 'kilopascal', sensors.pressureHeadroomKpa, 0, -0.05 * input.pressureAtNinetyPercentKpa, [
      'Chamber pressure can reach rail pressure, and exceed it when the row is pushed up.',
      ['use a sensor with a wider range'],
      'pressure at 90 % of the sensor supply >= rail pressure and highest working pressure',
      RULE_OF_THUMB,
    ]),
    atLeast('resonance-ratio', 'ratio', Math.min(1e6, resonance.lugRatio), 2, Math.SQRT2, [
      'Lugs that excite the row near a natural frequency lift its wheels off the ground. Below it the row is not isolated from them.',
      ['use a smaller lug pitch', ['use a larger accumulator', '+accumulator'], 'plant faster'],
      'lowest lug frequency over the highest natural frequency of the row >= 2; marginal: √2, above which vibration is not amplified',
      'transmissibility of an oscillator, closed form: it is above 1 at all frequencies below √2; the factor of 2 is a rule of thumb',
    ]),
  ];
}

/** Returns the checks of supply voltage and stroke timing. */
export function strokeChecks(_: Sizes, input: SizingInput): Draft[] {
  return [
    atLeast('supply-voltage-margin', 'volt', Math.min(input.sourceV - input.supplyMinV, input.supplyMaxV - input.sourceV), 0, 0, [
      'All results assume that the nominal voltage lies between the lowest and the highest.',
      ['correct supplyMinV and supplyMaxV for this electrical system'],
      'supplyMinV <= sourceV <= supplyMaxV',
      'consistency',
    ]),
    atLeast('stroke-time-margin', 'millisecond', pullInTimeMs(input), 0.25 * input.strokeMs, 0.05 * input.strokeMs, [
      'The current needs time to rise before the armature has to move.',
      [['use a longer stroke', '+strokeMs'], 'use a faster valve'],
      'strokeMs less the travel time to the point of no return >= 0.25 of strokeMs',
      RULE_OF_THUMB,
    ]),
  ];
}

/** Returns the checks of the wires to the rows. */
export function wireChecks({ harness, duty }: Sizes, input: SizingInput): Draft[] {
  const thickestMm2 = Math.max(...harness.segments.map(({ neededMm2 }) => neededMm2));
  return [
    atLeast('last-row-voltage-ratio', 'ratio', Math.min(1e6, harness.voltageRatio), VOLTAGE_RESERVE, 1, [
      'At too low a voltage a stroke does not move its valve, and nothing reports it.',
      [
        'use thicker wires',
        ['allow fewer strokes at once', '-strokesAtOnce'],
        'use star wiring',
        'put the bank in the middle of the machine',
      ],
      'voltage at the last row, with strokesAtOnce coils driven at the far end, over the pull-in voltage >= 1.1, cold and hot',
      "Kirchhoff's laws for a ladder of R and L; the 10 % are a rule of thumb",
    ]),
    atMost('wire-area', 'squareMillimetre', thickestMm2, awgMm2(input.wireAwg), awgMm2(THICKEST_AWG), [
      'Every segment must be thick enough for its share of the voltage drop.',
      [
        'use the gauges listed by segment',
        ['allow fewer strokes at once', '-strokesAtOnce'],
        'if even 4/0 is too thin, use a higher voltage or a coil with a lower pull-in current',
      ],
      'area needed <= area of wireAwg; marginal: <= area of 4/0',
      'R = ρ·l/A, ASTM B258',
    ]),
    atMost('fuse-rating', 'ampere', input.fuseA, harness.ampacityA / FUSE_OVERLOAD, harness.ampacityA, [
      'A short circuit or a coil stuck on must blow the fuse before the insulation of the wires melts.',
      [['use a smaller fuse', '-fuse'], 'use thicker wires', 'use wires with an insulation for higher temperatures'],
      `${FUSE_OVERLOAD} times fuseA <= current that heats wires of wireAwg from coilHotC to wireLimitC; marginal: fuseA alone`,
      'steady heat of a wire, checked against a table of ampacities from memory; a blade fuse may carry 1.35 times its rating for minutes (ISO 8820, from memory)',
    ]),
    atMost('fuse-load', 'ampere', duty.bankMaxRmsA, FUSE_LOAD_SHARE * input.fuseA, input.fuseA, [
      'A fuse that runs near its rating ages and blows without a fault; the valves then stay as they are.',
      [['use a larger fuse', '+fuse'], 'use fewer pulses'],
      'RMS current of all strokes, highest voltage, cold, <= 0.75 of fuseA; marginal: fuseA',
      "Campbell's theorem; the 0.75 are common practice, from memory",
    ]),
  ];
}

/** A fuse may carry this multiple of its rating for minutes: ISO 8820 for blade fuses, from memory. */
const FUSE_OVERLOAD = 1.35;
/** Share of its rating that a fuse is loaded with at most: common practice, from memory. */
const FUSE_LOAD_SHARE = 0.75;

/** Returns the checks of the stroke queue. */
export function queueChecks({ duty, slew, deadbandN }: Sizes): Draft[] {
  const fastestNPerS = Math.max(...[slew.lowPressure, slew.typical, slew.highPressure].flatMap((one) => [one.upNPerS, one.downNPerS]));
  return [
    atMost('close-wait-error', 'newton', (fastestNPerS * duty.closeWaitMs) / 1000, 0.5 * deadbandN, deadbandN, [
      'While a closing stroke waits in the queue, its valve stays open.',
      [
        ['allow more strokes at once', '+strokesAtOnce'],
        ['use smaller valves', '-valves'],
        ['use a larger accumulator', '+accumulator'],
      ],
      'fastest slew over the working range times the longest wait for a closing stroke <= half of the deadband (half width)',
      'upper bound of the stroke queue; the half is a rule of thumb',
    ]),
    atMost('queue-utilisation', 'ratio', duty.queueUtilisation, 0.25, 0.75, [
      'A queue that is busy most of the time delays all strokes.',
      [['allow more strokes at once', '+strokesAtOnce'], 'use fewer pulses'],
      'share of the queue capacity in use <= 0.25',
      RULE_OF_THUMB,
    ]),
  ];
}

/** Returns the checks of energy, heat and life. */
export function powerChecks({ reservoir, coilHeat, supplyBudget, life, proportional }: Sizes, input: SizingInput): Draft[] {
  const { coilLimitC } = input;
  const { breakEvenI2rPulsesPerMin: i2rLimit, breakEvenViPulsesPerMin: viLimit } = proportional;
  return [
    atLeast('reservoir-strokes', 'none', reservoir.closesAvailable, input.rowCount, input.rowCount / 2, [
      'When power is lost, an open valve stays open: only stored energy can close it.',
      [
        'use a reservoir with the capacitance needed when new',
        'use one that loses less with age and cold',
        'use a coil with a lower pull-in voltage',
      ],
      'closing strokes available at the end of its life >= one per row; marginal: one per two rows',
      '½·C·U²; derating is a rule of thumb',
    ]),
    atMost('coil-temperature', 'degreeCelsius', coilHeat.coilMaxC, coilLimitC - 10, coilLimitC, [
      'Heat ages the insulation.',
      ['use fewer pulses', ['use shorter strokes', '-strokeMs'], 'use a coil with more resistance'],
      'highest coil temperature including its steady-state rise <= coilLimitC less 10 K',
      'ΔT = P·R_th; the 10 K are a rule of thumb',
    ]),
    atLeast('alternator-margin', 'watt', supplyBudget.spareW, 0.1 * supplyBudget.alternatorW, 0, [
      'The battery supplies what the alternator cannot, until its voltage falls.',
      ['use a larger alternator', 'use hydraulic drives for the largest consumers'],
      'alternator power less all consumers >= 0.1 of the alternator power',
      RULE_OF_THUMB,
    ]),
    atLeast('stroke-life-ratio', 'ratio', life.lifeRatio, 2, 1, [
      'A worn-out valve fails in the middle of a season.',
      [['use fewer pulses: a wider deadband', '+deadband'], 'use valves with a longer life'],
      'rated strokes of a valve >= 2 times its strokes in service',
      RULE_OF_THUMB,
    ]),
    atMost('power-rule', 'perMinute', input.dutyPulsesPerMin, i2rLimit, Math.max(i2rLimit, viLimit), [
      'Latching valves are fitted because 24 rows need no more power than one row with a proportional valve; this holds only up to a certain duty.',
      ['use fewer pulses', ['use shorter strokes', '-strokeMs'], 'use a coil that needs less energy'],
      'duty <= that at which 24 latching rows draw the power of one row with a proportional valve, as I²R; marginal: as V·I',
      RULE_OF_THUMB,
    ]),
  ];
}
