import { BankMode, RowFault, RowMode } from '../../assembly/controller/generated/enums';
import { rowMode } from '../../assembly/controller/row';

describe('rowMode', () => {
  test('is starting while a valve is unknown, whatever the other inputs are', () => {
    expect(rowMode(BankMode.Working, false, true, true, false, 0)).toBe(RowMode.Starting);
    expect(rowMode(BankMode.ShutDown, false, false, true, false, RowFault.LoadOpen)).toBe(RowMode.Starting);
  });
  test('is venting even if the row is switched off or has a fault', () => {
    expect(rowMode(BankMode.ShutDown, true, false, true, false, 0)).toBe(RowMode.Venting);
    expect(rowMode(BankMode.ShutDown, true, true, true, false, RowFault.PressureOpen)).toBe(RowMode.Venting);
  });
  test('is off if switched off', () => {
    expect(rowMode(BankMode.Working, true, false, false, false, 0)).toBe(RowMode.Off);
  });
  test('works only in a working bank', () => {
    expect(rowMode(BankMode.Working, true, true, false, false, 0)).toBe(RowMode.Working);
    expect(rowMode(BankMode.Refused, true, true, false, false, 0)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.Starting, true, true, false, false, 0)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.Idle, true, true, false, false, 0)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.Lifted, true, true, false, false, 0)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.LowSupply, true, true, false, false, 0)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.ShutDown, true, true, false, false, 0)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.PowerLost, true, true, false, false, 0)).toBe(RowMode.Holding);
  });
  test('holds for each pressure fault, even with a load fault', () => {
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.PressureShort)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.PressureOpen)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.PressureRange)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.PressureFrozen)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.PressureRate)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.PressureRate | RowFault.LoadRate)).toBe(RowMode.Holding);
  });
  test('freezes for each load fault', () => {
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.LoadShort)).toBe(RowMode.Frozen);
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.LoadOpen)).toBe(RowMode.Frozen);
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.LoadRange)).toBe(RowMode.Frozen);
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.LoadFrozen)).toBe(RowMode.Frozen);
    expect(rowMode(BankMode.Working, true, true, false, false, RowFault.LoadRate)).toBe(RowMode.Frozen);
  });
  test('is lowering until the wheels touch, even with a load fault', () => {
    expect(rowMode(BankMode.Working, true, true, false, true, 0)).toBe(RowMode.Lowering);
    expect(rowMode(BankMode.Working, true, true, false, true, RowFault.LoadOpen)).toBe(RowMode.Lowering);
    expect(rowMode(BankMode.Lifted, true, true, false, true, 0)).toBe(RowMode.Holding);
    expect(rowMode(BankMode.Working, true, true, false, true, RowFault.PressureOpen)).toBe(RowMode.Holding);
  });
  test('works with faults that are only reported', () => {
    const minor = RowFault.AccelerationOpen | RowFault.ZeroNoisy | RowFault.ZeroImplausible;
    expect(rowMode(BankMode.Working, true, true, false, false, minor)).toBe(RowMode.Working);
  });
});
