import { Belief, Order, Stuck, Valve, Wish } from '../../assembly/controller/generated/enums';
import { coefficients, pairState, valveState } from '../../assembly/controller/generated/records';
import { rowAt } from '../../assembly/controller/row-records';
import {
  advancePair,
  beginStroke,
  forgetPosition,
  holdPulses,
  isIdleClosed,
  isTrial,
  orderPair,
  repeatClose,
  requestOf,
  setStuckOpen,
  setUnstuck,
  withdrawStuck,
} from '../../assembly/controller/valve-pair';
import { freshBank } from './fresh-bank';

// Defaults at 1 kHz, ticks: stroke 2, dead 2, shortest pulse 3, longest pulse 1000, rest 30, settle 25, relatch 60,000,
// retry 1000.

/** The pair of one row with both valves believed closed and no requests. */
function closedPair(): void {
  freshBank(1);
  valveState(0, Valve.Supply).belief = Belief.Closed;
  valveState(0, Valve.Return).belief = Belief.Closed;
}

function openFor(openTicks: u16): void {
  closedPair();
  valveState(0, Valve.Supply).belief = Belief.Open;
  valveState(0, Valve.Supply).openTicks = openTicks;
}

function wanted(isWished: bool): u8 {
  return requestOf(valveState(0, Valve.Supply), valveState(0, Valve.Return), pairState(0), isWished, false, coefficients());
}

function advance(ticks: i32): void {
  for (let tick = 0; tick < ticks; tick++) advancePair(rowAt(0), coefficients());
}

function order(wish: u8): void {
  orderPair(rowAt(0), wish, false, coefficients());
}

describe('requestOf of a closed valve', () => {
  beforeEach(closedPair);
  test('opens if wished, and not otherwise', () => {
    expect(wanted(true)).toBe(Order.Open);
    expect(wanted(false)).toBe(Order.None);
  });
  test('does not open beside a valve that is open or unknown', () => {
    valveState(0, Valve.Return).belief = Belief.Open;
    expect(wanted(true)).toBe(Order.None);
    valveState(0, Valve.Return).belief = Belief.Unknown;
    expect(wanted(true)).toBe(Order.None);
  });
  test('does not open beside a coil that is driven', () => {
    valveState(0, Valve.Return).coil = Order.Close;
    expect(wanted(true)).toBe(Order.None);
    valveState(0, Valve.Return).coil = Order.Open;
    expect(wanted(true)).toBe(Order.None);
  });
  test('is re-latched before it opens if that is due', () => {
    valveState(0, Valve.Supply).quietTicks = 59999;
    expect(wanted(true)).toBe(Order.Open);
    valveState(0, Valve.Supply).quietTicks = 60000;
    expect(wanted(true)).toBe(Order.Close);
  });
  test('is not re-latched while energy is saved, and opens if wished', () => {
    valveState(0, Valve.Supply).quietTicks = 60000;
    valveState(0, Valve.Return).quietTicks = 60000;
    expect(requestOf(valveState(0, Valve.Supply), valveState(0, Valve.Return), pairState(0), false, true, coefficients())).toBe(Order.None);
    expect(requestOf(valveState(0, Valve.Supply), valveState(0, Valve.Return), pairState(0), true, true, coefficients())).toBe(Order.Open);
  });
  test('waits until the other valve is re-latched if that is due', () => {
    valveState(0, Valve.Return).quietTicks = 59999;
    expect(wanted(true)).toBe(Order.Open);
    valveState(0, Valve.Return).quietTicks = 60000;
    expect(wanted(true)).toBe(Order.None);
  });
  test('does not open during rest or dead time', () => {
    pairState(0).restTicks = 1;
    expect(wanted(true)).toBe(Order.None);
    pairState(0).restTicks = 0;
    pairState(0).deadTicks = 1;
    expect(wanted(true)).toBe(Order.None);
    pairState(0).deadTicks = 0;
    expect(wanted(true)).toBe(Order.Open);
  });
  test('is re-latched after relatchTicks, not before', () => {
    valveState(0, Valve.Supply).quietTicks = 59999;
    expect(wanted(false)).toBe(Order.None);
    valveState(0, Valve.Supply).quietTicks = 60000;
    expect(wanted(false)).toBe(Order.Close);
  });
  test('requests nothing while its coil is driven', () => {
    valveState(0, Valve.Supply).coil = Order.Close;
    valveState(0, Valve.Supply).quietTicks = 60000;
    expect(wanted(true)).toBe(Order.None);
  });
});

describe('requestOf of an open valve', () => {
  test('stays open for the shortest pulse, wished or not', () => {
    openFor(2);
    expect(wanted(true)).toBe(Order.None);
    expect(wanted(false)).toBe(Order.None);
  });
  test('closes after the shortest pulse once the wish is over', () => {
    openFor(3);
    expect(wanted(true)).toBe(Order.None);
    expect(wanted(false)).toBe(Order.Close);
  });
  test('closes after the longest pulse even when wished', () => {
    openFor(999);
    expect(wanted(true)).toBe(Order.None);
    openFor(1000);
    expect(wanted(true)).toBe(Order.Close);
  });
  test('closes during rest and dead time', () => {
    openFor(3);
    pairState(0).restTicks = 9;
    pairState(0).deadTicks = 9;
    expect(wanted(false)).toBe(Order.Close);
  });
});

describe('requestOf of a valve in an unknown position', () => {
  test('closes first, wished or not', () => {
    freshBank(1);
    expect(wanted(true)).toBe(Order.Close);
    expect(wanted(false)).toBe(Order.Close);
  });
  test('waits for its stroke to end', () => {
    freshBank(1);
    valveState(0, Valve.Supply).coil = Order.Close;
    expect(wanted(false)).toBe(Order.None);
  });
});

describe('a valve that is stuck open', () => {
  beforeEach(() => {
    closedPair();
    valveState(0, Valve.Supply).stuck = Stuck.Open;
  });
  test('is unknown after its closing stroke', () => {
    valveState(0, Valve.Supply).belief = Belief.Open;
    valveState(0, Valve.Supply).openTicks = 3;
    order(Wish.Hold);
    beginStroke(valveState(0, Valve.Supply), coefficients());
    advance(1);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Open);
    advance(1);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Unknown);
    expect(valveState(0, Valve.Supply).coil).toBe(Order.None);
    expect(pairState(0).openWish).toBe(Wish.Hold);
  });
  test('stays unknown after every further closing stroke', () => {
    valveState(0, Valve.Supply).belief = Belief.Unknown;
    valveState(0, Valve.Supply).quietTicks = 1000;
    order(Wish.Hold);
    beginStroke(valveState(0, Valve.Supply), coefficients());
    advance(2);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Unknown);
  });
  test('requests another closing stroke only after retryTicks, wished or not', () => {
    valveState(0, Valve.Supply).belief = Belief.Unknown;
    valveState(0, Valve.Supply).quietTicks = 999;
    expect(wanted(true)).toBe(Order.None);
    expect(wanted(false)).toBe(Order.None);
    valveState(0, Valve.Supply).quietTicks = 1000;
    expect(wanted(true)).toBe(Order.Close);
    expect(wanted(false)).toBe(Order.Close);
  });
  test('keeps the other valve of its pair from opening', () => {
    valveState(0, Valve.Supply).belief = Belief.Unknown;
    order(Wish.Lower);
    expect(valveState(0, Valve.Return).request).toBe(Order.None);
  });
});

describe('isIdleClosed', () => {
  beforeEach(closedPair);
  test('requires the belief and a coil that is off', () => {
    expect(isIdleClosed(valveState(0, Valve.Supply))).toBe(true);
    valveState(0, Valve.Supply).coil = Order.Close;
    expect(isIdleClosed(valveState(0, Valve.Supply))).toBe(false);
    valveState(0, Valve.Supply).coil = Order.None;
    valveState(0, Valve.Supply).belief = Belief.Unknown;
    expect(isIdleClosed(valveState(0, Valve.Supply))).toBe(false);
    valveState(0, Valve.Supply).belief = Belief.Open;
    expect(isIdleClosed(valveState(0, Valve.Supply))).toBe(false);
  });
});

describe('beginStroke and advancePair', () => {
  beforeEach(closedPair);
  test('believe a valve open from the first tick of its opening stroke', () => {
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).request).toBe(Order.Open);
    beginStroke(valveState(0, Valve.Supply), coefficients());
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Open);
    expect(valveState(0, Valve.Supply).coil).toBe(Order.Open);
    expect(valveState(0, Valve.Supply).request).toBe(Order.None);
  });
  test('end a stroke after strokeTicks', () => {
    order(Wish.Raise);
    beginStroke(valveState(0, Valve.Supply), coefficients());
    advance(1);
    expect(valveState(0, Valve.Supply).coil).toBe(Order.Open);
    advance(1);
    expect(valveState(0, Valve.Supply).coil).toBe(Order.None);
    expect(valveState(0, Valve.Supply).openTicks).toBe(2);
    expect(pairState(0).openWish).toBe(Wish.Raise);
  });
  test('believe a valve open until its closing stroke has ended, then start rest, dead time and settling', () => {
    openFor(7);
    order(Wish.Hold);
    beginStroke(valveState(0, Valve.Supply), coefficients());
    advance(1);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Open);
    advance(1);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Closed);
    expect(valveState(0, Valve.Supply).openTicks).toBe(7, 'time open is counted up to the closing stroke');
    expect(pairState(0).openWish).toBe(Wish.Hold);
    expect(pairState(0).restTicks).toBe(30);
    expect(pairState(0).deadTicks).toBe(2);
    expect(pairState(0).settleTicks).toBe(25);
    expect(pairState(0).learnWish).toBe(Wish.Raise);
  });
  test('start no rest and learn nothing after a closing stroke that did not end a pulse', () => {
    freshBank(1);
    order(Wish.Hold);
    beginStroke(valveState(0, Valve.Return), coefficients());
    advance(2);
    expect(valveState(0, Valve.Return).belief).toBe(Belief.Closed);
    expect(pairState(0).restTicks).toBe(0);
    expect(pairState(0).deadTicks).toBe(2);
    expect(pairState(0).learnWish).toBe(Wish.Hold);
  });
  test('count the time since the last stroke from its first tick', () => {
    order(Wish.Raise);
    valveState(0, Valve.Supply).quietTicks = 500;
    beginStroke(valveState(0, Valve.Supply), coefficients());
    expect(valveState(0, Valve.Supply).quietTicks).toBe(0);
    advance(5);
    expect(valveState(0, Valve.Supply).quietTicks).toBe(5);
  });
  test('keep the time since the last stroke at its limit', () => {
    valveState(0, Valve.Supply).quietTicks = 0xffffffff;
    advance(1);
    expect(valveState(0, Valve.Supply).quietTicks).toBe(0xffffffff);
  });
});

describe('oil flow of a pair', () => {
  beforeEach(closedPair);
  test('flows from the end of the opening stroke to the end of the closing one', () => {
    order(Wish.Raise);
    beginStroke(valveState(0, Valve.Supply), coefficients());
    advance(1);
    expect(pairState(0).openWish).toBe(Wish.Raise);
    expect(pairState(0).flowWish).toBe(Wish.Hold);
    advance(1);
    expect(pairState(0).flowWish).toBe(Wish.Raise);
    advance(1);
    order(Wish.Hold);
    expect(valveState(0, Valve.Supply).request).toBe(Order.Close);
    beginStroke(valveState(0, Valve.Supply), coefficients());
    advance(1);
    expect(pairState(0).flowWish).toBe(Wish.Raise);
    advance(1);
    expect(pairState(0).flowWish).toBe(Wish.Hold);
  });
  test('flows out through the return valve', () => {
    order(Wish.Lower);
    beginStroke(valveState(0, Valve.Return), coefficients());
    advance(1);
    expect(pairState(0).flowWish).toBe(Wish.Hold);
    advance(1);
    expect(pairState(0).flowWish).toBe(Wish.Lower);
  });
  test('does not flow while a closed valve is re-latched', () => {
    valveState(0, Valve.Supply).quietTicks = 60000;
    order(Wish.Hold);
    beginStroke(valveState(0, Valve.Supply), coefficients());
    advance(1);
    expect(pairState(0).flowWish).toBe(Wish.Hold);
  });
});

describe('a pulse that seems to pass no oil', () => {
  test('ends whatever the wish is, but not before the shortest pulse', () => {
    openFor(2);
    pairState(0).suspectPulse = 1;
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).request).toBe(Order.None);
    advance(1);
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).request).toBe(Order.Close);
  });
  test('is judged once the pressure has settled, and no other begins before', () => {
    openFor(7);
    pairState(0).suspectPulse = 1;
    order(Wish.Raise);
    beginStroke(valveState(0, Valve.Supply), coefficients());
    advance(2);
    expect(pairState(0).learnWish).toBe(Wish.Raise);
    expect(pairState(0).settleTicks).toBe(25);
    for (let tick = 0; tick < 100; tick++) {
      order(tick % 2 === 0 ? Wish.Raise : Wish.Lower);
      expect(valveState(0, Valve.Supply).request).toBe(Order.None);
      expect(valveState(0, Valve.Return).request).toBe(Order.None);
    }
    pairState(0).suspectPulse = 0;
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).request).toBe(Order.Open);
  });
});

describe('a suspected valve', () => {
  beforeEach(() => freshBank(1));
  test('is closed again even while energy is saved, and keeps the other valve closed', () => {
    const supply = valveState(0, Valve.Supply);
    const returnValve = valveState(0, Valve.Return);
    supply.belief = Belief.Closed;
    returnValve.belief = Belief.Closed;
    supply.suspected = 1;
    supply.quietTicks = 2;
    expect(requestOf(supply, returnValve, pairState(0), false, true, coefficients())).toBe(Order.None);
    supply.quietTicks = 3;
    expect(requestOf(supply, returnValve, pairState(0), false, true, coefficients())).toBe(Order.Close);
    expect(requestOf(returnValve, supply, pairState(0), true, false, coefficients())).toBe(Order.None);
    supply.request = Order.Close;
    beginStroke(supply, coefficients());
    expect(supply.suspected).toBe(0);
  });
});

describe('repeatClose', () => {
  beforeEach(closedPair);
  test('counts each repeat once, until its stroke has begun', () => {
    const supply = valveState(0, Valve.Supply);
    repeatClose(supply);
    repeatClose(supply);
    expect(supply.repeats).toBe(1);
    supply.quietTicks = 3;
    order(Wish.Hold);
    beginStroke(supply, coefficients());
    repeatClose(supply);
    expect(supply.repeats).toBe(2);
  });
  test('counts from 0 again after an opening stroke', () => {
    const supply = valveState(0, Valve.Supply);
    supply.repeats = 2;
    order(Wish.Raise);
    beginStroke(supply, coefficients());
    expect(supply.repeats).toBe(0);
  });
});

describe('holdPulses', () => {
  beforeEach(closedPair);
  test('keeps pulses from beginning in this tick and the next, and shortens no rest', () => {
    holdPulses(pairState(0));
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).request).toBe(Order.None);
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).request).toBe(Order.None);
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).request).toBe(Order.Open);
    pairState(0).restTicks = 30;
    holdPulses(pairState(0));
    expect(pairState(0).restTicks).toBe(30);
  });
});

describe('a valve that is stuck closed', () => {
  beforeEach(() => {
    closedPair();
    valveState(0, Valve.Supply).stuck = Stuck.Closed;
  });
  test('is believed closed after its closing stroke', () => {
    valveState(0, Valve.Supply).belief = Belief.Open;
    valveState(0, Valve.Supply).openTicks = 3;
    order(Wish.Hold);
    beginStroke(valveState(0, Valve.Supply), coefficients());
    advance(2);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Closed);
  });
  test('gets a trial pulse after eight retry intervals: 8000 ticks', () => {
    const supply = valveState(0, Valve.Supply);
    supply.quietTicks = 7999;
    expect(isTrial(supply, coefficients())).toBe(false);
    supply.quietTicks = 8000;
    expect(isTrial(supply, coefficients())).toBe(true);
  });
  test('is on trial until its pulse has ended', () => {
    const supply = valveState(0, Valve.Supply);
    supply.belief = Belief.Open;
    supply.quietTicks = 0;
    expect(isTrial(supply, coefficients())).toBe(true);
    supply.belief = Belief.Closed;
    expect(isTrial(supply, coefficients())).toBe(false);
  });
  test('a valve that is stuck open, or not stuck, gets none', () => {
    const supply = valveState(0, Valve.Supply);
    supply.quietTicks = 60000;
    supply.stuck = Stuck.Open;
    expect(isTrial(supply, coefficients())).toBe(false);
    supply.stuck = Stuck.None;
    expect(isTrial(supply, coefficients())).toBe(false);
  });
});

describe('setStuckOpen and setUnstuck', () => {
  beforeEach(closedPair);
  test('make the position unknown, and closed again', () => {
    const supply = valveState(0, Valve.Supply);
    setStuckOpen(supply);
    expect(supply.stuck).toBe(Stuck.Open);
    expect(supply.belief).toBe(Belief.Unknown);
    setUnstuck(supply);
    expect(supply.stuck).toBe(Stuck.None);
    expect(supply.belief).toBe(Belief.Closed);
  });
});

describe('orderPair', () => {
  beforeEach(closedPair);
  test('opens the supply valve to raise, the return valve to lower, never both', () => {
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).request).toBe(Order.Open);
    expect(valveState(0, Valve.Return).request).toBe(Order.None);
    order(Wish.Lower);
    expect(valveState(0, Valve.Supply).request).toBe(Order.None);
    expect(valveState(0, Valve.Return).request).toBe(Order.Open);
    order(Wish.Hold);
    expect(valveState(0, Valve.Supply).request).toBe(Order.None);
    expect(valveState(0, Valve.Return).request).toBe(Order.None);
  });
  test('counts how long the same request has waited', () => {
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).waitTicks).toBe(0);
    order(Wish.Raise);
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).waitTicks).toBe(2);
    order(Wish.Hold);
    expect(valveState(0, Valve.Supply).waitTicks).toBe(0);
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).waitTicks).toBe(0);
  });
  test('lets the pair open again exactly restTicks after the pulse', () => {
    pairState(0).restTicks = 30;
    for (let tick = 0; tick < 30; tick++) {
      order(Wish.Raise);
      expect(valveState(0, Valve.Supply).request).toBe(Order.None);
    }
    order(Wish.Raise);
    expect(valveState(0, Valve.Supply).request).toBe(Order.Open);
  });
});

describe('forgetPosition', () => {
  beforeEach(closedPair);
  test('keeps the belief of a closed valve at rest', () => {
    forgetPosition(valveState(0, Valve.Supply), false);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Closed);
  });
  test('makes an open valve unknown', () => {
    valveState(0, Valve.Supply).belief = Belief.Open;
    forgetPosition(valveState(0, Valve.Supply), false);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Unknown);
  });
  test('makes a moving valve unknown, and drops its coil and request', () => {
    valveState(0, Valve.Supply).coil = Order.Close;
    valveState(0, Valve.Supply).coilTicks = 2;
    valveState(0, Valve.Supply).request = Order.Close;
    valveState(0, Valve.Supply).waitTicks = 3;
    forgetPosition(valveState(0, Valve.Supply), false);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Unknown);
    expect(valveState(0, Valve.Supply).coil).toBe(Order.None);
    expect(valveState(0, Valve.Supply).coilTicks).toBe(0);
    expect(valveState(0, Valve.Supply).request).toBe(Order.None);
    expect(valveState(0, Valve.Supply).waitTicks).toBe(0);
  });
  test('completes a stroke on a reservoir, and has the valve closed again', () => {
    valveState(0, Valve.Supply).coil = Order.Close;
    valveState(0, Valve.Supply).coilTicks = 2;
    forgetPosition(valveState(0, Valve.Supply), true);
    advance(2);
    expect(valveState(0, Valve.Supply).coil).toBe(Order.None);
    advance(1);
    expect(wanted(false)).toBe(Order.Close);
  });
  test('makes an open valve at rest unknown on a reservoir too', () => {
    valveState(0, Valve.Supply).belief = Belief.Open;
    forgetPosition(valveState(0, Valve.Supply), true);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Unknown);
  });
});

describe('withdrawStuck', () => {
  beforeEach(() => freshBank(1));
  test('withdraws the request of a stuck valve only', () => {
    order(Wish.Hold);
    withdrawStuck(valveState(0, Valve.Supply));
    expect(valveState(0, Valve.Supply).request).toBe(Order.Close);
    valveState(0, Valve.Supply).stuck = Stuck.Open;
    withdrawStuck(valveState(0, Valve.Supply));
    expect(valveState(0, Valve.Supply).request).toBe(Order.None);
  });
});
