import { ATMOSPHERE_KPA, GRAVITY_MPS2 } from '../../shared/physics.js';
import type { SizingInput } from './sizing-input.js';

type Linkage = Pick<SizingInput, 'armM' | 'attachM' | 'cylinderPivotRearM' | 'cylinderPivotUpM'>;

/** Where the cylinder acts relative to its upper pivot at a travel (m, up positive): rear, up and the cosine of the arm angle. */
function attachment(travelM: number, { armM, attachM, cylinderPivotRearM, cylinderPivotUpM }: Linkage) {
  const sine = travelM / armM;
  const cosine = Math.sqrt(1 - sine * sine);
  return { cosine, rearM: cylinderPivotRearM - attachM * cosine, upM: cylinderPivotUpM - attachM * sine };
}

/**
 * Returns the length of the cylinder from pivot to pivot at a travel, m: l² = (rear − a·cos φ)² + (up − a·sin φ)², travel = arm·sin φ,
 * |travel| < arm. Source: plane geometry, as in the plant.
 */
export function cylinderLengthM(travelM: number, linkage: Linkage): number {
  const { rearM, upM } = attachment(travelM, linkage);
  return Math.hypot(rearM, upM);
}

/**
 * Returns the ratio of down force at the row to cylinder force, −dl/dy, at a travel (m, |travel| < arm).
 * Source: derivative of the cylinder length; virtual work.
 */
export function leverRatio(travelM: number, linkage: Linkage): number {
  const { cosine } = attachment(travelM, linkage);
  const { armM, attachM, cylinderPivotRearM: rear, cylinderPivotUpM: up } = linkage;
  const sine = travelM / armM;
  return (attachM * (up * cosine - rear * sine)) / (cylinderLengthM(travelM, linkage) * armM * cosine);
}

/** Returns down force per pressure, N/bar: 10 · area in cm² · lever ratio. Source: F = p·A; 1 bar · 1 cm² = 10 N exactly. */
export const newtonPerBar = (capAreaCm2: number, ratio: number): number => 10 * capAreaCm2 * ratio;

/**
 * Returns the chamber pressure, kPa gauge, at which the wheels carry `targetN` while the soil carries `openerN` on the opener, for a row at
 * rest at level travel: (target + opener + closing wheels + lift spring − m·g) over force per pressure. Negative if the row is too heavy
 * without any pressure. Source: Newton; the plant's equation of motion at rest.
 */
export function neededKpa(targetN: number, openerN: number, input: SizingInput): number {
  const weightN = (input.massKg + input.seedKg) * GRAVITY_MPS2;
  const downForceN = targetN + openerN + input.closingN + input.liftN - weightN;
  return (100 * downForceN) / newtonPerBar(input.capAreaCm2, leverRatio(0, input));
}

/** Working pressures and the forces available at rail pressure. Pressures are gauge and, except the unclamped one, not below zero. */
export interface ForceRange {
  readonly leverRatio: number;
  readonly leverRatioRaised: number;
  readonly leverRatioLowered: number;
  readonly newtonPerBar: number;
  readonly newtonPerBarRaised: number;
  readonly newtonPerBarLowered: number;
  readonly cylinderStrokeNeededMm: number;
  /** Down force at the row at zero pressure and at rail pressure, less the lift spring. */
  readonly downForceMinN: number;
  readonly downForceMaxN: number;
  /** Wheel load at those two, with the mean opener force. */
  readonly wheelLoadMinN: number;
  readonly wheelLoadMaxN: number;
  readonly workMinKpa: number;
  readonly workTypicalKpa: number;
  readonly workMaxKpa: number;
  /** As `workMinKpa`, but negative if the row is too heavy even with an empty chamber. */
  readonly workMinUnclampedKpa: number;
}

/** Returns the force range of a row from its geometry and its rail pressure. Source: as the functions above. */
export function forceRange(input: SizingInput): ForceRange {
  const raisedM = input.travelUpMm / 1000;
  const loweredM = -input.travelDownMm / 1000;
  const [level, raised, lowered] = [0, raisedM, loweredM].map((travel) => leverRatio(travel, input)) as [number, number, number];
  const perBar = newtonPerBar(input.capAreaCm2, level);
  const openerMeanN = (input.openerMinN + input.openerMaxN) / 2;
  const maxN = (perBar * input.railNominalKpa) / 100 - input.liftN;
  const loadN = (downN: number): number => downN + (input.massKg + input.seedKg) * GRAVITY_MPS2 - input.closingN - openerMeanN;
  const workMinKpa = neededKpa(input.targetLoadMinN, input.openerMinN, input);
  return {
    leverRatio: level,
    leverRatioRaised: raised,
    leverRatioLowered: lowered,
    newtonPerBar: perBar,
    newtonPerBarRaised: newtonPerBar(input.capAreaCm2, raised),
    newtonPerBarLowered: newtonPerBar(input.capAreaCm2, lowered),
    cylinderStrokeNeededMm: 1000 * Math.abs(cylinderLengthM(raisedM, input) - cylinderLengthM(loweredM, input)),
    downForceMinN: -input.liftN,
    downForceMaxN: maxN,
    wheelLoadMinN: Math.max(0, loadN(-input.liftN)),
    wheelLoadMaxN: Math.max(0, loadN(maxN)),
    workMinKpa: Math.max(0, workMinKpa),
    workTypicalKpa: Math.max(0, neededKpa(input.targetLoadTypicalN, openerMeanN, input)),
    workMaxKpa: Math.max(0, neededKpa(input.targetLoadMaxN, input.openerMaxN, input)),
    workMinUnclampedKpa: workMinKpa,
  };
}

/** Returns the absolute pressure, kPa, for a gauge pressure (kPa). Source: ISO 2533:1975 for the atmosphere. */
export const absoluteKpa = (gaugeKpa: number): number => gaugeKpa + ATMOSPHERE_KPA;
