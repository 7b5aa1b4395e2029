import { configureBank } from '../../assembly/controller/configure';
import { writeDefaults } from '../../assembly/controller/generated/parameters';
import { parameters } from '../../assembly/controller/generated/records';

/**
 * The controller's records in their own page of memory, configured with the defaults but for the load loop and the least deadband. as-pect.asconfig.json puts the
 * tests' own data behind that page (`memoryBase`).
 */
export function freshBank(rows: i32): void {
  memory.fill(0, 0, 65536);
  const p = parameters();
  writeDefaults(p);
  // Gains that the specs' values are worked out with, whatever the default tuning is.
  p.loadProportionalKpaPerN = 0.6;
  p.loadIntegralKpaPerNS = 3;
  p.setPointRateKpaPerS = 3000;
  p.deadbandMinN = 18;
  p.deadbandSigmas = 2.2;
  assert(configureBank(rows) === 0);
}
