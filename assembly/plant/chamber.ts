import { ATMOSPHERE_PA, clamp, ZERO_C_K } from './constants';
import { valveFlow } from './flow';
import {
  Actuation,
  Derived,
  Drive,
  drive,
  Machine,
  PlantState,
  plant,
  Rates,
  RowMade,
  RowState,
  setup,
  Trouble,
} from './generated/records';
import { ratioAt } from './mechanics';

/** A leak of 1 mL/min at 100 bar, m³/s per Pa. */
const LEAK_M3_PER_PA: f64 = 1e-6 / 60 / 1e7;
/** Lowest absolute pressure that the compliance is worked out for, Pa: below it oil would boil, and its air has taken over. */
const LEAST_PA: f64 = 2000;
/** Time constant with which *perfect* takes its pressure on, s. */
const PERFECT_S: f64 = 0.005;

/** Gas pressure at which an accumulator's bladder fills its shell, Pa: below it only oil is left, and that is stiff. */
export function bottomPa(gasK: f64, d: Derived): f64 {
  return d.gasM3 > 0 ? (d.gasJPerK * gasK) / d.gasM3 : Infinity;
}

/**
 * Oil that a pressure holds in the chamber, m³: pressed oil p·V/β, less its air's room α·V·p_a/p, and what the gas makes room
 * for. A step integrates this and not the pressure, whose compliance jumps where the bladder reaches its shell: no oil is made
 * or lost there.
 */
export function storedAt(pressurePa: f64, gasK: f64, d: Derived): f64 {
  const gasM3 = pressurePa > bottomPa(gasK, d) ? d.gasM3 - (d.gasJPerK * gasK) / pressurePa : 0;
  return d.oilM3PerPa * pressurePa - d.airM3Pa / pressurePa + gasM3;
}

/** The pressure at which the chamber holds that oil, Pa: the positive root of c·p² − n·p − r = 0, with or without the gas. */
export function pressureAt(storedM3: f64, gasK: f64, d: Derived): f64 {
  const bottom = bottomPa(gasK, d);
  const hasGas = d.gasM3 > 0 && storedM3 > d.oilM3PerPa * bottom - d.airM3Pa / bottom;
  const n = hasGas ? storedM3 - d.gasM3 : storedM3;
  const rest = d.airM3Pa + (hasGas ? d.gasJPerK * gasK : 0);
  const root = Math.sqrt(n * n + 4 * d.oilM3PerPa * rest);
  // Written so that nothing cancels on either side.
  return n > 0 ? (n + root) / (2 * d.oilM3PerPa) : Math.max(1, (2 * rest) / (root - n));
}

/** Flows of the two latching valves; openings from 0 to 1. Closed ones leak in proportion to the drop. */
function latchingFlows(
  r: Rates,
  pressurePa: f64,
  supply: f64,
  back: f64,
  made: RowMade,
  t: Trouble,
  p: PlantState,
  m: Machine,
  d: Derived,
): void {
  const viscous = d.bellow * p.viscosityM2PerS;
  const fromRail = p.railPa - pressurePa;
  const toReturn = pressurePa - p.returnPa;
  let inflow = (m.valveLeakMlPerMin + t.supplyLeakMlPerMin) * LEAK_M3_PER_PA * fromRail;
  let outflow = (m.valveLeakMlPerMin + t.returnLeakMlPerMin) * LEAK_M3_PER_PA * toReturn;
  if (supply > 0) inflow += supply * made.supplyFlow * t.flowRatio * valveFlow(fromRail, viscous, d.throat);
  if (back > 0) outflow += back * made.returnFlow * t.flowRatio * valveFlow(toReturn, viscous, d.throat);
  r.supplyM3PerS = inflow;
  r.returnM3PerS = outflow;
}

/** Flows of a proportional pressure valve: outside its dead zone an edge opens with the distance from the pressure it sets. */
function proportionalFlows(r: Rates, pressurePa: f64, spoolPa: f64, p: PlantState, m: Machine, d: Derived): void {
  const viscous = d.bellow * p.viscosityM2PerS;
  const error = spoolPa - pressurePa;
  const opening = clamp((Math.abs(error) - m.spoolDeadKpa * 1000) / (m.spoolFullKpa * 1000), 0, 1);
  const isIn = error > 0;
  const flow = opening * valveFlow(isIn ? p.railPa - pressurePa : pressurePa - p.returnPa, viscous, d.spoolThroat);
  r.supplyM3PerS = isIn ? flow : 0;
  r.returnM3PerS = isIn ? 0 : flow;
  r.bypassM3PerS = m.spoolLeakMlPerMin * LEAK_M3_PER_PA * (p.railPa - p.returnPa);
}

/** Pressure that a controller who knows the soil would hold, Pa: the target on the wheels in standing balance. */
function perfectPa(r: Rates, heightM: f64, made: RowMade, x: Drive, gravityMps2: f64, m: Machine, d: Derived): f64 {
  const travelM = heightM - r.frameM;
  const neededN = x.targetLoadN + r.soilN + m.closingN - made.massKg * gravityMps2 + m.liftN - m.liftNPerM * travelM;
  return Math.max(ATMOSPHERE_PA, ATMOSPHERE_PA + neededN / (d.areaM2 * ratioAt(travelM, d)));
}

/**
 * Chamber and gas: C·ṗ = flows − piston's displacement + warming, with C = oil + air + gas.
 * Oil V/β; air α·V·p_a/p² (Rabie, Fluid Power Engineering, eq. 2.49 ff., isothermal bubbles); gas above its bottom
 * V_g/(γ·p), V_g = m·R·T/p, and Ṫ/T = q/γ + (γ − 1)/γ·ṗ/p with q = (T_a − T)/(τ·T), the first law for an ideal gas that
 * takes on the ambient temperature with time constant τ at constant volume.
 */
function fillChamber(r: Rates, pressurePa: f64, gasK: f64, pistonM3PerS: f64, airK: f64, m: Machine, d: Derived): void {
  const pressure = Math.max(LEAST_PA, pressurePa);
  const stiff = d.oilM3PerPa + d.airM3Pa / (pressure * pressure);
  const inflow = r.supplyM3PerS - r.returnM3PerS - pistonM3PerS;
  r.storedM3PerS = inflow;
  const warming = d.gasM3 > 0 ? (airK - gasK) / (m.gasThermalS * gasK) : 0;
  if (!(pressure > bottomPa(gasK, d))) {
    r.chamberPaPerS = inflow / stiff;
    r.gasKPerS = warming * gasK;
    return;
  }
  const gamma = m.gasExponent;
  const gasM3 = (d.gasJPerK * gasK) / pressure;
  r.chamberPaPerS = (inflow + (gasM3 * warming) / gamma) / (stiff + gasM3 / (gamma * pressure));
  r.gasKPerS = gasK * (warming / gamma + ((gamma - 1) / gamma) * (r.chamberPaPerS / pressure));
}

/** Rates of a row's chamber, once its forces are known, for the state `y`. */
export function fillRow(r: Rates, y: RowState, supply: f64, back: f64, made: RowMade, t: Trouble, m: Machine, d: Derived): void {
  const p = plant();
  const x = drive();
  const actuation = setup().actuation;
  r.supplyM3PerS = 0;
  r.returnM3PerS = 0;
  r.bypassM3PerS = 0;
  if (actuation === Actuation.Perfect && x.lowered !== 0) {
    r.chamberPaPerS = (perfectPa(r, y.heightM, made, x, p.gravityMps2, m, d) - y.chamberPa) / PERFECT_S;
    r.gasKPerS = 0;
    const held = storedAt(y.chamberPa + 1, y.gasK, d) - storedAt(y.chamberPa, y.gasK, d);
    r.storedM3PerS = held * r.chamberPaPerS;
    return;
  }
  if (actuation === Actuation.Latching) latchingFlows(r, y.chamberPa, supply, back, made, t, p, m, d);
  if (actuation === Actuation.Proportional) proportionalFlows(r, y.chamberPa, y.spoolPa, p, m, d);
  const pistonM3PerS = d.areaM2 * ratioAt(y.heightM - r.frameM, d) * (r.frameMps - y.speedMps);
  fillChamber(r, y.chamberPa, y.gasK, pistonM3PerS, x.airC + ZERO_C_K, m, d);
}

/** The load that the transducer sees: a lag that the coupling's gas makes faster with load. */
export function senseLoad(r: Rates, sensedN: f64, m: Machine): void {
  const stiffness = (sensedN + m.loadStiffeningN) / (450 + m.loadStiffeningN);
  r.sensedNPerS = 2 * Math.PI * m.loadLagHz * stiffness * stiffness * (r.wheelN - sensedN);
}
