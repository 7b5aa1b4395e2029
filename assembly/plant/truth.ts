import { ATMOSPHERE_PA, bankTruth, machine, plant, rates, rowState, rowTruth, setup, track, valve, ZERO_C_K } from './generated/records';
import { currentRates } from './integrate';
import { depthAt } from './mechanics';
import { meetPlacedStones } from './segments';
import { stonesMet } from './soil';

/** m³/s as L/min. */
const LPM: f64 = 60000;

/** Writes the true state of bank and rows after a tick. */
export function writeTruth(): void {
  const p = plant();
  const bank = bankTruth();
  bank.distanceM = <f32>p.distanceM;
  bank.speedMps = <f32>p.speedMps;
  bank.setDepthMm = <f32>machine().seedDepthMm;
  bank.railTrueKpa = <f32>((p.railPa - ATMOSPHERE_PA) * 1e-3);
  bank.returnTrueKpa = <f32>((p.returnPa - ATMOSPHERE_PA) * 1e-3);
  bank.supplyLpm = <f32>(p.supplyM3PerS * LPM);
  bank.bankV = <f32>p.bankV;
  bank.coilV = <f32>p.coilV;
  bank.coilsA = <f32>p.coilsEndA;
  bank.hydraulicJ = <f32>p.hydraulicJ;
  meetPlacedStones();
  const rows = <i32>setup().rows;
  let framesM: f64 = 0;
  for (let row = 0; row < rows; row++) framesM += writeRowTruth(row);
  bank.frameMm = <f32>((framesM / <f64>rows) * 1e3);
}

/** Returns the height of the frame at the row, m. */
function writeRowTruth(row: i32): f64 {
  const y = rowState(row);
  const r = rates();
  const truth = rowTruth(row);
  currentRates(row);
  y.accelerationMps2 = r.speedMps2;
  y.frameMps2 = (r.frameMps - y.frameMps) * setup().tickHz;
  y.frameMps = r.frameMps;
  truth.wheelN = <f32>r.wheelN;
  truth.openerN = <f32>r.openerN;
  truth.soilN = <f32>r.soilN;
  truth.downN = <f32>r.downN;
  truth.groundMm = <f32>(r.groundM * 1e3);
  truth.depthMm = <f32>(depthAt(r.groundM - y.heightM, machine()) * 1e3);
  truth.travelMm = <f32>((y.heightM - r.frameM) * 1e3);
  truth.rowFrameMm = <f32>(r.frameM * 1e3);
  truth.rowMps2 = <f32>r.speedMps2;
  truth.chamberKpa = <f32>((y.chamberPa - ATMOSPHERE_PA) * 1e-3);
  truth.gasC = <f32>(y.gasK - ZERO_C_K);
  truth.supplyOpening = <f32>valve(row * 2).opening;
  truth.returnOpening = <f32>valve(row * 2 + 1).opening;
  truth.oilMl = <f32>(y.oilM3 * 1e6);
  truth.returnedMl = <f32>(y.returnedM3 * 1e6);
  truth.coilJ = <f32>y.coilJ;
  truth.coilLossJ = <f32>y.coilLossJ;
  truth.reboundJ = <f32>y.reboundJ;
  truth.missedStrokes = <f32>y.missed;
  truth.stonesMet = <f32>stonesMet(track(row + 1), plant().distanceM);
  return r.frameM;
}
