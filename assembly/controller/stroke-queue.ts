import { BankFault, BankMode, Belief, Order, Valve } from './generated/enums';
import { BankProbe, BankState, Coefficients, Parameters, pairState, ValveState, valveState } from './generated/records';
import { beginStroke, isIdleClosed } from './valve-pair';

/*
 * One queue for the whole bank turns requests into current. At most strokesAtOnce coils are driven at a time. Closes go first,
 * and one slot is never given to an opening stroke, so a close waits at most
 *   strokeTicks · slotCount · (1 + floor((valves − 1) / strokesAtOnce))   where valves = rows for the end of a pulse, because a
 * pair has at most one open valve, and 2 · rows for unknown positions and re-latching. A re-latch also waits for all closes that
 * are repeated because one may have been missed.
 *
 * While power is lost, a reservoir pays for strokes that close valves, or vent first, until it cannot pay for another one. Then,
 * and once everything is closed, no stroke begins until power is back.
 */

/** Load error that a tick of waiting equals, N: at 1 kHz a small need is served within seconds even beside a large one. */
const NEED_PER_WAIT_N: f32 = 1;

const RANK_WAIT_BIT: u32 = 14;
const RANK_URGENCY_BIT: u32 = 30;
const MAX_OPEN_TICKS: u32 = (1 << RANK_WAIT_BIT) - 1;

/** Valves of all rows under one index: supply, then return valve of each row. */
function valveAt(index: i32): ValveState {
  return valveState(index >> 1, index & 1);
}

/**
 * Rank of a closing request, larger first: open before unknown before re-latch, then longest waiting, then longest open. While
 * power is lost there may not be energy for all: supply valves first, because they raise the pressure.
 */
export function closeRank(valve: ValveState, isSupply: bool, isPowerLost: bool): u32 {
  if (RANK_WAIT_BIT + 16 > RANK_URGENCY_BIT) ERROR('a 16-bit waiting time does not fit into its part of the rank');
  const isOpen = valve.belief === Belief.Open;
  const isSuspect = valve.belief === Belief.Unknown || valve.suspected !== 0;
  const openUrgency: u32 = isPowerLost && isSupply ? 3 : 2;
  const urgency: u32 = isOpen ? openUrgency : isSuspect ? 1 : 0;
  const openTicks: u32 = isOpen ? min<u32>(valve.openTicks, MAX_OPEN_TICKS) : 0;
  return (urgency << RANK_URGENCY_BIT) | ((<u32>valve.waitTicks) << RANK_WAIT_BIT) | openTicks;
}

/** Index of the closing request to serve next, -1 if there is none. */
function nextClose(valves: i32, isPowerLost: bool): i32 {
  let best = -1;
  let bestRank: u32 = 0;
  for (let index = 0; index < valves; index++) {
    const valve = valveAt(index);
    if (valve.request !== Order.Close) continue;
    const rank = closeRank(valve, (index & 1) === Valve.Supply, isPowerLost);
    if (best >= 0 && rank <= bestRank) continue;
    best = index;
    bestRank = rank;
  }
  return best;
}

/** Index of the opening request to serve next, by need and waiting time, -1 if there is none. */
function nextOpen(valves: i32): i32 {
  let best = -1;
  let bestRank: f32 = 0;
  for (let index = 0; index < valves; index++) {
    const valve = valveAt(index);
    if (valve.request !== Order.Open) continue;
    const rank = pairState(index >> 1).needN + NEED_PER_WAIT_N * <f32>valve.waitTicks;
    if (best >= 0 && !(rank > bestRank)) continue;
    best = index;
    bestRank = rank;
  }
  return best;
}

/** Whether a reservoir feeds the coils whose energy is known. */
export function hasReservoir(p: Parameters): bool {
  return p.reservoirUf > 0 && p.reservoirVoltageFitted !== 0;
}

/** Energy for closing strokes that wait for their turn, mJ, with what else the reservoir supplies meanwhile. */
export function closesMj(closes: u32, c: Coefficients): f32 {
  return c.waitMj + c.closeMj * <f32>closes;
}

/** Energy in the reservoir above the minimum voltage, mJ, minus what present strokes may still draw; not negative. */
export function storedEnergy(reservoirMv: u16, strokesInFlight: u32, p: Parameters, c: Coefficients): f32 {
  const volts: f32 = <f32>reservoirMv * 0.001;
  const storedMj = c.energyMjPerV2 * volts * volts - c.energyFloorMj;
  return max<f32>(0, storedMj - <f32>strokesInFlight * p.strokeMj);
}

/** Banks that share a harness take turns: a stroke begins only in the first tick of the bank's own slot. */
function isOwnSlot(bank: BankState, c: Coefficients): bool {
  if (c.slotCycleTicks === 0) return true;
  const isOwn = bank.slotTicks === c.slotStartTicks;
  bank.slotTicks += 1;
  if (bank.slotTicks >= c.slotCycleTicks) bank.slotTicks = 0;
  return isOwn;
}

function begin(index: i32, bank: BankState, probe: BankProbe, p: Parameters, c: Coefficients): void {
  beginStroke(valveAt(index), c);
  bank.strokes += 1;
  probe.strokesInFlight += 1;
  probe.energyMj = max<f32>(0, probe.energyMj - p.strokeMj);
}

/**
 * Grants the slots of this tick. `probe` holds the bank's tallies, which are updated. While no stroke can be paid none begins, but
 * slots are counted: the other banks count them too.
 */
export function grantStrokes(bank: BankState, probe: BankProbe, p: Parameters, c: Coefficients): void {
  const isOwn = isOwnSlot(bank, c);
  if (!isOwn || bank.inhibited !== 0) return;
  const valves = <i32>bank.rowCount * 2;
  const isMetered = hasReservoir(p);
  const isPowerLost = bank.mode === BankMode.PowerLost;
  const slots = p.strokesAtOnce;
  assert(probe.strokesInFlight <= slots);

  while (probe.closesWaiting !== 0 && probe.strokesInFlight < slots) {
    const next = nextClose(valves, isPowerLost);
    assert(next >= 0);
    // A re-latch must not use the energy that open valves need for their closes.
    const isRelatch = valveAt(next).belief === Belief.Closed && valveAt(next).suspected === 0;
    const neededMj = p.strokeMj + (isRelatch ? closesMj(probe.closesNeeded, c) : 0);
    if (isMetered && probe.energyMj < neededMj) return;
    begin(next, bank, probe, p, c);
    probe.closesWaiting -= 1;
  }
  // No valve opens on a suspect supply, before the debounce has made it a fault. A vent after the loss of power needs no supply.
  if (!isPowerLost && (probe.conditions & (BankFault.ANY_CLOSE | BankFault.ANY_INHIBIT)) !== 0) return;
  const openSlots = slots > 1 ? slots - 1 : 1;
  while (probe.opensWaiting !== 0 && probe.closesWaiting === 0 && probe.strokesInFlight < openSlots) {
    // An opening stroke begins only if there is energy left for its own close and those of all open valves; to vent, one more.
    const closes = (bank.venting === 0 ? 1 : 2) + <u32>probe.closesNeeded;
    if (isMetered && probe.energyMj < p.strokeMj + closesMj(closes, c)) return;
    const next = nextOpen(valves);
    assert(next >= 0);
    // The interlock: never both valves of a row open.
    assert(isIdleClosed(valveAt(next ^ 1)));
    begin(next, bank, probe, p, c);
    bank.pulses += 1;
    probe.opensWaiting -= 1;
    probe.openValves += 1;
    probe.closesNeeded += 1;
  }
}
