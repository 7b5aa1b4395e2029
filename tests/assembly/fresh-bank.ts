import { configureBank } from '../../assembly/controller/configure';
import { writeDefaults } from '../../assembly/controller/generated/parameters';
import { parameters } from '../../assembly/controller/generated/records';

/**
 * Configures the controller with its defaults, except for the load loop and the smallest deadband. Its records are in the first
 * page of memory; as-pect.asconfig.json puts the tests' data behind that page (`memoryBase`).
 */
export function freshBank(rows: i32): void {
  memory.fill(0, 0, 65536);
  const p = parameters();
  writeDefaults(p);
  // The specs' values are for these gains, independent of the default tuning.
  p.loadProportionalKpaPerN = 0.6;
  p.loadIntegralKpaPerNS = 3;
  p.setPointRateKpaPerS = 3000;
  p.deadbandMinN = 18;
  p.deadbandSigmas = 2.2;
  assert(configureBank(rows) === 0);
}
