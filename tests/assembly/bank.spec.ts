import { bankMode, flowRatioAt } from '../../assembly/controller/bank';
import { BankFault, BankMode } from '../../assembly/controller/generated/enums';
import { bankState } from '../../assembly/controller/generated/records';
import { freshBank } from './fresh-bank';

describe('flowRatioAt', () => {
  // 0.75 at -15 °C, 1 at +40 °C: 12.5 °C is halfway.
  test('is linear between cold and warm and constant beyond', () => {
    expect(flowRatioAt(-15, 0.75)).toBe(0.75);
    expect(flowRatioAt(12.5, 0.75)).toBeCloseTo(0.875, 6);
    expect(flowRatioAt(40, 0.75)).toBe(1);
    expect(flowRatioAt(-50, 0.75)).toBe(0.75);
    expect(flowRatioAt(150, 0.75)).toBe(1);
  });
  test('is 1 everywhere if cold oil flows as well as warm oil', () => {
    expect(flowRatioAt(-15, 1)).toBe(1);
    expect(flowRatioAt(40, 1)).toBe(1);
  });
});

/** The mode of a bank that is started, enabled and lowered. */
function modeWith(faults: u32, activeFaults: u32, isShutDown: bool): u8 {
  return bankMode(bankState(), faults, activeFaults, isShutDown, true, true);
}

describe('bankMode', () => {
  beforeEach(() => {
    freshBank(1);
    bankState().started = 1;
  });
  test('works if started, enabled, lowered and without faults', () => {
    expect(modeWith(0, 0, false)).toBe(BankMode.Working);
  });
  test('is lifted if not lowered, and idle if not enabled', () => {
    expect(bankMode(bankState(), 0, 0, false, true, false)).toBe(BankMode.Lifted);
    expect(bankMode(bankState(), 0, 0, false, false, true)).toBe(BankMode.Idle);
    expect(bankMode(bankState(), 0, 0, false, false, false)).toBe(BankMode.Idle);
  });
  test('idles from the first tick of an invalid target', () => {
    expect(modeWith(0, BankFault.TargetInvalid, false)).toBe(BankMode.Idle);
  });
  test('continues to work with faults that only substitute or report', () => {
    const minor = BankFault.RailOpen | BankFault.TemperatureInvalid | BankFault.SpeedInvalid | BankFault.RailLow | BankFault.ReservoirLow;
    expect(modeWith(minor, minor, false)).toBe(BankMode.Working);
  });
  test("waits for the supply's debounce", () => {
    expect(modeWith(0, BankFault.SupplyLow | BankFault.SupplyCritical, false)).toBe(BankMode.Working);
  });
  test('applies the strictest mode first: power lost, refused, low supply, shut-down, starting, idle', () => {
    const both = BankFault.SupplyLow | BankFault.SupplyCritical;
    bankState().refused = 1;
    expect(modeWith(both, both, true)).toBe(BankMode.PowerLost);
    expect(modeWith(BankFault.SupplyLow, both, true)).toBe(BankMode.Refused);
    bankState().refused = 0;
    expect(modeWith(both, both, true)).toBe(BankMode.PowerLost);
    expect(modeWith(BankFault.SupplyLow, both, true)).toBe(BankMode.LowSupply);
    expect(modeWith(0, both, true)).toBe(BankMode.ShutDown);
    bankState().started = 0;
    expect(modeWith(0, BankFault.TargetInvalid, true)).toBe(BankMode.ShutDown);
    expect(modeWith(0, BankFault.TargetInvalid, false)).toBe(BankMode.Starting);
    bankState().started = 1;
    expect(modeWith(0, BankFault.TargetInvalid, false)).toBe(BankMode.Idle);
  });
});
