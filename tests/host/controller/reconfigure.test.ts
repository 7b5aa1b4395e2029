import { describe, expect, it } from 'vitest';
import { ParameterRefused, RestartNeeded } from '../../../host/runner/runner.js';
import { createWasmRunner } from '../../../host/runner/wasm-runner.js';
import { PARAMETERS, type Parameter } from '../../../shared/parameters.js';
import { controller, loadCountsAt, startedBench } from '../../support/bench.js';
import { RawController } from '../../support/raw-controller.js';

const numberOf = (name: string): number => PARAMETERS.findIndex((one) => one.name === name) + 1;
const NOT_CONFIGURED = -1000;

/** A value other than the default that no rule forbids beside the defaults. */
function otherValue({ name, type, min, max, default: byDefault }: Parameter): number {
  const special: Readonly<Record<string, number>> = { slotPhase: 0, strokeMs: 1.5, minPulseMs: 4, prechargeAbsoluteKpa: 1300 };
  if (special[name] !== undefined) return special[name];
  const near = byDefault + (byDefault < max ? 1 : -1) * Math.min(max - min, Math.abs(byDefault) / 64 || 0.5);
  return type === 'u32' ? byDefault + (byDefault < max ? 1 : -1) : near;
}

describe('reconfigure()', () => {
  it.each(PARAMETERS.filter(({ name }) => name !== 'slotPhase').map((one) => [one.name, one] as const))(
    'changes %s while the bank runs, or names it as one that needs a restart',
    (name, one) => {
      const raw = new RawController().writeParameters();
      expect(raw.configure(2)).toBe(0);
      raw.writeParameters({ [name]: otherValue(one) });
      expect(raw.reconfigure()).toBe(one.needsRestart === true ? -numberOf(name) : 0);
      const expected = Math.fround(one.needsRestart === true ? one.default : otherValue(one));
      expect(raw.records.get('parameters', 0, name)).toBe(expected);
    },
  );

  it('computes the same coefficients as configure() does', () => {
    const live = PARAMETERS.filter(({ needsRestart }) => needsRestart !== true);
    const values = Object.fromEntries(live.map((one) => [one.name, otherValue(one)]));
    const changed = new RawController().writeParameters();
    changed.configure(3);
    changed.writeParameters(values);
    expect(changed.reconfigure()).toBe(0);
    const started = new RawController().writeParameters(values);
    started.configure(3);
    const { at } = changed.records.locate('bankInput', 0, 'targetLoadN');
    expect(Buffer.from(changed.memory, 0, at).equals(Buffer.from(started.memory, 0, at))).toBe(true);
  });

  it('refuses a parameter as configure() does, with its number, and keeps the earlier values and the running bank', () => {
    const raw = new RawController().writeParameters({ deadbandN: 55 });
    raw.configure(1);
    raw.writeParameters({ deadbandN: 0, ventMs: 9 });
    expect(raw.reconfigure()).toBe(numberOf('deadbandN'));
    expect(raw.records.get('parameters', 0, 'deadbandN')).toBe(55);
    expect(raw.records.get('parameters', 0, 'ventMs')).toBe(2000);
    const runner = createWasmRunner(controller, 1, { deadbandN: 55 });
    expect(() => runner.reconfigure({ deadbandN: Number.NaN })).toThrow(ParameterRefused);
    expect(() => runner.reconfigure({ tickHz: 500 })).toThrow(RestartNeeded);
    expect(runner.field('parameters', 'deadbandN').get(0)).toBe(55);
  });

  it('refuses a broken rule, and checks that before restarts', () => {
    const raw = new RawController().writeParameters();
    raw.configure(1);
    raw.writeParameters({ tickHz: 500, deadbandMinN: 131 });
    expect(raw.reconfigure()).toBe(numberOf('deadbandMinN'));
  });

  it('does nothing without a running bank', () => {
    const raw = new RawController().writeParameters();
    expect(raw.reconfigure()).toBe(NOT_CONFIGURED);
    raw.writeParameters({ deadbandN: 0 }).configure(1);
    raw.writeParameters();
    expect(raw.reconfigure()).toBe(NOT_CONFIGURED);
  });
});

describe('a bank whose parameters change in service', () => {
  it('changes nothing with the same parameters: each tick has the outputs and state of a bank that was left alone', () => {
    const run = (isChanged: boolean): number[] => {
      const bench = startedBench(2, { strategy: 2 });
      return Array.from({ length: 400 }, (_, tick) => {
        bench.row(1, { loadCounts: loadCountsAt(450 + 200 * Math.sin(tick / 20)) });
        if (isChanged) bench.reconfigure({});
        return bench.tick().runner.stateHash();
      });
    };
    expect(run(true)).toEqual(run(false));
  });

  it('keeps zero, learned gains and beliefs, and makes no stroke', () => {
    const bench = startedBench();
    for (const [index, gain] of [1.3, 0.7].entries()) bench.records.set('valveState', index, 'gain', gain);
    bench.records.set('zeroState', 0, 'zeroN', 12);
    const from = bench.ticks;
    bench.reconfigure({ deadbandN: 300, maxPulseMs: 100, zeroLimitN: 50 });
    bench.tick(10);
    expect([bench.probe('supplyGain'), bench.probe('returnGain')].map((gain) => Math.round(gain * 10))).toEqual([13, 7]);
    expect(bench.probe('zeroN')).toBe(12);
    expect(bench.mode).toBe('working');
    expect(bench.strokesSince(from)).toEqual([]);
  });

  it('completes a stroke in progress', () => {
    const bench = startedBench(1, { strategy: 0, loadFilterHz: 50, maxPulseMs: 5000 }).row(1, { loadCounts: loadCountsAt(300) });
    bench.tickUntil(() => bench.order('supply') === 'open');
    bench.reconfigure({ restMs: 5, deadMs: 0, minPulseMs: 8 });
    expect([bench.tick().order('supply'), bench.tick().order('supply')]).toEqual(['open', 'none']);
    expect(bench.records.word('rowProbe', 0, 'supplyBelief')).toBe('open');
  });

  it('limits timers that run down to their new maximum', () => {
    const bench = startedBench(1, { strategy: 0, loadFilterHz: 50, restMs: 2000, maxPulseMs: 10 }).row(1, {
      loadCounts: loadCountsAt(300),
    });
    bench.tickUntil(() => bench.order('supply') === 'close');
    bench.tick(5);
    const from = bench.ticks;
    bench.reconfigure({ restMs: 20 });
    bench.tick(30);
    expect(bench.strokesSince(from)[0]).toBe('1 supply open');
  });

  it('clamps learned gains to new limits', () => {
    const bench = startedBench();
    bench.records.set('valveState', 0, 'gain', 3);
    bench.reconfigure({ gainMax: 1.5 });
    expect(bench.records.get('valveState', 0, 'gain')).toBe(1.5);
  });
});
