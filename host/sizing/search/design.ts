import { describeContract } from '../../contract/contract.js';
import { isValidWith, type Machine } from '../../machine/machine.js';
import type { Draft } from '../check.js';
import { draftsOf } from '../size-machine.js';
import { sizesOf } from '../sizes.js';
import { type SizingInput, sizingInputOf } from '../sizing-input.js';
import type { Catalogue, Changes } from './catalogue.js';

/** The objectives of a search; less is better for each. */
export interface Objectives {
  /** Mean coil power of the bank, W. */
  readonly coilW: number;
  /** Mean hydraulic power of the down force of all rows, W. */
  readonly oilW: number;
  /** Change of down force over the float travel with closed valves, N. */
  readonly floatSwingN: number;
  /** Largest change of down force by a minimum pulse, N. */
  readonly minPulseN: number;
  /** Time to follow a soil step up, oil at 40 °C as in the simulation that confirms a design, s. */
  readonly slewUpS: number;
  /** The same down. */
  readonly slewDownS: number;
  /** Number of design checks that fail. */
  readonly failingChecks: number;
  /** Sum of the catalogue's price points. */
  readonly cost: number;
}

export const OBJECTIVES = [
  'coilW',
  'oilW',
  'floatSwingN',
  'minPulseN',
  'slewUpS',
  'slewDownS',
  'failingChecks',
  'cost',
] as const satisfies readonly (keyof Objectives)[];

/** A design as the index of one option of each choice; all 0 is the baseline. */
export type Picks = readonly number[];

export interface Design {
  readonly picks: Picks;
  readonly objectives: Objectives;
  /** Names of the design checks that fail. */
  readonly failing: readonly string[];
}

/** Returns the quantities that a design changes. */
export const changesOf = ({ choices }: Catalogue, picks: Picks): Changes =>
  Object.assign({}, ...choices.map(({ options }, index) => options[picks[index] ?? 0]?.changes));

function objectivesOf(
  checks: readonly Draft[],
  failing: readonly string[],
  { coilW, oilW }: { coilW: number; oilW: number },
  cost: number,
): Objectives {
  const checkNamed = (name: string): Draft | undefined => checks.find((one) => one.name === name);
  const warmS = (name: string): number => checkNamed(name)?.milder?.value ?? Number.NaN;
  return {
    coilW,
    oilW,
    floatSwingN: checkNamed('float-swing')?.value ?? Number.NaN,
    minPulseN: checkNamed('minimum-pulse')?.value ?? Number.NaN,
    slewUpS: warmS('slew-up-time'),
    slewDownS: warmS('slew-down-time'),
    failingChecks: failing.length,
    cost,
  };
}

/** A design may miss a limit that the baseline misses by this multiple of the distance: our choice, for small side effects. */
const WORSE_RATIO = 1.1;

/** Evaluates designs of one machine from one catalogue. */
export class Evaluator {
  private readonly input: SizingInput;
  private readonly contract = describeContract();
  /** Checks that the baseline already fails; a design must only not be much worse in them. */
  private readonly waived: ReadonlyMap<string, Draft>;
  /** The machine without changes. */
  readonly baseline: Design;

  constructor(
    private readonly machine: Machine,
    readonly catalogue: Catalogue,
  ) {
    this.input = sizingInputOf(machine);
    const { checks, design } = this.size(catalogue.choices.map(() => 0));
    this.waived = new Map(checks.filter(({ result }) => result === 'fail').map((one) => [one.name, one]));
    this.baseline = design;
  }

  private size(picks: Picks): { checks: readonly Draft[]; design: Design } {
    const input: SizingInput = { ...this.input, ...changesOf(this.catalogue, picks) };
    const sizes = sizesOf(input);
    const checks = draftsOf(sizes, input);
    const cost = this.catalogue.choices.reduce((sum, { options }, index) => sum + (options[picks[index] ?? 0]?.cost ?? 0), 0);
    const failing = checks.filter(({ result }) => result === 'fail').map(({ name }) => name);
    const objectives = objectivesOf(checks, failing, { coilW: sizes.duty.bankW, oilW: sizes.oil.machineW }, cost);
    return { checks, design: { picks, objectives, failing } };
  }

  /** Whether a failing check of a design is one that the baseline fails too, about as far from the limit. */
  private isWaived({ name, value, limit }: Draft): boolean {
    const baseline = this.waived.get(name);
    return baseline !== undefined && Math.abs(value - limit) <= WORSE_RATIO * Math.abs(baseline.value - baseline.limit);
  }

  /**
   * Returns a design with its objectives; undefined if its quantities are inconsistent, if it fails a check that the baseline passes, or if
   * it is much worse in one that the baseline fails.
   */
  evaluate(picks: Picks): Design | undefined {
    if (!isValidWith(this.machine, changesOf(this.catalogue, picks), this.contract)) return undefined;
    const { checks, design } = this.size(picks);
    const isFeasible = checks.every((check) => check.result !== 'fail' || this.isWaived(check));
    return isFeasible ? design : undefined;
  }
}
