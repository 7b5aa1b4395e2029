import { ATMOSPHERE_KPA, GRAVITY_MPS2 } from '../../shared/physics.js';
import type { Given } from './given.js';

type Linkage = Pick<Given, 'armM' | 'attachM' | 'cylinderPivotRearM' | 'cylinderPivotUpM'>;

/** Where the cylinder acts, seen from its upper pivot, at a travel (up positive, m): rear, up and the arms' cosine. */
function reach(travelM: number, { armM, attachM, cylinderPivotRearM, cylinderPivotUpM }: Linkage) {
  const sine = travelM / armM;
  const cosine = Math.sqrt(1 - sine * sine);
  return { cosine, rearM: cylinderPivotRearM - attachM * cosine, upM: cylinderPivotUpM - attachM * sine };
}

/**
 * Length of the cylinder from pivot to pivot at a travel, m: l² = (rear − a·cos φ)² + (up − a·sin φ)², travel = arm·sin φ, |travel| <
 * arm. Source: plane geometry, as in the plant.
 */
export function cylinderLengthM(travelM: number, linkage: Linkage): number {
  const { rearM, upM } = reach(travelM, linkage);
  return Math.hypot(rearM, upM);
}

/**
 * Down force at the row per force of the cylinder, −dl/dy, at a travel (m, |travel| < arm), dimensionless.
 * Source: derivative of the cylinder's length; virtual work.
 */
export function leverRatio(travelM: number, linkage: Linkage): number {
  const { cosine } = reach(travelM, linkage);
  const { armM, attachM, cylinderPivotRearM: rear, cylinderPivotUpM: up } = linkage;
  const sine = travelM / armM;
  return (attachM * (up * cosine - rear * sine)) / (cylinderLengthM(travelM, linkage) * armM * cosine);
}

/** Down force per pressure, N/bar: 10 · area in cm² · lever ratio. Source: F = p·A; 1 bar · 1 cm² = 10 N exactly. */
export const newtonPerBar = (capAreaCm2: number, ratio: number): number => 10 * capAreaCm2 * ratio;

/**
 * Chamber pressure, kPa gauge, at which the wheels carry `targetN` in soil that carries `openerN` on the opener: balance of a row
 * at rest at level travel, (target + opener + closing wheels + lift spring − m·g) over force per pressure. Below zero where the row
 * is too heavy by itself. Source: Newton; the plant's equation of motion without motion.
 */
export function neededKpa(targetN: number, openerN: number, given: Given): number {
  const weightN = (given.massKg + given.seedKg) * GRAVITY_MPS2;
  const wantedN = targetN + openerN + given.closingN + given.liftN - weightN;
  return (100 * wantedN) / newtonPerBar(given.capAreaCm2, leverRatio(0, given));
}

/** Pressures that the work asks for and the forces that the rail allows; pressures gauge, not below zero but where named so. */
export interface ForceRange {
  readonly leverRatio: number;
  readonly leverRatioRaised: number;
  readonly leverRatioLowered: number;
  readonly newtonPerBar: number;
  readonly newtonPerBarRaised: number;
  readonly newtonPerBarLowered: number;
  readonly cylinderStrokeNeededMm: number;
  /** Down force at the row at no pressure and at the rail's, lift spring taken off. */
  readonly downForceLeastN: number;
  readonly downForceMostN: number;
  /** Load on the wheels, opener in usual soil, that the two make. */
  readonly wheelLoadLeastN: number;
  readonly wheelLoadMostN: number;
  readonly workLeastKpa: number;
  readonly workUsualKpa: number;
  readonly workMostKpa: number;
  /** As `workLeastKpa`, below zero where even an empty chamber presses too much. */
  readonly workLeastUnboundedKpa: number;
}

/** Force range of a row from its geometry and its rail; units as named. Source: as the functions above. */
export function forceRange(given: Given): ForceRange {
  const raisedM = given.travelUpMm / 1000;
  const loweredM = -given.travelDownMm / 1000;
  const [level, raised, lowered] = [0, raisedM, loweredM].map((travel) => leverRatio(travel, given)) as [number, number, number];
  const perBar = newtonPerBar(given.capAreaCm2, level);
  const openerUsualN = (given.openerLeastN + given.openerMostN) / 2;
  const mostN = (perBar * given.railNominalKpa) / 100 - given.liftN;
  const loadN = (downN: number): number => downN + (given.massKg + given.seedKg) * GRAVITY_MPS2 - given.closingN - openerUsualN;
  const least = neededKpa(given.targetLeastN, given.openerLeastN, given);
  return {
    leverRatio: level,
    leverRatioRaised: raised,
    leverRatioLowered: lowered,
    newtonPerBar: perBar,
    newtonPerBarRaised: newtonPerBar(given.capAreaCm2, raised),
    newtonPerBarLowered: newtonPerBar(given.capAreaCm2, lowered),
    cylinderStrokeNeededMm: 1000 * Math.abs(cylinderLengthM(raisedM, given) - cylinderLengthM(loweredM, given)),
    downForceLeastN: -given.liftN,
    downForceMostN: mostN,
    wheelLoadLeastN: Math.max(0, loadN(-given.liftN)),
    wheelLoadMostN: Math.max(0, loadN(mostN)),
    workLeastKpa: Math.max(0, least),
    workUsualKpa: Math.max(0, neededKpa(given.targetUsualN, openerUsualN, given)),
    workMostKpa: Math.max(0, neededKpa(given.targetMostN, given.openerMostN, given)),
    workLeastUnboundedKpa: least,
  };
}

/** Absolute pressure, kPa, of a gauge pressure, kPa. Source: ISO 2533:1975 for the atmosphere. */
export const absoluteKpa = (gaugeKpa: number): number => gaugeKpa + ATMOSPHERE_KPA;
