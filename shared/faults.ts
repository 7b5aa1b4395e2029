/**
 * Every fault that the controller can report. A fault is a bit: bank faults in `BankOutput.faults`, row faults in
 * `RowOutput.faults`. `code` is the bit number. `fmi` is the failure mode identifier of SAE J1939-73 that a
 * diagnostic message would carry (0 to 31; the identifiers' meanings stand in the standard's appendix; from memory).
 *
 * A condition must hold for `debounceMs` before the fault is raised, and be absent for `recoveryMs` before it is
 * taken back. `recoveryMs: 0` means that only a restart takes it back.
 *
 * reaction
 *   note      report, nothing else changes
 *   assume    go on with the configured value instead of the measured one
 *   freeze    keep the last set point; the pressure loop goes on (in *threshold*: hold)
 *   hold      no stroke but closing ones, for the row or for the bank
 *   close     close what is open inside the energy left
 *   forget    no stroke at all; what was open or moving is unknown from now on
 */
export type Reaction = 'note' | 'assume' | 'freeze' | 'hold' | 'close' | 'forget';

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

/** The five checks that every analog channel passes through, in the order of their bits: name, FMI, debounce ms, meaning. */
const CHECKS = [
  ['Short', 4, 20, 'signal at ground, or sensor without supply'],
  ['Open', 3, 20, 'signal at the sensor supply, or wire broken (input pulled up)'],
  ['Range', 2, 50, 'between the electrical limits and the sensor’s own range'],
  ['Frozen', 12, 0, 'the same code for longer than frozenMs'],
  ['Rate', 10, 30, 'repeated jumps that the sensor cannot make, or a loose wire'],
] as const;

const channelFaults = (scope: 'bank' | 'row', channel: string, words: string, firstCode: number, reaction: Reaction): Fault[] =>
  CHECKS.map(([check, fmi, debounceMs, meaning], index) => {
    const help = `${words}: ${meaning}`;
    return { name: channel + check, scope, code: firstCode + index, fmi, reaction, debounceMs, recoveryMs: 500, help };
  });

// biome-ignore format: a table reads best with one fault to a line
export const FAULTS: readonly Fault[] = [
  ...channelFaults('bank', 'rail', 'Rail pressure', 0, 'assume'),
  { name: 'targetInvalid', scope: 'bank', code: 5, fmi: 19, reaction: 'hold', debounceMs: 20, recoveryMs: 200, help: 'Target load is not a number, negative or above targetMaxN' },
  { name: 'temperatureInvalid', scope: 'bank', code: 6, fmi: 19, reaction: 'assume', debounceMs: 100, recoveryMs: 500, help: 'Oil temperature is not a number or outside -50 to 150 °C; warm oil is assumed' },
  { name: 'speedInvalid', scope: 'bank', code: 7, fmi: 19, reaction: 'note', debounceMs: 100, recoveryMs: 500, help: 'Ground speed above the valid range of its message; the lug notch is off meanwhile' },
  { name: 'supplyLow', scope: 'bank', code: 8, fmi: 18, reaction: 'close', debounceMs: 5, recoveryMs: 500, help: 'Supply below supplyLowMv: nothing opens, whatever is open is closed' },
  { name: 'supplyCritical', scope: 'bank', code: 9, fmi: 1, reaction: 'forget', debounceMs: 0, recoveryMs: 500, help: 'Supply below supplyCriticalMv: strokes are no longer certain' },
  { name: 'reservoirLow', scope: 'bank', code: 10, fmi: 18, reaction: 'note', debounceMs: 50, recoveryMs: 500, help: 'The coil reservoir holds less than one pulse, open and close, above the closes it owes' },
  { name: 'railLow', scope: 'bank', code: 11, fmi: 18, reaction: 'note', debounceMs: 200, recoveryMs: 500, help: 'Rail pressure below railLowKpa: pressure may not be raised as wished' },
  { name: 'parameterRefused', scope: 'bank', code: 12, fmi: 13, reaction: 'hold', debounceMs: 0, recoveryMs: 0, help: 'configure() found a parameter outside its limits; only closing strokes are made' },

  ...channelFaults('row', 'load', 'Gauge-wheel load', 0, 'freeze'),
  ...channelFaults('row', 'pressure', 'Chamber pressure', 5, 'hold'),
  ...channelFaults('row', 'acceleration', 'Row accelerometer', 10, 'note'),
  { name: 'zeroUnquiet', scope: 'row', code: 15, fmi: 2, reaction: 'note', debounceMs: 0, recoveryMs: 1, help: 'Re-zero refused: the load moved too much while lifted; the old zero is kept' },
  { name: 'zeroImplausible', scope: 'row', code: 16, fmi: 13, reaction: 'note', debounceMs: 0, recoveryMs: 1, help: 'Re-zero refused: too far from the last zero, or beyond zeroLimitN; the old zero is kept' },
  { name: 'supplyMissed', scope: 'row', code: 17, fmi: 7, reaction: 'note', debounceMs: 0, recoveryMs: 1000, help: 'A stroke did not move the supply valve: it is closed again, or its pulse ended' },
  { name: 'returnMissed', scope: 'row', code: 18, fmi: 7, reaction: 'note', debounceMs: 0, recoveryMs: 1000, help: 'A stroke did not move the return valve: it is closed again, or its pulse ended' },
  { name: 'supplyStuck', scope: 'row', code: 19, fmi: 7, reaction: 'hold', debounceMs: 0, recoveryMs: 0, help: 'The supply valve does not obey after strokeTries strokes; it gets a closing stroke every retryS' },
  { name: 'returnStuck', scope: 'row', code: 20, fmi: 7, reaction: 'hold', debounceMs: 0, recoveryMs: 0, help: 'The return valve does not obey after strokeTries strokes; it gets a closing stroke every retryS' },
  { name: 'leak', scope: 'row', code: 21, fmi: 7, reaction: 'note', debounceMs: 5000, recoveryMs: 10000, help: 'With both valves closed oil comes or goes, more than leakMlPerMin' },
  { name: 'loadHigh', scope: 'row', code: 22, fmi: 16, reaction: 'note', debounceMs: 2000, recoveryMs: 10000, help: 'The load sensor reads more than pressure and weight can make; its zero is due' },
  { name: 'loadLow', scope: 'row', code: 23, fmi: 18, reaction: 'note', debounceMs: 15, recoveryMs: 10000, help: 'The load sensor reads less than nothing; its zero is due' },
];
