import { Belief, Order, Valve } from '../../assembly/controller/generated/enums';
import { bankProbe, bankState, coefficients, pairState, parameters, valveState } from '../../assembly/controller/generated/records';
import { closeRank, grantStrokes, storedEnergy } from '../../assembly/controller/stroke-queue';
import { freshBank } from './fresh-bank';

/** A bank of `rows` rows with every valve believed closed and no requests. */
function closedBank(rows: i32): void {
  freshBank(rows);
  for (let index = 0; index < rows * 2; index++) valveState(index >> 1, index & 1).belief = Belief.Closed;
}

function request(index: i32, stroke: u8, waitTicks: u16): void {
  valveState(index >> 1, index & 1).request = stroke;
  valveState(index >> 1, index & 1).waitTicks = waitTicks;
  if (stroke === Order.Close) bankProbe().closesWaiting += 1;
  else bankProbe().opensWaiting += 1;
}

function requestCloseOfOpen(index: i32, waitTicks: u16, openTicks: u16): void {
  valveState(index >> 1, index & 1).belief = Belief.Open;
  valveState(index >> 1, index & 1).openTicks = openTicks;
  bankProbe().openValves += 1;
  bankProbe().closesNeeded += 1;
  request(index, Order.Close, waitTicks);
}

function grant(): void {
  grantStrokes(bankState(), bankProbe(), parameters(), coefficients());
}

function isDriven(index: i32): bool {
  return valveState(index >> 1, index & 1).coil !== Order.None;
}

function rankOf(belief: u8, waitTicks: u16, openTicks: u16, isSupply: bool = true, isPowerLost: bool = false): u32 {
  valveState(0, Valve.Supply).belief = belief;
  valveState(0, Valve.Supply).waitTicks = waitTicks;
  valveState(0, Valve.Supply).openTicks = openTicks;
  return closeRank(valveState(0, Valve.Supply), isSupply, isPowerLost);
}

describe('closeRank', () => {
  beforeEach(() => closedBank(1));
  test('ranks open above unknown above re-latch, however long they have waited', () => {
    expect(rankOf(Belief.Open, 0, 0) > rankOf(Belief.Unknown, 65535, 0)).toBe(true);
    expect(rankOf(Belief.Unknown, 0, 0) > rankOf(Belief.Closed, 65535, 65535)).toBe(true);
  });
  test('ranks a longer wait higher within a class', () => {
    expect(rankOf(Belief.Open, 2, 0) > rankOf(Belief.Open, 1, 65535)).toBe(true);
    expect(rankOf(Belief.Unknown, 2, 0) > rankOf(Belief.Unknown, 1, 0)).toBe(true);
    expect(rankOf(Belief.Closed, 65535, 0) > rankOf(Belief.Closed, 65534, 0)).toBe(true);
  });
  test('ranks the valve that is open longer higher after the same wait', () => {
    expect(rankOf(Belief.Open, 1, 8) > rankOf(Belief.Open, 1, 7)).toBe(true);
    expect(rankOf(Belief.Open, 1, 16383) > rankOf(Belief.Open, 1, 16382)).toBe(true);
  });
  test('limits open time to its bits, so that it never adds to the wait', () => {
    expect(rankOf(Belief.Open, 1, 65535)).toBe(rankOf(Belief.Open, 1, 16383));
    expect(rankOf(Belief.Open, 1, 65535) < rankOf(Belief.Open, 2, 0)).toBe(true);
  });
  test('ranks open supply valves above all others while power is lost, and only then', () => {
    expect(rankOf(Belief.Open, 0, 0, true, true) > rankOf(Belief.Open, 65535, 0, false, true)).toBe(true);
    expect(rankOf(Belief.Open, 0, 0, false, true) > rankOf(Belief.Unknown, 65535, 0, true, true)).toBe(true);
    expect(rankOf(Belief.Unknown, 1, 0, true, true)).toBe(rankOf(Belief.Unknown, 1, 0, false, true));
    expect(rankOf(Belief.Open, 1, 0, true, false)).toBe(rankOf(Belief.Open, 1, 0, false, false));
  });
  test('ignores the open time of a valve that is not open', () => {
    expect(rankOf(Belief.Unknown, 1, 99)).toBe(rankOf(Belief.Unknown, 1, 0));
  });
});

describe('storedEnergy', () => {
  // 10,000 µF: ½·C·V² = 5 mJ/V²; at the minimum voltage of 8 V 320 mJ. At 12 V 720 mJ, 400 mJ above the floor.
  beforeEach(() => {
    freshBank(1);
    coefficients().energyMjPerV2 = 5;
    coefficients().energyFloorMj = 320;
  });
  test('is the energy above the minimum voltage', () => {
    expect(storedEnergy(12000, 0, parameters(), coefficients())).toBeCloseTo(400, 3);
    expect(storedEnergy(8000, 0, parameters(), coefficients())).toBeCloseTo(0, 3);
  });
  test('excludes what present strokes may still draw', () => {
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
  test('grants four slots to five closes, highest rank first', () => {
    requestCloseOfOpen(0, 5, 3);
    requestCloseOfOpen(2, 4, 3);
    requestCloseOfOpen(4, 5, 9);
    requestCloseOfOpen(6, 4, 9);
    request(1, Order.Close, 60);
    grant();
    expect(isDriven(1)).toBe(false, 're-latch comes last');
    expect(isDriven(0) && isDriven(2) && isDriven(4) && isDriven(6)).toBe(true);
    expect(bankProbe().closesWaiting).toBe(1);
    expect(bankProbe().strokesInFlight).toBe(4);
    expect(bankState().strokes).toBe(4);
  });
  test('never grants the last slot to an opening stroke', () => {
    for (let row = 0; row < 4; row++) request(row * 2, Order.Open, 0);
    grant();
    expect(bankProbe().strokesInFlight).toBe(3);
    expect(bankProbe().opensWaiting).toBe(1);
    expect(bankProbe().openValves).toBe(3);
  });
  test('grants the only slot to an opening stroke', () => {
    parameters().strokesAtOnce = 1;
    request(0, Order.Open, 0);
    grant();
    expect(isDriven(0)).toBe(true);
  });
  test('opens nothing while a close waits', () => {
    parameters().strokesAtOnce = 2;
    bankProbe().strokesInFlight = 2;
    requestCloseOfOpen(0, 0, 3);
    request(2, Order.Open, 50);
    grant();
    expect(isDriven(0) || isDriven(2)).toBe(false);
    bankProbe().strokesInFlight = 0;
    grant();
    expect(isDriven(0)).toBe(true);
    expect(isDriven(2)).toBe(false, 'the close has one slot, the other is reserved');
  });
  test('serves the larger need first, with a tick of waiting equal to 1 N', () => {
    parameters().strokesAtOnce = 2;
    pairState(0).needN = 100;
    pairState(1).needN = 50;
    request(0, Order.Open, 0);
    request(2, Order.Open, 50);
    grant();
    expect(isDriven(0)).toBe(true, 'of equal ranks, the first');
    closedBank(4);
    parameters().strokesAtOnce = 2;
    pairState(0).needN = 100;
    pairState(1).needN = 50;
    request(0, Order.Open, 0);
    request(2, Order.Open, 51);
    grant();
    expect(isDriven(0)).toBe(false);
    expect(isDriven(2)).toBe(true);
  });
});

describe('assertions of the queue', () => {
  beforeEach(() => closedBank(1));
  throws('stop an opening stroke beside an open valve', () => {
    request(0, Order.Open, 0);
    valveState(0, Valve.Return).belief = Belief.Open;
    grant();
  });
  throws('stop an opening stroke beside a driven coil', () => {
    request(0, Order.Open, 0);
    valveState(0, Valve.Return).coil = Order.Close;
    grant();
  });
  throws('stop more strokes in flight than slots', () => {
    bankProbe().strokesInFlight = 5;
    grant();
  });
  throws('stop a count of requests without a request', () => {
    bankProbe().closesWaiting = 1;
    grant();
  });
});

describe('grantStrokes with a reservoir', () => {
  beforeEach(() => {
    closedBank(4);
    parameters().reservoirUf = 1000;
  });
  test('opens a valve only with energy to close it and all open valves', () => {
    bankProbe().closesNeeded = 1;
    bankProbe().energyMj = 149.9;
    request(0, Order.Open, 0);
    grant();
    expect(isDriven(0)).toBe(false);
    bankProbe().energyMj = 150;
    grant();
    expect(isDriven(0)).toBe(true, 'its own opening and two closes of 50 mJ');
    expect(bankProbe().energyMj).toBe(100);
  });
  test('closes valves as long as there is energy for a stroke', () => {
    requestCloseOfOpen(0, 0, 3);
    bankProbe().energyMj = 49.9;
    grant();
    expect(isDriven(0)).toBe(false);
    bankProbe().energyMj = 50;
    grant();
    expect(isDriven(0)).toBe(true);
    expect(bankProbe().energyMj).toBe(0);
  });
});

describe('grantStrokes on a shared harness', () => {
  // Two banks, strokes of 2 ticks: the cycle is 4 ticks, this bank's slot starts in the third.
  beforeEach(() => {
    closedBank(4);
    coefficients().slotCycleTicks = 4;
    coefficients().slotStartTicks = 2;
  });
  test('begins strokes only in the first tick of its slot', () => {
    request(0, Order.Close, 0);
    grant();
    grant();
    expect(isDriven(0)).toBe(false);
    grant();
    expect(isDriven(0)).toBe(true);
    valveState(0, Valve.Supply).coil = Order.None;
    bankProbe().strokesInFlight = 0;
    request(2, Order.Close, 0);
    grant();
    grant();
    grant();
    expect(isDriven(2)).toBe(false);
    grant();
    expect(isDriven(2)).toBe(true, 'four ticks after the last slot');
  });
});
