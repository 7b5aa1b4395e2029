import { updateFaults } from '../../assembly/controller/diagnose';
import { BankFault } from '../../assembly/controller/generated/enums';
import { BANK_FAULT_SETTING_AT, BANK_FAULT_TIMER_AT, bankFaults } from '../../assembly/controller/generated/records';
import { freshBank } from './fresh-bank';

/** The faults after `ticks` ticks with these conditions. Times are in shared/faults.ts, at 1 kHz. */
function faultsAfter(ticks: i32, conditions: u32): u32 {
  for (let tick = 0; tick < ticks; tick++) updateFaults(bankFaults(), conditions, BANK_FAULT_TIMER_AT, BANK_FAULT_SETTING_AT);
  return bankFaults().faults;
}

describe('updateFaults', () => {
  beforeEach(() => freshBank(1));
  test('sets a fault in the last tick of its debounce, not before', () => {
    expect(faultsAfter(19, BankFault.RailShort)).toBe(0);
    expect(faultsAfter(1, BankFault.RailShort)).toBe(BankFault.RailShort);
  });
  test('restarts the debounce after one tick without the condition', () => {
    faultsAfter(19, BankFault.RailShort);
    faultsAfter(1, 0);
    expect(faultsAfter(19, BankFault.RailShort)).toBe(0);
    expect(faultsAfter(1, BankFault.RailShort)).toBe(BankFault.RailShort);
  });
  test('clears a fault in the last tick of its recovery, not before', () => {
    faultsAfter(20, BankFault.RailShort);
    expect(faultsAfter(499, 0)).toBe(BankFault.RailShort);
    expect(faultsAfter(1, 0)).toBe(0);
  });
  test('restarts the recovery after one tick with the condition', () => {
    faultsAfter(20, BankFault.RailShort);
    faultsAfter(499, 0);
    faultsAfter(1, BankFault.RailShort);
    expect(faultsAfter(499, 0)).toBe(BankFault.RailShort);
    expect(faultsAfter(1, 0)).toBe(0);
  });
  test('sets a fault without debounce at once', () => {
    expect(faultsAfter(1, BankFault.RailFrozen)).toBe(BankFault.RailFrozen);
  });
  test('never clears a latched fault', () => {
    faultsAfter(1, BankFault.ParameterRefused);
    expect(faultsAfter(70000, 0)).toBe(BankFault.ParameterRefused);
  });
  test('times each fault separately', () => {
    faultsAfter(10, BankFault.RailShort);
    expect(faultsAfter(10, BankFault.RailShort | BankFault.SupplyLow)).toBe(BankFault.RailShort | BankFault.SupplyLow);
    expect(faultsAfter(190, BankFault.SupplyLow)).toBe(BankFault.RailShort | BankFault.SupplyLow);
    expect(faultsAfter(310, BankFault.SupplyLow)).toBe(BankFault.SupplyLow, '500 ticks after the end of the short');
  });
});
