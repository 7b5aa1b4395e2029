import { tickBank } from './bank';
import { configureBank } from './configure';

/** (Re)starts the controller for `rowCount` rows: see configureBank(). */
export function configure(rowCount: i32): i32 {
  return configureBank(rowCount);
}

/** One step: reads the inputs in memory, writes outputs, probes and state. */
export function tick(): void {
  tickBank();
}
