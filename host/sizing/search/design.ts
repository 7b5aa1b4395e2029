import { describeContract } from '../../contract/contract.js';
import { goTogether, type Machine } from '../../machine/machine.js';
import type { Check } from '../check.js';
import { type Given, givenOf } from '../given.js';
import { checksOf } from '../size-machine.js';
import { sizesOf } from '../sizes.js';
import type { Catalogue, Changes } from './catalogue.js';

/** What designs are weighed by; of all of them less is better. */
export interface DesignMetrics {
  /** Mean coil power of the bank, W. */
  readonly coilW: number;
  /** Mean hydraulic power of the down force of all rows, W. */
  readonly oilW: number;
  /** Most that the shortest pulse changes the down force by, N. */
  readonly leastPulseN: number;
  /** Time in which the slower of both directions follows the soil's step, oil at its coldest, s. */
  readonly slewS: number;
  /** Sum of the catalogue's points. */
  readonly cost: number;
}

export const DESIGN_METRICS = ['coilW', 'oilW', 'leastPulseN', 'slewS', 'cost'] as const satisfies readonly (keyof DesignMetrics)[];

/** A design: of each choice one option, by its number; all 0 is the machine as it is. */
export type Picks = readonly number[];

export interface Design {
  readonly picks: Picks;
  readonly metrics: DesignMetrics;
}

/** Quantities that a design changes. */
export const changesOf = ({ choices }: Catalogue, picks: Picks): Changes =>
  Object.assign({}, ...choices.map(({ options }, index) => options[picks[index] ?? 0]?.changes));

function metricsOf(checks: readonly Check[], { coilW, oilW }: { coilW: number; oilW: number }, cost: number): DesignMetrics {
  const value = (name: string): number => checks.find((one) => one.name === name)?.value ?? Number.NaN;
  return { coilW, oilW, leastPulseN: value('smallest-pulse'), slewS: Math.max(value('slew-up'), value('slew-down')), cost };
}

/** Weighs designs of one machine out of one catalogue. */
export class Weigher {
  private readonly given: Given;
  private readonly contract = describeContract();
  /** Checks that the machine as it is does not pass: no design can be blamed for them. */
  private readonly forgiven: ReadonlySet<string>;
  readonly present: Design;

  constructor(
    private readonly machine: Machine,
    readonly catalogue: Catalogue,
  ) {
    this.given = givenOf(machine);
    const picks = catalogue.choices.map(() => 0);
    const { checks, design } = this.weighAll(picks);
    this.forgiven = new Set(checks.filter(({ verdict }) => verdict === 'fail').map(({ name }) => name));
    this.present = design;
  }

  private weighAll(picks: Picks): { checks: readonly Check[]; design: Design } {
    const given: Given = { ...this.given, ...changesOf(this.catalogue, picks) };
    const sizes = sizesOf(given);
    const checks = checksOf(sizes, given);
    const cost = this.catalogue.choices.reduce((sum, { options }, index) => sum + (options[picks[index] ?? 0]?.cost ?? 0), 0);
    const metrics = metricsOf(checks, { coilW: sizes.duty.bankW, oilW: sizes.oil.machineW }, cost);
    return { checks, design: { picks, metrics } };
  }

  /** A design with its metrics; undefined where quantities don't go together, or a check fails that the machine as it is passes. */
  weigh(picks: Picks): Design | undefined {
    if (!goTogether(this.machine, changesOf(this.catalogue, picks), this.contract)) return undefined;
    const { checks, design } = this.weighAll(picks);
    const isFit = checks.every(({ name, verdict }) => verdict !== 'fail' || this.forgiven.has(name));
    return isFit ? design : undefined;
  }
}
