import { Belief, Order } from '../../assembly/controller/generated/enums';
import { bankProbe, bankState, coefficients, pairState, parameters, valveState } from '../../assembly/controller/generated/records';
import { closeRank, grantStrokes, storedEnergy } from '../../assembly/controller/stroke-queue';
import { freshBank } from './fresh-bank';

/** A bank of `rows` rows in which every valve is believed closed and nothing waits. */
function closedBank(rows: i32): void {
  freshBank(rows);
  for (let index = 0; index < rows * 2; index++) valveState(index >> 1, index & 1).belief = Belief.Closed;
}

function ask(index: i32, stroke: u8, waitTicks: u16): void {
  valveState(index >> 1, index & 1).request = stroke;
  valveState(index >> 1, index & 1).waitTicks = waitTicks;
  if (stroke === Order.Close) bankProbe().closesWaiting += 1;
  else bankProbe().opensWaiting += 1;
}

function askOpenValveToClose(index: i32, waitTicks: u16, openTicks: u16): void {
  valveState(index >> 1, index & 1).belief = Belief.Open;
  valveState(index >> 1, index & 1).openTicks = openTicks;
  bankProbe().openValves += 1;
  bankProbe().closesNeeded += 1;
  ask(index, Order.Close, waitTicks);
}

function grant(): void {
  grantStrokes(bankState(), bankProbe(), parameters(), coefficients());
}

function isDriven(index: i32): bool {
  return valveState(index >> 1, index & 1).coil !== Order.None;
}

function rankOf(belief: u8, waitTicks: u16, openTicks: u16): u32 {
  valveState(0, 0).belief = belief;
  valveState(0, 0).waitTicks = waitTicks;
  valveState(0, 0).openTicks = openTicks;
  return closeRank(valveState(0, 0));
}

describe('closeRank', () => {
  beforeEach(() => closedBank(1));
  test('puts open before unknown before re-latch, however long they have waited', () => {
    expect(rankOf(Belief.Open, 0, 0) > rankOf(Belief.Unknown, 65535, 0)).toBe(true);
    expect(rankOf(Belief.Unknown, 0, 0) > rankOf(Belief.Closed, 65535, 65535)).toBe(true);
  });
  test('puts the longer wait first within a class', () => {
    expect(rankOf(Belief.Open, 2, 0) > rankOf(Belief.Open, 1, 65535)).toBe(true);
    expect(rankOf(Belief.Unknown, 2, 0) > rankOf(Belief.Unknown, 1, 0)).toBe(true);
    expect(rankOf(Belief.Closed, 65535, 0) > rankOf(Belief.Closed, 65534, 0)).toBe(true);
  });
  test('puts the longer open first after the same wait', () => {
    expect(rankOf(Belief.Open, 1, 8) > rankOf(Belief.Open, 1, 7)).toBe(true);
    expect(rankOf(Belief.Open, 1, 16383) > rankOf(Belief.Open, 1, 16382)).toBe(true);
  });
  test('counts open time up to its limit, so that it never reaches into the wait', () => {
    expect(rankOf(Belief.Open, 1, 65535)).toBe(rankOf(Belief.Open, 1, 16383));
    expect(rankOf(Belief.Open, 1, 65535) < rankOf(Belief.Open, 2, 0)).toBe(true);
  });
  test('does not look at the open time of what is not open', () => {
    expect(rankOf(Belief.Unknown, 1, 99)).toBe(rankOf(Belief.Unknown, 1, 0));
  });
});

describe('storedEnergy', () => {
  // 10,000 µF: ½·C·V² = 5 mJ/V²; at the least voltage of 8 V 320 mJ. At 12 V 720 mJ, 400 mJ above the floor.
  beforeEach(() => {
    freshBank(1);
    coefficients().energyMjPerV2 = 5;
    coefficients().energyFloorMj = 320;
  });
  test('is what stands above the least voltage', () => {
    expect(storedEnergy(12000, 0, parameters(), coefficients())).toBeCloseTo(400, 3);
    expect(storedEnergy(8000, 0, parameters(), coefficients())).toBeCloseTo(0, 3);
  });
  test('is less by what strokes under way may still draw', () => {
    expect(storedEnergy(12000, 3, parameters(), coefficients())).toBeCloseTo(250, 3);
  });
  test('is never negative', () => {
    expect(storedEnergy(7999, 0, parameters(), coefficients())).toBe(0);
    expect(storedEnergy(0, 0, parameters(), coefficients())).toBe(0);
    expect(storedEnergy(12000, 9, parameters(), coefficients())).toBe(0);
  });
});

describe('grantStrokes', () => {
  beforeEach(() => closedBank(4));
  test('gives four slots to five closes and leaves out the last in rank', () => {
    askOpenValveToClose(0, 5, 3);
    askOpenValveToClose(2, 4, 3);
    askOpenValveToClose(4, 5, 9);
    askOpenValveToClose(6, 4, 9);
    ask(1, Order.Close, 60);
    grant();
    expect(isDriven(1)).toBe(false, 're-latch comes last');
    expect(isDriven(0) && isDriven(2) && isDriven(4) && isDriven(6)).toBe(true);
    expect(bankProbe().closesWaiting).toBe(1);
    expect(bankProbe().strokesInFlight).toBe(4);
    expect(bankState().strokes).toBe(4);
  });
  test('never gives the last slot to an opening stroke', () => {
    for (let row = 0; row < 4; row++) ask(row * 2, Order.Open, 0);
    grant();
    expect(bankProbe().strokesInFlight).toBe(3);
    expect(bankProbe().opensWaiting).toBe(1);
    expect(bankProbe().openValves).toBe(3);
  });
  test('gives the only slot to an opening stroke when there is but one', () => {
    parameters().strokesAtOnce = 1;
    ask(0, Order.Open, 0);
    grant();
    expect(isDriven(0)).toBe(true);
  });
  test('opens nothing while a close waits', () => {
    parameters().strokesAtOnce = 2;
    bankProbe().strokesInFlight = 2;
    askOpenValveToClose(0, 0, 3);
    ask(2, Order.Open, 50);
    grant();
    expect(isDriven(0) || isDriven(2)).toBe(false);
    bankProbe().strokesInFlight = 0;
    grant();
    expect(isDriven(0)).toBe(true);
    expect(isDriven(2)).toBe(false, 'the close has taken one slot, the other one is kept');
  });
  test('serves the larger need first, and a tick of waiting is worth 1 N', () => {
    parameters().strokesAtOnce = 2;
    pairState(0).needN = 100;
    pairState(1).needN = 50;
    ask(0, Order.Open, 0);
    ask(2, Order.Open, 50);
    grant();
    expect(isDriven(0)).toBe(true, 'of equals the first');
    closedBank(4);
    parameters().strokesAtOnce = 2;
    pairState(0).needN = 100;
    pairState(1).needN = 50;
    ask(0, Order.Open, 0);
    ask(2, Order.Open, 51);
    grant();
    expect(isDriven(0)).toBe(false);
    expect(isDriven(2)).toBe(true);
  });
});

describe('grantStrokes with a reservoir', () => {
  beforeEach(() => {
    closedBank(4);
    parameters().reservoirUf = 1000;
  });
  test('opens only what can be closed again together with all that is open', () => {
    bankProbe().closesNeeded = 1;
    bankProbe().energyMj = 149.9;
    ask(0, Order.Open, 0);
    grant();
    expect(isDriven(0)).toBe(false);
    bankProbe().energyMj = 150;
    grant();
    expect(isDriven(0)).toBe(true, 'its own opening and two closes of 50 mJ');
    expect(bankProbe().energyMj).toBe(100);
  });
  test('closes as long as there is energy for a stroke', () => {
    askOpenValveToClose(0, 0, 3);
    bankProbe().energyMj = 49.9;
    grant();
    expect(isDriven(0)).toBe(false);
    bankProbe().energyMj = 50;
    grant();
    expect(isDriven(0)).toBe(true);
    expect(bankProbe().energyMj).toBe(0);
  });
});

describe('grantStrokes in turns', () => {
  // Two banks, strokes of 2 ticks: a turn is 4 ticks, this bank’s slot begins in the third.
  beforeEach(() => {
    closedBank(4);
    coefficients().slotCycleTicks = 4;
    coefficients().slotStartTicks = 2;
  });
  test('begins strokes in the first tick of the own slot only', () => {
    ask(0, Order.Close, 0);
    grant();
    grant();
    expect(isDriven(0)).toBe(false);
    grant();
    expect(isDriven(0)).toBe(true);
    valveState(0, 0).coil = Order.None;
    bankProbe().strokesInFlight = 0;
    ask(2, Order.Close, 0);
    grant();
    grant();
    grant();
    expect(isDriven(2)).toBe(false);
    grant();
    expect(isDriven(2)).toBe(true, 'four ticks after the last slot');
  });
});
