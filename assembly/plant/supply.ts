import { ATMOSPHERE_PA } from './constants';
import { drive, machine, plant } from './generated/records';

/*
 * What rows share: rail, return line, wires. They stand still within a step and move on after it, with what all rows drew.
 */

/** L/min as m³/s. */
const LPM: f64 = 1 / 60000;
/** Smallest droop that is worked with, Pa per m³/s: a pump without any would never settle. */
const LEAST_DROOP: f64 = (0.1 * 1000) / LPM;

/**
 * The pump holds its pressure less a droop over flow, up to its most; rail and hoses are a volume of oil (backward Euler, so
 * that a stiff pump stays stable). A failing pump lets the rail down through itself.
 */
export function stepRail(drawnM3PerS: f64, returnedM3PerS: f64, stepS: f64): void {
  const m = machine();
  const p = plant();
  const droop = Math.max(LEAST_DROOP, (m.railDroopKpaPerLpm * 1000) / LPM);
  const wanted = ATMOSPHERE_PA + m.railNominalKpa * 1000 * drive().railRatio;
  const perPa = (m.railOilMl * 1e-6) / (m.bulkModulusMpa * 1e6) / stepS;
  const most = m.pumpLpm * LPM;
  let pressure = (perPa * p.railPa + wanted / droop - drawnM3PerS) / (perPa + 1 / droop);
  const pumped = (wanted - pressure) / droop;
  if (pumped > most) pressure = p.railPa + (most - drawnM3PerS) / perPa;
  else if (pumped < -most) pressure = p.railPa + (-most - drawnM3PerS) / perPa;
  p.hydraulicJ += drawnM3PerS * (p.railPa - ATMOSPHERE_PA) * stepS;
  p.railPa = Math.max(ATMOSPHERE_PA, Math.min(pressure, ATMOSPHERE_PA + m.reliefKpa * 1000));
  p.supplyM3PerS = drawnM3PerS;
  p.returnM3PerS = returnedM3PerS;
  const riseKpa = m.returnRiseKpaPerLpm * Math.max(0, returnedM3PerS / LPM);
  p.returnPa = ATMOSPHERE_PA + (m.returnKpa + riseKpa) * 1000;
}

/** Source, wires and reservoir after a step in which the coils drew this current, A. */
export function stepElectrics(coilsA: f64, stepS: f64): void {
  const m = machine();
  const p = plant();
  const hasReservoir = m.reservoirUf > 0;
  const chargeA = hasReservoir ? Math.max(0, (p.bankV - p.coilV) / m.chargeOhm) : coilsA;
  if (hasReservoir) p.coilV = Math.max(0, p.coilV + ((chargeA - coilsA) * stepS) / (m.reservoirUf * 1e-6));
  const electronicsA = m.electronicsW / Math.max(p.bankV, 5);
  p.bankV = Math.max(0, drive().sourceV - m.harnessOhm * (chargeA + electronicsA));
  if (!hasReservoir) p.coilV = p.bankV;
  p.coilsA = coilsA;
}
