import { tickBank } from './bank';
import { configureBank, reconfigureBank } from './configure';

/** (Re)starts the controller for `rowCount` rows: see configureBank(). */
export function configure(rowCount: i32): i32 {
  return configureBank(rowCount);
}

/** Puts new parameters into force while the controller runs: see reconfigureBank(). */
export function reconfigure(): i32 {
  return reconfigureBank();
}

/** One step: reads the inputs in memory, writes outputs, probes and state. */
export function tick(): void {
  tickBank();
}
