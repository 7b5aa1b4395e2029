import { atLeast, atMost, type Check, RULE_OF_THUMB } from './check.js';
import { pullInTimeMs } from './coil.js';
import { VOLTAGE_RESERVE } from './harness.js';
import type { Sizes } from './sizes.js';
import type { SizingInput } from './sizing-input.js';
import { awgMm2, THICKEST_AWG } from './wire.js';

/** Returns the checks of sensor ranges and resonance. */
export function sensorChecks({ sensors, resonance, deadbandN }: Sizes, input: SizingInput): Check[] {
  return [
    atLeast('load-sensor-margin', 'newton', sensors.loadHeadroomN, 0.05 * sensors.loadSpanN, 0, [
      'A saturated sensor reads less load than there is, and the controller presses harder.',
      'Use a wider span, or a lower highest target.',
      'load at 90 % of the sensor supply less the peak load (mean plus three standard deviations) >= 5 % of the span',
      'normal distribution; σ over mean from research; the 5 % are a rule of thumb',
    ]),
    atMost('load-resolution', 'newton', sensors.loadNPerCount, 0.1 * deadbandN, 0.5 * deadbandN, [
      'A converter step must not look like a change of load.',
      'Use a converter with more bits, or a narrower span.',
      'load per ADC count <= 0.1 of the deadband',
      RULE_OF_THUMB,
    ]),
    atLeast('pressure-sensor-margin', 'kilopascal', sensors.pressureHeadroomKpa, 0, -0.05 * input.pressureAtNinetyPercentKpa, [
      'Chamber pressure can reach rail pressure, and exceed it when the row is pushed up.',
      'Use a sensor with a wider range.',
      'pressure at 90 % of the sensor supply >= rail pressure and highest working pressure',
      RULE_OF_THUMB,
    ]),
    atLeast('resonance-ratio', 'ratio', Math.min(1e6, resonance.lugSeparation), 2, Math.SQRT2, [
      'Lugs that excite the row near a natural frequency lift its wheels off the ground.',
      'Use a different lug pitch, a softer accumulator, or other speeds.',
      'natural frequencies of the row at least a factor of 2 outside the lug band; marginal: √2, above which vibration is not amplified',
      'transmissibility of an oscillator, closed form; the factor of 2 is a rule of thumb',
    ]),
  ];
}

/** Returns the checks of stroke timing, voltage and queue. */
export function strokeChecks({ harness, duty, slew, deadbandN }: Sizes, input: SizingInput): Check[] {
  const waitN = (Math.max(slew.typical.upNPerS, slew.typical.downNPerS) * duty.closeWaitMs) / 1000;
  const thickestMm2 = Math.max(...harness.segments.map(({ neededMm2 }) => neededMm2));
  return [
    atLeast('supply-voltage-margin', 'volt', Math.min(input.sourceV - input.supplyMinV, input.supplyMaxV - input.sourceV), 0, 0, [
      'All results assume that the nominal voltage lies between the lowest and the highest.',
      'Correct supplyMinV and supplyMaxV for this electrical system.',
      'supplyMinV <= sourceV <= supplyMaxV',
      'consistency',
    ]),
    atLeast('stroke-time-margin', 'millisecond', pullInTimeMs(input), 0.25 * input.strokeMs, 0.05 * input.strokeMs, [
      'The current needs time to rise before the armature has to move.',
      'Use a longer stroke, or a faster valve.',
      'strokeMs less the travel time to the point of no return >= 0.25 of strokeMs',
      RULE_OF_THUMB,
    ]),
    atLeast('last-row-voltage-ratio', 'ratio', Math.min(1e6, harness.voltageRatio), VOLTAGE_RESERVE, 1, [
      'At too low a voltage a stroke does not move its valve, and nothing reports it.',
      'Use thicker wires, fewer strokes at once, star wiring, or a bank in the middle of the machine.',
      'voltage at the last row, with strokesAtOnce coils driven at the far end, over the pull-in voltage >= 1.1, cold and hot',
      "Kirchhoff's laws and the closed form of the coil; the 10 % are a rule of thumb",
    ]),
    atMost('wire-area', 'squareMillimetre', thickestMm2, awgMm2(input.wireAwg), awgMm2(THICKEST_AWG), [
      'Every segment must be thick enough for its share of the voltage drop.',
      'Use the gauges listed by segment, or fewer strokes at once; if even 4/0 is too thin, a higher voltage or a coil with a lower pull-in current.',
      'area needed <= area of wireAwg; marginal: <= area of 4/0',
      'R = ρ·l/A, ASTM B258',
    ]),
    atMost('close-wait-error', 'newton', waitN, 0.5 * deadbandN, deadbandN, [
      'While a closing stroke waits in the queue, its valve stays open.',
      'Allow more strokes at once, or use smaller valves.',
      'slew over the longest wait for a closing stroke <= half of the deadband (half width)',
      'upper bound of the stroke queue; the half is a rule of thumb',
    ]),
    atMost('queue-utilisation', 'ratio', duty.queueUtilisation, 0.25, 0.75, [
      'A queue that is busy most of the time delays all strokes.',
      'Allow more strokes at once, or reduce the pulses.',
      'share of the queue capacity in use <= 0.25',
      RULE_OF_THUMB,
    ]),
  ];
}

/** Returns the checks of energy, heat and life. */
export function powerChecks({ reservoir, coilHeat, supplyBudget, life, proportional }: Sizes, input: SizingInput): Check[] {
  const { coilLimitC } = input;
  const { breakEvenI2rPulsesPerMin: i2rLimit, breakEvenViPulsesPerMin: viLimit } = proportional;
  return [
    atLeast('reservoir-strokes', 'none', reservoir.closesAvailable, input.rowCount, input.rowCount / 2, [
      'When power is lost, an open valve stays open: only stored energy can close it.',
      'Use a reservoir with the capacitance needed when new, one that loses less with age and cold, or a coil with a lower pull-in voltage.',
      'closing strokes available at the end of its life >= one per row; marginal: one per two rows',
      '½·C·U²; derating is a rule of thumb',
    ]),
    atMost('coil-temperature', 'degreeCelsius', coilHeat.coilMaxC, coilLimitC - 10, coilLimitC, [
      'Heat ages the insulation.',
      'Use fewer pulses, shorter strokes, or more resistance.',
      'highest coil temperature including its steady-state rise <= coilLimitC less 10 K',
      'ΔT = P·R_th; the 10 K are a rule of thumb',
    ]),
    atLeast('alternator-margin', 'watt', supplyBudget.spareW, 0.1 * supplyBudget.alternatorW, 0, [
      'The battery supplies what the alternator cannot, until its voltage falls.',
      'Use a larger alternator, or hydraulic drives for the largest consumers.',
      'alternator power less all consumers >= 0.1 of the alternator power',
      RULE_OF_THUMB,
    ]),
    atLeast('stroke-life-ratio', 'ratio', life.lifeRatio, 2, 1, [
      'A worn-out valve fails in the middle of a season.',
      'Use fewer pulses (a wider deadband), or valves with a longer life.',
      'rated strokes of a valve >= 2 times its strokes in service',
      RULE_OF_THUMB,
    ]),
    atMost('power-rule', 'perMinute', input.dutyPulsesPerMin, i2rLimit, Math.max(i2rLimit, viLimit), [
      'Latching valves are fitted because 24 rows need no more power than one row with a proportional valve; this holds only up to a certain duty.',
      'Use fewer pulses, or strokes with less energy.',
      'duty <= that at which 24 latching rows draw the power of one row with a proportional valve, as I²R; marginal: as V·I',
      RULE_OF_THUMB,
    ]),
  ];
}
