import { clamp } from './constants';
import { flowRatioAt, valveFlow } from './flow';
import {
  Actuation,
  ATMOSPHERE_PA,
  Derived,
  Drive,
  derived,
  drive,
  InjectedFaults,
  injectedFaults,
  Machine,
  machine,
  PlantState,
  plant,
  Rates,
  RowProperties,
  RowState,
  rowProperties,
  rowState,
  setup,
  ZERO_C_K,
} from './generated/records';
import { ratioAt } from './mechanics';

/** A leak of 1 mL/min at 100 bar, m³/s per Pa. */
const LEAK_M3_PER_PA: f64 = 1e-6 / 60 / 1e7;
/** Lowest absolute pressure for which the compliance is computed, Pa: below it the oil would boil and its air dominates. */
const COMPLIANCE_MIN_PA: f64 = 2000;
/** Time constant with which the *perfect* baseline reaches its pressure, s. */
const PERFECT_S: f64 = 0.005;

/** Gas pressure at which the accumulator's bladder fills its shell, Pa: below it only the oil is left, which is stiff. */
export function bottomPa(gasK: f64, gasJPerK: f64, d: Derived): f64 {
  return d.gasM3 > 0 ? (gasJPerK * gasK) / d.gasM3 : Infinity;
}

/**
 * Oil stored in the chamber by its pressure, m³: compressed oil p·V/β, less the volume of its air α·V·p_a/p, plus what the gas
 * gives way. A step integrates this instead of the pressure, whose compliance jumps where the bladder reaches its shell: so no
 * oil appears or disappears there.
 */
export function storedAt(pressurePa: f64, gasK: f64, gasJPerK: f64, d: Derived): f64 {
  const gasM3 = pressurePa > bottomPa(gasK, gasJPerK, d) ? d.gasM3 - (gasJPerK * gasK) / pressurePa : 0;
  return d.oilM3PerPa * pressurePa - d.airM3Pa / pressurePa + gasM3;
}

/** Inverse of `storedAt`, Pa: the positive root of c·p² − n·p − r = 0, with or without gas. */
export function pressureAt(storedM3: f64, gasK: f64, gasJPerK: f64, d: Derived): f64 {
  const bottom = bottomPa(gasK, gasJPerK, d);
  const hasGas = d.gasM3 > 0 && storedM3 > d.oilM3PerPa * bottom - d.airM3Pa / bottom;
  const n = hasGas ? storedM3 - d.gasM3 : storedM3;
  const gasM3Pa = d.airM3Pa + (hasGas ? gasJPerK * gasK : 0);
  const root = Math.sqrt(n * n + 4 * d.oilM3PerPa * gasM3Pa);
  // Written so that neither form suffers from cancellation.
  return n > 0 ? (n + root) / (2 * d.oilM3PerPa) : Math.max(1, (2 * gasM3Pa) / (root - n));
}

/**
 * Takes gas out of a row's accumulator within no time: neither oil nor the piston moves. The gas that stays expands without heat
 * exchange to the volume of all, so T·m^(1 − γ) is constant (first law for a vessel that is vented, ideal gas); its pressure
 * then follows from the stored oil.
 */
function ventGas(y: RowState, leftJPerK: f64, m: Machine, d: Derived): void {
  const storedM3 = storedAt(y.chamberPa, y.gasK, y.gasJPerK, d);
  y.gasK *= Math.pow(leftJPerK / y.gasJPerK, m.gasExponent - 1);
  y.gasJPerK = leftJPerK;
  y.chamberPa = pressureAt(storedM3, y.gasK, leftJPerK, d);
}

/** Takes the gas out of the accumulators that they lose in a tick, by a leak and by a loss of gas in the scenario. */
export function loseGas(): void {
  const d = derived();
  const m = machine();
  if (d.gasM3 === 0) return;
  const rows = <i32>setup().rows;
  const tickS = 1 / setup().tickHz;
  const kept = 1 - (m.gasLeakRatioPerH / 3600) * tickS;
  for (let row = 0; row < rows; row++) {
    const faults = injectedFaults(row);
    const y = rowState(row);
    const fullJPerK = rowProperties(row).gasJPerK;
    const endJPerK = faults.gasLeftRatio * fullJPerK;
    const ventJPerK = ((fullJPerK - endJPerK) * tickS) / Math.max(tickS, faults.gasLossS);
    let left = y.gasJPerK * kept;
    if (left > endJPerK) left = Math.max(endJPerK, left - ventJPerK);
    if (left < y.gasJPerK) ventGas(y, left, m, d);
  }
}

/** Flows of the two latching valves; openings from 0 to 1. Leaks are proportional to the pressure drop. */
function latchingFlows(
  r: Rates,
  pressurePa: f64,
  supplyOpening: f64,
  returnOpening: f64,
  properties: RowProperties,
  faults: InjectedFaults,
  p: PlantState,
  m: Machine,
  d: Derived,
): void {
  const viscous = d.viscousTerm * p.viscosityM2PerS;
  const fromRail = p.railPa - pressurePa;
  const toReturn = pressurePa - p.returnPa;
  let inflow = (m.valveLeakMlPerMin + faults.supplyLeakMlPerMin) * LEAK_M3_PER_PA * fromRail;
  let outflow = (m.valveLeakMlPerMin + faults.returnLeakMlPerMin) * LEAK_M3_PER_PA * toReturn;
  const both = faults.flowRatio * flowRatioAt(drive().oilC, m);
  if (supplyOpening > 0) {
    const share = supplyOpening * properties.supplyFlow * both * faults.supplyFlowRatio;
    inflow += share * valveFlow(fromRail, viscous, d.orificeTerm);
  }
  if (returnOpening > 0) {
    const share = returnOpening * properties.returnFlow * both * faults.returnFlowRatio;
    outflow += share * valveFlow(toReturn, viscous, d.orificeTerm);
  }
  r.supplyM3PerS = inflow;
  r.returnM3PerS = outflow;
}

/** Flows of a proportional pressure valve: outside its dead zone an edge opens in proportion to the pressure error. */
function proportionalFlows(r: Rates, pressurePa: f64, spoolPa: f64, p: PlantState, m: Machine, d: Derived): void {
  const viscous = d.viscousTerm * p.viscosityM2PerS;
  const error = spoolPa - pressurePa;
  const opening = clamp((Math.abs(error) - m.spoolDeadKpa * 1000) / (m.spoolFullKpa * 1000), 0, 1);
  const isIn = error > 0;
  const flow = opening * valveFlow(isIn ? p.railPa - pressurePa : pressurePa - p.returnPa, viscous, d.spoolOrificeTerm);
  r.supplyM3PerS = isIn ? flow : 0;
  r.returnM3PerS = isIn ? 0 : flow;
  r.bypassM3PerS = m.spoolLeakMlPerMin * LEAK_M3_PER_PA * (p.railPa - p.returnPa);
}

/** Pressure that a controller with knowledge of the soil would hold, Pa: static balance with the target load on the wheels. */
function perfectPa(r: Rates, heightM: f64, properties: RowProperties, x: Drive, gravityMps2: f64, m: Machine, d: Derived): f64 {
  const travelM = heightM - r.frameM;
  const neededN = x.targetLoadN + r.soilN + m.closingN - properties.massKg * gravityMps2 + m.liftN - m.liftNPerM * travelM;
  return Math.max(ATMOSPHERE_PA, ATMOSPHERE_PA + neededN / (d.areaM2 * ratioAt(travelM, d)));
}

/**
 * Rates of chamber and gas: C·ṗ = flows − displacement of the piston + warming, with the compliance C = oil + air + gas.
 * Oil V/β; air α·V·p_a/p² (Rabie, Fluid Power Engineering, eq. 2.49 ff., isothermal bubbles); gas above its bottoming pressure
 * V_g/(γ·p), V_g = m·R·T/p, and Ṫ/T = q/γ + (γ − 1)/γ·ṗ/p with q = (T_a − T)/(τ·T), the first law for an ideal gas that
 * approaches the ambient temperature with time constant τ at constant volume.
 */
function oilAndGasRates(r: Rates, y: RowState, pistonM3PerS: f64, airK: f64, m: Machine, d: Derived): void {
  const gasK = y.gasK;
  const pressure = Math.max(COMPLIANCE_MIN_PA, y.chamberPa);
  const stiff = d.oilM3PerPa + d.airM3Pa / (pressure * pressure);
  const inflow = r.supplyM3PerS - r.returnM3PerS - pistonM3PerS;
  r.storedM3PerS = inflow;
  const warming = d.gasM3 > 0 ? (airK - gasK) / (m.gasThermalS * gasK) : 0;
  if (!(pressure > bottomPa(gasK, y.gasJPerK, d))) {
    r.chamberPaPerS = inflow / stiff;
    r.gasKPerS = warming * gasK;
    return;
  }
  const gamma = m.gasExponent;
  const gasM3 = (y.gasJPerK * gasK) / pressure;
  r.chamberPaPerS = (inflow + (gasM3 * warming) / gamma) / (stiff + gasM3 / (gamma * pressure));
  r.gasKPerS = gasK * (warming / gamma + ((gamma - 1) / gamma) * (r.chamberPaPerS / pressure));
}

/** Computes the rates of a row's chamber for the state `y`. The forces must be in `r` already. */
export function chamberRates(
  r: Rates,
  y: RowState,
  supplyOpening: f64,
  returnOpening: f64,
  properties: RowProperties,
  faults: InjectedFaults,
  m: Machine,
  d: Derived,
): void {
  const p = plant();
  const x = drive();
  const actuation = setup().actuation;
  r.supplyM3PerS = 0;
  r.returnM3PerS = 0;
  r.bypassM3PerS = 0;
  if (actuation === Actuation.Perfect && x.lowered !== 0) {
    r.chamberPaPerS = (perfectPa(r, y.heightM, properties, x, p.gravityMps2, m, d) - y.chamberPa) / PERFECT_S;
    r.gasKPerS = 0;
    const m3PerPa = storedAt(y.chamberPa + 1, y.gasK, y.gasJPerK, d) - storedAt(y.chamberPa, y.gasK, y.gasJPerK, d);
    r.storedM3PerS = m3PerPa * r.chamberPaPerS;
    return;
  }
  if (actuation === Actuation.Latching) latchingFlows(r, y.chamberPa, supplyOpening, returnOpening, properties, faults, p, m, d);
  if (actuation === Actuation.Proportional) proportionalFlows(r, y.chamberPa, y.spoolPa, p, m, d);
  const pistonM3PerS = d.areaM2 * ratioAt(y.heightM - r.frameM, d) * (r.frameMps - y.speedMps);
  oilAndGasRates(r, y, pistonM3PerS, x.airC + ZERO_C_K, m, d);
}

/** Lag of the load sensor, which becomes faster with load because of the gas in its coupling. */
export function loadSensorRate(r: Rates, sensedN: f64, m: Machine): void {
  const stiffness = (sensedN + m.loadStiffeningN) / (450 + m.loadStiffeningN);
  r.sensedNPerS = 2 * Math.PI * m.loadLagHz * stiffness * stiffness * (r.wheelN - sensedN);
}
