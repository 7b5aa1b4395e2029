import { atLeast, atMost, type Check, COMMON_PRACTICE } from './check.js';
import { pullByMs } from './coil.js';
import type { Given } from './given.js';
import { VOLTAGE_RESERVE } from './harness.js';
import type { Sizes } from './sizes.js';
import { awgMm2, THICKEST_AWG } from './wire.js';

/** Sensors and what shakes them. */
export function sensorChecks({ sensors, resonance, deadbandN }: Sizes, given: Given): Check[] {
  return [
    atLeast('load-sensor-range', 'newton', sensors.loadRoomN, 0.05 * sensors.loadSpanN, 0, [
      'A sensor at its end tells of less load than there is, and the controller presses harder.',
      'A wider span, or a lower highest target.',
      'load at 90 % of the supply less the highest load (mean and three standard deviations) >= 5 % of the span',
      'normal law; ratios of σ to mean found in research; the 5 % are common practice, no source',
    ]),
    atMost('load-step', 'newton', sensors.loadNPerCount, 0.1 * deadbandN, 0.5 * deadbandN, [
      'Steps of the converter must not be seen as changes of load.',
      'A converter with more codes, or a narrower span.',
      'load of one code <= a tenth of the deadband',
      COMMON_PRACTICE,
    ]),
    atLeast('pressure-sensor-range', 'kilopascal', sensors.pressureRoomKpa, 0, -0.05 * given.pressureAtNinetyPercentKpa, [
      'Chamber pressure may come to the rail’s, and be above it when the row is pushed up.',
      'A sensor of a wider range.',
      'pressure at 90 % of the supply >= rail and highest working pressure',
      COMMON_PRACTICE,
    ]),
    atLeast('resonance', 'ratio', Math.min(1e6, resonance.lugDistance), 2, Math.SQRT2, [
      'Lugs that shake the row at its own frequency lift its wheels off the ground.',
      'Other lugs, a softer accumulator, or other speeds.',
      'the row’s natural frequencies are at least 2 times off the lugs’ band; near: √2 times, from where on vibration is not amplified',
      'transmissibility of an oscillator, closed form; the 2 are common practice, no source',
    ]),
  ];
}

/** Strokes: time, voltage, turns. */
export function strokeChecks({ harness, duty, slew, deadbandN }: Sizes, given: Given): Check[] {
  const waitN = (Math.max(slew.usual.upNPerS, slew.usual.downNPerS) * duty.closeWaitMs) / 1000;
  const thickestMm2 = Math.max(...harness.segments.map(({ neededMm2 }) => neededMm2));
  return [
    atLeast('supply-range', 'volt', Math.min(given.sourceV - given.supplyLeastV, given.supplyMostV - given.sourceV), 0, 0, [
      'All that follows is reckoned between the lowest and the highest voltage.',
      'supplyLeastV and supplyMostV of the machine’s own system.',
      'supplyLeastV <= sourceV <= supplyMostV',
      'consistency',
    ]),
    atLeast('stroke-time', 'millisecond', pullByMs(given), 0.25 * given.strokeMs, 0.05 * given.strokeMs, [
      'The current must have time to rise before the armature has to move.',
      'A longer stroke, or a faster valve.',
      'strokeMs less the way to the point of no return >= a quarter of strokeMs',
      COMMON_PRACTICE,
    ]),
    atLeast('last-row-voltage', 'ratio', Math.min(1e6, harness.voltageRatio), VOLTAGE_RESERVE, 1, [
      'A stroke on too low a voltage does not move its valve, and nothing tells of it.',
      'Thicker wires, fewer strokes at once, a star, or the bank in the middle of the machine.',
      'voltage at the last row, strokesAtOnce coils driven at the far end, over that at which a stroke is sure >= 1.1, cold and hot',
      'Kirchhoff’s laws and the coil’s closed form; the tenth is common practice, no source',
    ]),
    atMost('wire-gauge', 'squareMillimetre', thickestMm2, awgMm2(given.wireAwg), awgMm2(THICKEST_AWG), [
      'Every segment must be thick enough for its share of the drop.',
      'The gauges that the table of segments asks for; fewer strokes at once; where even 4/0 is too thin, a higher voltage or a coil that pulls with less.',
      'needed area <= area of wireAwg; near: of 4/0',
      'R = ρ·l/A, ASTM B258',
    ]),
    atMost('strokes-at-once', 'newton', waitN, 0.5 * deadbandN, deadbandN, [
      'While a pulse’s end waits for its turn, the valve stays open.',
      'More strokes at once, or smaller valves.',
      'slew over the longest wait for a closing stroke <= half of the deadband',
      'the stroke queue’s bound; the half is common practice, no source',
    ]),
    atMost('queue-share', 'ratio', duty.queueShare, 0.25, 0.75, [
      'A queue that is mostly busy makes all strokes late.',
      'More strokes at once, or fewer pulses.',
      'time that strokes take <= a quarter of the queue’s',
      COMMON_PRACTICE,
    ]),
  ];
}

/** Energy, heat, life. */
export function powerChecks({ reservoir, coilHeat, budget, life, proportional }: Sizes, given: Given): Check[] {
  const { coilLimitC } = given;
  const { ruleHoldsToI2rPulsesPerMin: toI2r, ruleHoldsToViPulsesPerMin: toVi } = proportional;
  return [
    atLeast('reservoir', 'none', reservoir.closesPaid, given.rowCount, given.rowCount / 2, [
      'When power is lost, a valve that is open stays open: nothing but stored energy can close it.',
      'A reservoir of the capacitance needed when new, one that loses less with age and cold, or a coil that needs a lower voltage.',
      'closing strokes that the reservoir pays for at the end of its life >= one of each row; near: of every other row',
      '½·C·U²; derating is common practice, no source',
    ]),
    atMost('coil-heat', 'degreeCelsius', coilHeat.coilHottestC, coilLimitC - 10, coilLimitC, [
      'Insulation ages with heat.',
      'Fewer pulses, shorter strokes, or more resistance.',
      'hottest coil and steady rise <= coilLimitC less 10 K',
      'ΔT = P·R_th; the reserve is common practice, no source',
    ]),
    atLeast('alternator', 'watt', budget.leftW, 0.1 * budget.alternatorW, 0, [
      'What the alternator does not give the battery does, until its voltage falls.',
      'A larger alternator, or hydraulic drives for what draws most.',
      'alternator less all consumers >= a tenth of it',
      COMMON_PRACTICE,
    ]),
    atLeast('stroke-life', 'ratio', life.lifeRatio, 2, 1, [
      'Valves that end their life in the season are changed in the season.',
      'Fewer pulses (a wider deadband), or valves of a longer life.',
      'strokes that a valve lasts >= twice those of its service',
      COMMON_PRACTICE,
    ]),
    atMost('power-rule', 'perMinute', given.dutyPulsesPerMin, toI2r, Math.max(toI2r, toVi), [
      'That 24 latching rows need no more power than one proportional row is why they are fitted; it holds up to some duty only.',
      'Fewer pulses, or strokes of less energy.',
      'duty <= that at which 24 rows draw the power of one proportional row as I²R; near: as V·I',
      COMMON_PRACTICE,
    ]),
  ];
}
