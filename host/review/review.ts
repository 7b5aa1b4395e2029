import type { UnitName } from '../../shared/units.js';
import type { StrokeChange } from '../replay/strokes.js';

export type { StrokeChange } from '../replay/strokes.js';

/*
 * What a review knows. One object makes the verdict, the text, the JSON and the page, so they can't disagree. Values of signals
 * are texts, as people read them: JSON has neither NaN nor −0.
 */

/**
 * same: nothing differs. inner: only what is in between or kept. outputs: what the machine obeys. stopped: an assertion failed.
 * refused: a side does not take the run's parameters or rows, so nothing was run.
 */
export type ReviewVerdict = 'same' | 'inner' | 'outputs' | 'stopped' | 'refused';

/** One of the two sides. */
export interface BuildFacts {
  /** As it was named. */
  readonly asked: string;
  /** Full hash of the commit, where it was named by one. */
  readonly commit?: string | undefined;
  readonly version: string;
  readonly sourceHash: string;
  readonly contractHash: string;
  /** SHA-256 of the binary. */
  readonly binaryHash: string;
  /** Parameter file in force over each vector's own, with the SHA-256 of its text. */
  readonly parameters?: { readonly file: string; readonly hash: string } | undefined;
}

/** A line of the controller's source. */
export interface SourceLine {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  /** Empty outside of functions. */
  readonly function: string;
  readonly text: string;
}

/** output: what the machine obeys. probe: what is in between. state: what is kept. derived: what configure() works out. */
export type SignalKind = 'output' | 'probe' | 'state' | 'derived';

/** A signal that differs, where it first does. */
export interface SignalParting {
  /** -1 is configure(), before the first tick. */
  readonly tick: number;
  /** 0 is the bank. */
  readonly row: number;
  /** `loadN`, `loopState.setPointKpa`, `valveState[supply].gain`. */
  readonly signal: string;
  readonly kind: SignalKind;
  readonly unit: UnitName;
  readonly old: string;
  readonly new: string;
}

/** Where two runs part, in the order in which the controller works things out. */
export interface Parting extends SignalParting {
  /** Believed line of the new build, if its source is at hand. */
  readonly line?: SourceLine | undefined;
  /** The same place in the old build, if it has one. */
  readonly oldLine?: SourceLine | undefined;
  /** Line through which the believed one works, such as the use of a constant. */
  readonly via?: SourceLine | undefined;
  /** Why this line is believed, or why there is none. */
  readonly because: string;
}

export interface StrokeReview {
  /** Strokes on each side. */
  readonly old: number;
  readonly new: number;
  readonly added: number;
  readonly removed: number;
  readonly earlier: number;
  readonly later: number;
  /** Smallest and largest shift, ticks; later is positive; 0 where none moved. */
  readonly earliest: number;
  readonly latest: number;
  /** In order of time, at most `STROKES_LISTED` of them. */
  readonly changes: readonly StrokeChange[];
}

/** A metric on both sides. */
export interface MetricChange {
  readonly name: string;
  readonly unit: UnitName;
  readonly help: string;
  /** null where it has no value. */
  readonly old: number | null;
  readonly new: number | null;
  /** How much worse, as a share of the old value; negative is better; 0 where it is the same or has no value on a side. */
  readonly worseBy: number;
}

/** A signal over time on both sides. */
export interface Track {
  readonly signal: string;
  readonly row: number;
  /** As people read it: bar for kPa. */
  readonly unit: string;
  /** What numbers stand for, from 0, if they do. */
  readonly words?: readonly string[] | undefined;
  /** null on a side that has no such signal. */
  readonly old: Curve | null;
  readonly new: Curve | null;
}

/** Least and most of each stretch; null where it has no number. Equally long. */
export interface Curve {
  readonly least: readonly (number | null)[];
  readonly most: readonly (number | null)[];
}

/** Some tracks over a part of the run. Stretch i begins at tick first + i·ticks/stretches. */
export interface Tracks {
  readonly first: number;
  readonly ticks: number;
  readonly stretches: number;
  readonly tracks: readonly Track[];
}

/** When a valve was open as ordered: first tick of the opening stroke, first tick of the closing one. */
export type Opening = readonly [open: number, close: number];

export interface ValveLane {
  readonly row: number;
  readonly valve: 'supply' | 'return';
  readonly old: readonly Opening[];
  readonly new: readonly Opening[];
}

/** Every value of a bank or a row on both sides, after the tick in which they part. */
export interface Snapshot {
  readonly row: number;
  readonly values: readonly {
    readonly signal: string;
    readonly kind: SignalKind;
    readonly unit: UnitName;
    /** '–' on a side that has no such signal. */
    readonly old: string;
    readonly new: string;
    readonly differs: boolean;
  }[];
}

/** What can be seen of a run whose sides differ. */
export interface Sight {
  /** The whole run, in stretches. */
  readonly overview: Tracks;
  /** The ticks around the parting, one a stretch. */
  readonly around: Tracks;
  /** Valves of the rows that differ most, at most `ROWS_SHOWN` rows. */
  readonly lanes: readonly ValveLane[];
  /** The bank (row 0) and the row that parts first, or whose strokes do. */
  readonly states: readonly Snapshot[];
}

/** One vector, or one run of a scenario in a closed loop, on both sides. */
export interface RunReview {
  readonly name: string;
  readonly title: string;
  /** vector: recorded inputs. scenario: each side drives a simulated machine of its own. */
  readonly kind: 'vector' | 'scenario';
  readonly seed?: number | undefined;
  readonly verdict: ReviewVerdict;
  readonly rows: number;
  readonly ticks: number;
  readonly tickHz: number;
  /** SHA-256 of the recorded inputs, or of the scenario's file. */
  readonly inputHash: string;
  /** Parameters of the vector that a side does not know, and inputs that it does not get. */
  readonly notes: readonly string[];
  /** Where any value first parts; undefined if nothing differs. */
  readonly first?: Parting | undefined;
  /** Where an output first parts; undefined if none does. */
  readonly firstOutput?: SignalParting | undefined;
  /** Where each signal that differs first does, in order of time. */
  readonly signals: readonly SignalParting[];
  readonly strokes: StrokeReview;
  /** Worst first. */
  readonly metrics: readonly MetricChange[];
  /** Where a side stopped. */
  readonly stopped: { readonly old?: Stop | undefined; readonly new?: Stop | undefined };
  /** What a side does not take, in words: `refuses deadbandN 900`. Only where one does not. */
  readonly refused?: Refusals | undefined;
  /** Only where something differs. */
  readonly sight?: Sight | undefined;
}

/** What each side does not take of a run. */
export interface Refusals {
  readonly old?: string | undefined;
  readonly new?: string | undefined;
}

export interface Stop {
  readonly tick: number;
  readonly message: string;
}

/** A thing that one contract has and the other has otherwise. */
export interface ContractChange {
  readonly what: 'signal' | 'parameter' | 'fault' | 'word';
  readonly name: string;
  readonly change: 'added' | 'removed' | 'changed';
  /** Type and unit, limits and default, or number, as they are on a side. */
  readonly old?: string | undefined;
  readonly new?: string | undefined;
}

/** Parameters that are not the same on both sides for some run: defaults, files. */
export interface ParameterDifference {
  readonly name: string;
  readonly unit: UnitName;
  readonly old: string;
  readonly new: string;
  /** Names of the runs in which it differs; all of them if empty. */
  readonly runs: readonly string[];
}

export interface Review {
  readonly old: BuildFacts;
  readonly new: BuildFacts;
  /** Version of latchbench that made the review. */
  readonly tool: string;
  readonly contract: readonly ContractChange[];
  readonly parameters: readonly ParameterDifference[];
  readonly counts: Readonly<Record<ReviewVerdict, number>>;
  /** Worst first. */
  readonly runs: readonly RunReview[];
}

export const STROKES_LISTED = 1000;
export const ROWS_SHOWN = 4;
/** Ticks shown around a parting: so many before it, the rest from it on. */
export const AROUND_TICKS = 50;
export const BEFORE_TICKS = 25;
/** Stretches of an overview. */
export const OVERVIEW_STRETCHES = 480;
/** Tracks of an overview and around a parting, at most. */
export const TRACKS_MOST = 8;
