import { cpSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { buildController } from '../../host/build/build-controller.js';
import { ROOT } from '../../host/common/project.js';
import { type Controller, readController } from '../../host/runner/wasm-runner.js';

/** One mistake in one line of the controller. */
export interface Planted {
  readonly name: string;
  /** Below assembly/controller. */
  readonly file: string;
  readonly from: string;
  readonly to: string;
  /** Vector, or scenario whose run is made one, that shows it. */
  readonly on: string;
  /** Kind of difference that it is to show. */
  readonly kind: 'outputs' | 'inner' | 'stopped';
}

// biome-ignore format: a table reads best with one mistake to a line
export const PLANTED: readonly Planted[] = [
  { name: 'a doubtful channel stays in doubt', file: 'sense.ts', from: 'countDown(channel.rateTicks)', to: 'channel.rateTicks', on: 'pass', kind: 'outputs' },
  { name: 'an open circuit is taken for a value', file: 'sense.ts', from: 'counts > setting.openCounts', to: 'counts > setting.openCounts + 400', on: 'accelerometer-breaks', kind: 'outputs' },
  { name: 'a frozen sensor is found a tick late', file: 'sense.ts', from: 'channel.sameTicks >= frozenTicks', to: 'channel.sameTicks > frozenTicks', on: 'load-sensor-frozen', kind: 'outputs' },
  { name: 'low supply is taken for critical', file: 'bank.ts', from: '<f32>input.supplyMv < p.supplyCriticalMv', to: '<f32>input.supplyMv < p.supplyLowMv', on: 'supply-low-with-valves-open', kind: 'outputs' },
  { name: 'a recovery goes by the debounce', file: 'diagnose.ts', from: 'isRising ? setting.debounceTicks : setting.recoveryTicks', to: 'setting.debounceTicks', on: 'garbage-then-recovery', kind: 'outputs' },
  { name: 'a temperature that is no number passes', file: 'bank.ts', from: 'input.oilTemperatureC >= -50 && input.oilTemperatureC <= 150', to: '!(input.oilTemperatureC < -50) && !(input.oilTemperatureC > 150)', on: 'garbage-then-recovery', kind: 'outputs' },
  { name: 'a suspect target is taken', file: 'bank.ts', from: '(trouble & BankFault.TargetInvalid) === 0', to: '(faults.faults & BankFault.TargetInvalid) === 0', on: 'pass', kind: 'inner' },
  { name: 'a target is taken for a number', file: 'bank.ts', from: 'probe.targetLoadN = bank.targetLoadN;', to: 'assert(input.targetLoadN >= 0);\n  probe.targetLoadN = bank.targetLoadN;', on: 'pass', kind: 'stopped' },
  { name: 'a rail that is low is seen too late', file: 'bank.ts', from: 'rail.value < p.railLowKpa', to: 'rail.value < <f32>0.9 * p.railLowKpa', on: 'pass', kind: 'outputs' },
  { name: 'an operator who is off is overlooked', file: 'bank.ts', from: '!isEnabled || (trouble', to: '(trouble', on: 'pass', kind: 'outputs' },
  { name: 'nothing is closed again after a power loss', file: 'bank.ts', from: 'if (bank.mode === BankMode.PowerLost) bank.started = 0;', to: '', on: 'pass', kind: 'inner' },
  { name: 'a code is thought to change within a second', file: 'sense.ts', from: 'channel.sameTicks = isSame', to: 'assert(channel.sameTicks < 1000);\n  channel.sameTicks = isSame', on: 'pass', kind: 'stopped' },
  { name: 'a zero is looked for a tick early', file: 'zero.ts', from: 'zero.waitTicks <= c.liftSettleTicks', to: 'zero.waitTicks < c.liftSettleTicks', on: 'pass', kind: 'outputs' },
  { name: 'a zero is thought to be found at once', file: 'zero.ts', from: 'if (zero.result !== ZeroResult.Accepted) return;', to: 'assert(zero.result === ZeroResult.Accepted);', on: 'pass', kind: 'stopped' },
  { name: 'a load that is too high is overlooked', file: 'row.ts', from: 'o.load1N > p.freeLoadMaxN', to: 'o.load1N > 2 * p.freeLoadMaxN', on: 'load-sensor-off', kind: 'outputs' },
  { name: 'what was not seen counts on', file: 'predictor.ts', from: 'else o.hasLoad = 0;', to: '', on: 'pass', kind: 'outputs' },
  { name: 'a pulse that lasts too long', file: 'valve-pair.ts', from: 'const isTooLong = valve.openTicks >= c.maxPulseTicks;', to: 'const isTooLong = valve.openTicks > c.maxPulseTicks;', on: 'pass', kind: 'outputs' },
  { name: 'a deadband without its inner edge', file: 'deadband.ts', from: 'acting === Wish.Lower ? innerN : deadbandN', to: 'deadbandN', on: 'threshold-over-soil-patches', kind: 'outputs' },
  { name: 'a load loop that winds up', file: 'load-loop.ts', from: 'if (!isPushing) loop', to: 'loop', on: 'cold-oil', kind: 'outputs' },
  { name: 'a valve is thought to be missed but once', file: 'detector.ts', from: 'valve.missedCloses += 1;', to: 'assert(valve.missedCloses === 0);\n  valve.missedCloses += 1;', on: 'valve-stuck-open', kind: 'stopped' },
];

/** The compiler's settings, but quick: with little optimisation the binary is slower and runs bit for bit as what ships does. */
function quickConfig(): string {
  const config = JSON.parse(readFileSync(join(ROOT, 'asconfig.json'), 'utf8'));
  return JSON.stringify({ ...config, options: { ...config.options, optimizeLevel: 1, converge: false } });
}

/** Compiles the controller with a mistake in it. @throws Error when the line is no longer there */
export async function buildPlanted(
  folder: string,
  planted?: Pick<Planted, 'file' | 'from' | 'to'>,
): Promise<{ file: string; controller: Controller }> {
  cpSync(join(ROOT, 'assembly', 'controller'), join(folder, 'assembly', 'controller'), { recursive: true });
  writeFileSync(join(folder, 'asconfig.json'), quickConfig());
  if (planted !== undefined) {
    const path = join(folder, 'assembly', 'controller', planted.file);
    const text = readFileSync(path, 'utf8');
    if (text.split(planted.from).length !== 2) throw new Error(`${planted.file} has not once: ${planted.from}`);
    writeFileSync(
      path,
      text.replace(planted.from, () => planted.to),
    );
  }
  const file = join(folder, 'controller.wasm');
  await buildController(folder, file, '0.0.0');
  return { file, controller: readController(file) };
}
