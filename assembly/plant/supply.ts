import { ATMOSPHERE_PA, drive, machine, plant } from './generated/records';

/*
 * What rows share: rail, return line and wires. They are constant within a step and updated after it, from what all rows drew.
 */

/** L/min as m³/s. */
const LPM: f64 = 1 / 60000;
/** Lower limit of the droop, Pa per m³/s: a pump without any would never settle. */
const DROOP_MIN: f64 = (0.1 * 1000) / LPM;

/**
 * Integrates the rail over a step. The pump holds its pressure less a droop over flow, up to its maximum flow; rail and hoses
 * are a volume of oil (backward Euler, so that a stiff pump stays stable). A failing pump drains the rail through itself.
 */
export function stepRail(drawnM3PerS: f64, returnedM3PerS: f64, stepS: f64): void {
  const m = machine();
  const p = plant();
  const droop = Math.max(DROOP_MIN, (m.railDroopKpaPerLpm * 1000) / LPM);
  const regulatedPa = ATMOSPHERE_PA + m.railNominalKpa * 1000 * drive().railRatio;
  const perPa = (m.railOilMl * 1e-6) / (m.bulkModulusMpa * 1e6) / stepS;
  const maxM3PerS = m.pumpLpm * LPM;
  let pressure = (perPa * p.railPa + regulatedPa / droop - drawnM3PerS) / (perPa + 1 / droop);
  const pumped = (regulatedPa - pressure) / droop;
  if (pumped > maxM3PerS) pressure = p.railPa + (maxM3PerS - drawnM3PerS) / perPa;
  else if (pumped < -maxM3PerS) pressure = p.railPa + (-maxM3PerS - drawnM3PerS) / perPa;
  p.hydraulicJ += drawnM3PerS * (p.railPa - ATMOSPHERE_PA) * stepS;
  p.railPa = Math.max(ATMOSPHERE_PA, Math.min(pressure, ATMOSPHERE_PA + m.reliefKpa * 1000));
  p.supplyM3PerS = drawnM3PerS;
  p.returnM3PerS = returnedM3PerS;
  const riseKpa = m.returnRiseKpaPerLpm * Math.max(0, returnedM3PerS / LPM);
  p.returnPa = ATMOSPHERE_PA + (m.returnKpa + riseKpa) * 1000;
}

/** Updates source, wires and reservoir after a step. @param coilsA current that the coils drew in it */
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
