import { PRECHARGE_K, STEP_S } from './constants';
import { DISCHARGE, fitValve, fitViscosity, viscosityAt } from './flow';
import { fitWings, frameHeight, frameSpeed, placeSupports } from './frame';
import {
  ATMOSPHERE_PA,
  Derived,
  derived,
  drive,
  GRAVITY_MPS2,
  Machine,
  machine,
  plant,
  rowProperties,
  rowState,
  setup,
  stageStart,
  wheelPath,
  ZERO_C_K,
} from './generated/records';
import { startProfile } from './profile';
import { normal, Purpose, uniform } from './random';
import { heightOf, setStage } from './stage';

/** Compression of the gauge wheels at the start of a run, m. */
const STANDING_M: f64 = 0.003;

/**
 * Down force per cylinder force r(y) = −dl/dy for a cylinder from its pivot (rear, up) on the frame to a point on the arm:
 * l² = (rear − a·cos φ)² + (up − a·sin φ)², y = arm·sin φ.
 */
export function exactRatio(travelM: f64, m: Machine): f64 {
  const sine = travelM / m.armM;
  const cosine = Math.sqrt(1 - sine * sine);
  const rear = m.cylinderPivotRearM - m.attachM * cosine;
  const up = m.cylinderPivotUpM - m.attachM * sine;
  const length = Math.sqrt(rear * rear + up * up);
  return (m.attachM * (m.cylinderPivotUpM * cosine - m.cylinderPivotRearM * sine)) / (length * m.armM * cosine);
}

/** Fits a parabola through level travel and ± three quarters of the travel: force and displacement then use the same ratio. */
function fitLinkage(m: Machine, d: Derived): void {
  const reachM = 0.75 * Math.min(m.travelUpMm, m.travelDownMm) * 1e-3;
  const above = exactRatio(reachM, m);
  const below = exactRatio(-reachM, m);
  d.ratio0 = exactRatio(0, m);
  d.ratio1 = (above - below) / (2 * reachM);
  d.ratio2 = (above + below - 2 * d.ratio0) / (2 * reachM * reachM);
}

function fitMachine(m: Machine, d: Derived): void {
  fitLinkage(m, d);
  fitViscosity(m, d);
  fitValve(m, d);
  const spool = m.valveFlowLpm / m.spoolFlowLpm;
  d.spoolOrificeTerm = d.orificeTerm * spool * spool;
  d.areaM2 = m.capAreaCm2 * 1e-4;
  const oilM3 = m.chamberOilMl * 1e-6;
  d.oilM3PerPa = oilM3 / (m.bulkModulusMpa * 1e6);
  d.airM3Pa = oilM3 * m.airRatio * ATMOSPHERE_PA;
  d.gasM3 = m.accumulatorMl * 1e-6;
  d.gasJPerK = (m.prechargeAbsoluteKpa * 1000 * d.gasM3) / PRECHARGE_K;
  // Rebound force A·Δp with Δp = ρ/2·(A·w/(Cd·Ao))², A being the rod-side area times the linkage ratio.
  const side = m.rodAreaCm2 * 1e-4 * d.ratio0;
  const orifice = (Math.PI / 4) * m.reboundOrificeMm * m.reboundOrificeMm * 1e-6;
  const squeeze = side / (DISCHARGE * orifice);
  d.rebound = side * (m.oilKgPerM3 / 2) * squeeze * squeeze;
  d.lugRadPerM = (2 * Math.PI) / m.lugPitchM;
  const tickS = 1 / setup().tickHz;
  d.steps = Math.ceil(tickS / STEP_S - 1e-9);
  d.stepS = tickS / d.steps;
}

/** Draws the properties in which rows differ, from the machine's `spread`. */
function drawRow(row: i32, m: Machine, d: Derived): void {
  const properties = rowProperties(row);
  const seed = setup().seed;
  const one = row + 1;
  properties.massRatio = 1 + m.massSpreadRatio * normal(seed, one, Purpose.Mass, 0);
  properties.liftRatio = Math.max(0.2, 1 + (m.liftSpreadMm / m.liftMm) * normal(seed, one, Purpose.LiftHeight, 0));
  properties.contactNPerM = m.contactNPerM * Math.max(0.2, 1 + m.contactSpreadRatio * normal(seed, one, Purpose.Contact, 0));
  properties.supplyFlow = Math.max(0.2, 1 + m.flowSpreadRatio * normal(seed, one, Purpose.Flow, 0));
  properties.returnFlow = m.returnFlowRatio * Math.max(0.2, 1 + m.flowSpreadRatio * normal(seed, one, Purpose.Flow, 1));
  properties.gasJPerK = d.gasJPerK * Math.max(0.2, 1 + m.gasSpreadRatio * normal(seed, one, Purpose.Gas, 0));
  properties.loadGain = Math.max(0.2, 1 + m.loadGainSpreadRatio * normal(seed, one, Purpose.LoadGain, 0));
  properties.loadZeroN = m.loadOffsetN + m.loadSpreadN * normal(seed, one, Purpose.LoadZero, 0);
  const biasMps2 = m.accelerationBiasSpreadMps2 * normal(seed, one, Purpose.AccelerationBias, 0);
  properties.accelerationBiasMps2 = m.accelerationBiasMps2 + biasMps2;
  const phase = 2 * Math.PI * uniform(seed, one, Purpose.LugPhase, 0);
  properties.lugSine = Math.sin(phase);
  properties.lugCosine = Math.cos(phase);
}

/** Sets the mass of a row from the seed that is left in its hopper. */
export function weighRow(row: i32): void {
  const m = machine();
  const properties = rowProperties(row);
  const usedKg = m.seedUseKgPerKm * 1e-3 * plant().plantedM;
  properties.massKg = (m.massKg + Math.max(0, m.seedKg - usedKg)) * properties.massRatio;
}

/** Puts a row at rest: on the ground, or hanging from a lifted frame. */
function placeRow(row: i32): void {
  const y = rowState(row);
  const stage = stageStart();
  const standing = heightOf(wheelPath(row + 1), stage) - STANDING_M;
  y.heightM = Math.max(standing, frameHeight(rowProperties(row), stage) - machine().travelDownMm * 1e-3);
  y.chamberPa = ATMOSPHERE_PA + setup().startKpa * 1000;
  y.gasK = drive().airC + ZERO_C_K;
  y.gasJPerK = rowProperties(row).gasJPerK;
  y.frameMps = frameSpeed(rowProperties(row), stage);
  y.integralPa = setup().startKpa * 1000;
  y.commandPa = y.integralPa;
  y.laggedPa = y.chamberPa;
  y.spoolPa = y.chamberPa;
}

/** Component of gravity normal to the slope, which presses a row onto the ground, m/s². */
export function gravityOn(gradePercent: f64, sideSlopePercent: f64): f64 {
  return GRAVITY_MPS2 / Math.sqrt(1 + 1e-4 * (gradePercent * gradePercent + sideSlopePercent * sideSlopePercent));
}

/** Derives everything from setup, machine, field and drive, and puts the plant into its initial state. */
export function setUp(): void {
  const m = machine();
  const d = derived();
  const p = plant();
  const x = drive();
  fitMachine(m, d);
  const rows = <i32>setup().rows;
  for (let row = 0; row < rows; row++) {
    drawRow(row, m, d);
    weighRow(row);
  }
  fitWings();
  startProfile();
  p.speedMps = x.speedMps;
  p.liftRatio = x.lowered === 0 ? 1 : 0;
  p.railPa = ATMOSPHERE_PA + m.railNominalKpa * 1000 * x.railRatio;
  p.returnPa = ATMOSPHERE_PA + m.returnKpa * 1000;
  p.viscosityAtC = x.oilC;
  p.viscosityM2PerS = viscosityAt(x.oilC, d);
  p.gravityMps2 = gravityOn(x.gradePercent, x.sideSlopePercent);
  p.bankV = x.sourceV;
  p.coilV = x.sourceV;
  setStage(stageStart(), 0);
  placeSupports(stageStart());
  for (let row = 0; row < rows; row++) placeRow(row);
}
