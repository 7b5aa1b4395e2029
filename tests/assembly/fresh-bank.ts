import { configureBank } from '../../assembly/controller/configure';
import { writeDefaults } from '../../assembly/controller/generated/parameters';
import { parameters } from '../../assembly/controller/generated/records';

/**
 * The controller's records in their own page of memory, configured with the defaults. as-pect.asconfig.json puts the
 * tests' own data behind that page (`memoryBase`).
 */
export function freshBank(rows: i32): void {
  memory.fill(0, 0, 65536);
  writeDefaults(parameters());
  assert(configureBank(rows) === 0);
}
