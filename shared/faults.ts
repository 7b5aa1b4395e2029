import { CHANNELS } from './channels.js';

/** What the controller does while a fault is set. */
export const REACTIONS = {
  report: 'the fault is only reported',
  substitute: 'the configured value is used instead of the measured one',
  adapt: 'the learned value is used instead of the configured one',
  freeze: 'the set point stays as it is and the pressure loop continues (strategy threshold: as hold)',
  hold: 'only closing strokes are made, for the row or for the whole bank',
  close: 'no valve is opened, and open valves are closed while energy lasts',
  inhibit:
    'with a charged reservoir: open valves are closed, or the chambers vented first, then no stroke is made; without one no stroke is made, and the positions of valves that were open or moving become unknown',
} as const;
export type Reaction = keyof typeof REACTIONS;

/**
 * Every fault that the controller can report. Bank faults are bits of `BankOutput.faults`, row faults bits of
 * `RowOutput.faults`; `code` is the bit's number. `fmi` is the failure mode identifier of SAE J1939-73 that a diagnostic
 * message would carry (0 to 31; the standard's appendix lists their meanings; from memory).
 *
 * A fault is set once its condition has been present for `debounceMs`, and cleared once the condition has been absent for
 * `recoveryMs`. `recoveryMs: 0`: latched, only a restart clears it.
 */
export interface Fault {
  readonly name: string;
  readonly scope: 'bank' | 'row';
  readonly code: number;
  readonly fmi: number;
  readonly reaction: Reaction;
  readonly debounceMs: number;
  readonly recoveryMs: number;
  readonly help: string;
}

/** A check on every analog channel; each channel has a fault for it. */
export interface Check {
  readonly name: string;
  readonly fmi: number;
  readonly debounceMs: number;
  readonly help: string;
}

/** The checks, in the order of their bits. Each is done in assembly/controller/sense.ts. */
// biome-ignore format: a table reads best with one check to a line
export const CHECKS: readonly Check[] = [
  { name: 'Short', fmi: 4, debounceMs: 20, help: 'signal at ground, or sensor without supply' },
  { name: 'Open', fmi: 3, debounceMs: 20, help: 'signal at the sensor supply, or wire broken (input pulled up)' },
  { name: 'Range', fmi: 2, debounceMs: 50, help: "signal outside the sensor's range, but neither short nor open" },
  { name: 'Frozen', fmi: 12, debounceMs: 0, help: 'ADC counts unchanged for longer than frozenMs while a related signal moved' },
  { name: 'Rate', fmi: 10, debounceMs: 30, help: 'repeated steps faster than the sensor can follow, or an intermittent connection' },
];

type FaultRow = Omit<Fault, 'code'>;

function channelFaults(channel: (typeof CHANNELS)[number]['name'], reaction: Reaction): FaultRow[] {
  const { scope, label } = CHANNELS.find(({ name }) => name === channel) as (typeof CHANNELS)[number];
  return CHECKS.map(({ name, fmi, debounceMs, help }) => {
    return { name: channel + name, scope, fmi, reaction, debounceMs, recoveryMs: 500, help: `${label}: ${help}` };
  });
}

// biome-ignore format: a table reads best with one fault to a line
const ROWS: readonly FaultRow[] = [
  ...channelFaults('rail', 'substitute'),
  { name: 'targetInvalid', scope: 'bank', fmi: 19, reaction: 'hold', debounceMs: 20, recoveryMs: 200, help: 'Target load is NaN, negative or above targetMaxN' },
  { name: 'temperatureInvalid', scope: 'bank', fmi: 19, reaction: 'substitute', debounceMs: 100, recoveryMs: 500, help: 'Oil temperature is NaN or outside -50 to 150 °C; warm-oil flow is assumed' },
  { name: 'speedInvalid', scope: 'bank', fmi: 19, reaction: 'report', debounceMs: 100, recoveryMs: 500, help: 'Ground speed is above the valid range of its message; the lug notch is off' },
  { name: 'supplyLow', scope: 'bank', fmi: 18, reaction: 'close', debounceMs: 5, recoveryMs: 500, help: 'Supply voltage below supplyLowMv: no valve is opened, open valves are closed' },
  { name: 'supplyCritical', scope: 'bank', fmi: 1, reaction: 'inhibit', debounceMs: 0, recoveryMs: 500, help: 'Supply voltage below supplyCriticalMv: only a reservoir can pay for closing strokes' },
  { name: 'reservoirLow', scope: 'bank', fmi: 18, reaction: 'report', debounceMs: 50, recoveryMs: 500, help: 'The reservoir capacitor stores too little energy for the closing strokes still needed plus one pulse (an opening and a closing stroke)' },
  { name: 'railLow', scope: 'bank', fmi: 18, reaction: 'report', debounceMs: 200, recoveryMs: 500, help: 'Rail pressure below railLowKpa: chamber pressure may not rise as requested' },
  { name: 'parameterRefused', scope: 'bank', fmi: 13, reaction: 'hold', debounceMs: 0, recoveryMs: 0, help: 'configure() refused a parameter; valves are closed and never opened' },

  ...channelFaults('load', 'freeze'),
  ...channelFaults('pressure', 'hold'),
  ...channelFaults('acceleration', 'report'),
  { name: 'zeroNoisy', scope: 'row', fmi: 2, reaction: 'report', debounceMs: 0, recoveryMs: 1, help: 'Every re-zero of the lift so far was refused, the last one because the load varied too much; the last zero is kept' },
  { name: 'zeroImplausible', scope: 'row', fmi: 13, reaction: 'report', debounceMs: 0, recoveryMs: 1, help: 'Every re-zero of the lift so far was refused, the last one because it was more than zeroStepN from the last zero, or beyond zeroLimitN; the last zero is kept' },
  { name: 'supplyMissed', scope: 'row', fmi: 7, reaction: 'report', debounceMs: 0, recoveryMs: 1000, help: 'A stroke did not move the supply valve: a missed closing stroke has been repeated; the pulse of a missed opening stroke has been ended' },
  { name: 'returnMissed', scope: 'row', fmi: 7, reaction: 'report', debounceMs: 0, recoveryMs: 1000, help: 'A stroke did not move the return valve: a missed closing stroke has been repeated; the pulse of a missed opening stroke has been ended' },
  { name: 'supplyStuck', scope: 'row', fmi: 7, reaction: 'hold', debounceMs: 0, recoveryMs: 1000, help: 'The supply valve missed strokeTries consecutive strokes. Open: it gets a closing stroke every retryS, and the fault clears once the pressure proves that one has closed it. Closed: it gets a trial pulse now and then' },
  { name: 'returnStuck', scope: 'row', fmi: 7, reaction: 'hold', debounceMs: 0, recoveryMs: 1000, help: 'The return valve missed strokeTries consecutive strokes. Open: it gets a closing stroke every retryS, and the fault clears once the pressure proves that one has closed it. Closed: it gets a trial pulse now and then' },
  { name: 'leak', scope: 'row', fmi: 7, reaction: 'report', debounceMs: 5000, recoveryMs: 10000, help: 'More than leakMlPerMin flows into or out of the chamber with both valves closed' },
  { name: 'loadHigh', scope: 'row', fmi: 16, reaction: 'adapt', debounceMs: 2000, recoveryMs: 10000, help: 'The load sensor reads more than pressure and weight can produce, or too much while the wheels are off the ground; an accepted zero clears it' },
  { name: 'loadLow', scope: 'row', fmi: 18, reaction: 'adapt', debounceMs: 100, recoveryMs: 10000, help: 'The load sensor has read below zero; an accepted zero clears it' },
  { name: 'accelerationImplausible', scope: 'row', fmi: 2, reaction: 'report', debounceMs: 500, recoveryMs: 2000, help: 'The accelerometer contradicts the pressure: the row is controlled as one without' },
  { name: 'loadImplausible', scope: 'row', fmi: 2, reaction: 'freeze', debounceMs: 500, recoveryMs: 2000, help: 'The load does not follow the forces that accelerometer and pressure agree on' },
  { name: 'prechargeLow', scope: 'row', fmi: 18, reaction: 'adapt', debounceMs: 1000, recoveryMs: 10000, help: 'The accumulator has lost more than a third of its gas: the pressure follows the motion of the row too closely' },
  { name: 'soilAheadInvalid', scope: 'row', fmi: 19, reaction: 'report', debounceMs: 200, recoveryMs: 500, help: 'The expected change of the soil is NaN or beyond soilAheadMaxN: the row is controlled without it' },
  { name: 'soilAheadWrong', scope: 'row', fmi: 2, reaction: 'report', debounceMs: 3000, recoveryMs: 2000, help: 'The load does not follow the expected changes of the soil: the row is controlled without them' },
];

/** Codes are the positions within a scope: a new fault goes to the end of its scope. */
export const FAULTS: readonly Fault[] = ROWS.map((row, index) => {
  const code = ROWS.slice(0, index).filter(({ scope }) => scope === row.scope).length;
  const { name, scope, ...others } = row;
  return { name, scope, code, ...others };
});
