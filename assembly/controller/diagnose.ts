import { BANK_FAULTS, FAULT_SETTING_BYTES, FAULT_TIMER_BYTES, FaultSetting, FaultState, FaultTimer, ROW_FAULTS } from './generated/records';

/*
 * A fault is set after its condition's debounce time, and cleared after its recovery time. A fault with a recovery of 0 is
 * latched until configure(). Only bits in which condition and fault differ cost time: in normal operation there are none.
 *
 *   cleared --condition--> pending --debounceTicks--> set --condition absent, recoveryTicks--> cleared
 *                             |condition absent|              |condition|
 *                             +--> cleared                    +--> set, timer at 0
 */

function isDue(timer: FaultTimer, limit: u16): bool {
  if (limit === 0) return false;
  timer.ticks += 1;
  if (timer.ticks < limit) return false;
  timer.ticks = 0;
  return true;
}

/** Updates the faults of the bank or of a row from the conditions of this tick. Timers and settings are indexed by bit. */
export function updateFaults(state: FaultState, conditions: u32, timersAt: usize, settingsAt: usize): void {
  if (BANK_FAULTS > 32 || ROW_FAULTS > 32) ERROR('faults need more than 32 bits');
  const differing = conditions ^ state.faults;
  for (let stale = state.pending & ~differing; stale !== 0; stale &= stale - 1) {
    changetype<FaultTimer>(timersAt + <usize>ctz(stale) * FAULT_TIMER_BYTES).ticks = 0;
  }
  for (let rest = differing; rest !== 0; rest &= rest - 1) {
    const bit = <usize>ctz(rest);
    const timer = changetype<FaultTimer>(timersAt + bit * FAULT_TIMER_BYTES);
    const setting = changetype<FaultSetting>(settingsAt + bit * FAULT_SETTING_BYTES);
    const isRising = ((conditions >> <u32>bit) & 1) !== 0;
    if (isDue(timer, isRising ? setting.debounceTicks : setting.recoveryTicks)) state.faults ^= 1 << (<u32>bit);
  }
  state.pending = conditions ^ state.faults;
}
