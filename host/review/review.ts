import type { UnitName } from '../../shared/units.js';
import type { BuildIdentity, RunIdentity } from '../contract/run-identity.js';
import type { StrokeChange, StrokeDifferences } from '../replay/strokes.js';
import type { Verdict, VerdictCounts } from '../replay/verdict.js';

/*
 * The result of a review: text, JSON, JUnit, SARIF and the page are all made from it, so they cannot disagree. Values of signals
 * are texts, since JSON has neither NaN nor −0.
 */

/** One of the two builds. */
export interface BuildFacts extends BuildIdentity {
  /** Parameter file that overrides the parameters of each run, with the SHA-256 of its text. */
  readonly parameters?: { readonly file: string; readonly hash: string } | undefined;
}

/** A line of the controller's source. */
export interface SourceLine {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  /** Empty outside functions. */
  readonly function: string;
  readonly text: string;
}

/** output: read by the machine. probe: an intermediate value. state: kept from tick to tick. derived: computed by configure(). */
export type SignalKind = 'output' | 'probe' | 'state' | 'derived';

/** The first difference of a signal. */
export interface SignalDivergence {
  /** -1 is configure(), before the first tick. */
  readonly tick: number;
  /** 0 is the bank. */
  readonly row: number;
  /** `loadN`, `loopState.setPointKpa`, `valveState[supply].gain`. */
  readonly signal: string;
  readonly kind: SignalKind;
  readonly unit: UnitName;
  readonly base: string;
  readonly head: string;
}

/** The first difference of a run, in the order in which the controller computes its values. */
export interface Divergence extends SignalDivergence {
  /** Line of the head build that is suspected to cause it, if the sources are available. */
  readonly suspectedLine?: SourceLine | undefined;
  /** Line of the base build that head does not have, if that is suspected; then `suspectedLine` is the place where it was. */
  readonly removedLine?: SourceLine | undefined;
  /** The same place in the base build, if it has one. */
  readonly baseLine?: SourceLine | undefined;
  /** Line through which the suspected line takes effect, such as the use of a constant. */
  readonly via?: SourceLine | undefined;
  /** Why this line is suspected, or why none is. */
  readonly reason: string;
}

/** Lines of a file, from 1; if the count is 0, the place before the line `from`. */
export interface LineRange {
  readonly from: number;
  readonly count: number;
}

/** Adjacent lines of base, and what head has in their place. */
export interface ChangedLines {
  readonly file: string;
  readonly base: LineRange;
  readonly head: LineRange;
}

/**
 * How sure it is that an edit is the cause. putBack: with it as in base, the first difference of `run` goes away or becomes another
 * one. onlyEdit: nothing else has changed. suspected: that was not tried, or not possible.
 */
export type CauseCheck = 'putBack' | 'onlyEdit' | 'suspected';

/** An edit that makes runs differ. A second cause is what still differs after the edits of those before it are put back. */
export interface Cause {
  /** Index in `Review.runs` of the run that shows it after the least work, which is shown in detail. */
  readonly run: number;
  /** Indices in `Review.runs` of all runs that it is the first cause of, or the next one after others are put back. */
  readonly runs: readonly number[];
  /** First difference of `run` that it causes. */
  readonly first: Divergence;
  /** Lines that belong together; empty if no line is known. */
  readonly edits: readonly ChangedLines[];
  /** Parameter whose value differs, if that is the cause. */
  readonly parameter?: string | undefined;
  readonly check: CauseCheck;
  /** Why it was not tried, or what it was tried with, in words. */
  readonly note?: string | undefined;
}

export interface StrokeReview extends StrokeDifferences {
  /** Number of strokes of each side. */
  readonly base: number;
  readonly head: number;
  /** How many strokes moved by which number of ticks, from base to head: negative is earlier. The earliest first. */
  readonly shifts: readonly (readonly [ticks: number, count: number])[];
  /** In order of time, at most `STROKES_LISTED`. */
  readonly changes: readonly StrokeChange[];
}

/** A metric of both sides. */
export interface MetricChange {
  readonly name: string;
  readonly unit: UnitName;
  /** Of the unit in which text shows it, if that is another one. */
  readonly symbol?: string;
  readonly help: string;
  /** null if it has no value. */
  readonly base: number | null;
  readonly head: number | null;
  /** How much worse, as a share of base; negative is better; 0 if equal or if a side has no value. */
  readonly worseBy: number;
}

/** A signal of both sides over time. */
export interface Track {
  readonly signal: string;
  readonly row: number;
  /** In which values are shown: bar for kPa. */
  readonly unit: string;
  /** Words for numbers from 0, if it is an enumeration. */
  readonly words?: readonly string[] | undefined;
  /** null for a side that does not have the signal. */
  readonly base: Curve | null;
  readonly head: Curve | null;
}

/** Minimum and maximum of each bin; null for a bin without a number. */
export interface Curve {
  readonly min: readonly (number | null)[];
  readonly max: readonly (number | null)[];
}

/** Tracks over a part of a run. Bin i starts at tick first + i·ticks/bins. */
export interface Tracks {
  readonly first: number;
  readonly ticks: number;
  readonly bins: number;
  readonly tracks: readonly Track[];
}

/** An ordered opening of a valve: first tick of the opening stroke, first tick of the closing stroke. */
export type Opening = readonly [open: number, close: number];

export interface ValveLane {
  readonly row: number;
  readonly valve: 'supply' | 'return';
  readonly base: readonly Opening[];
  readonly head: readonly Opening[];
}

/** Every value of the bank or a row on both sides, after the tick of the first difference. */
export interface Snapshot {
  readonly row: number;
  readonly values: readonly {
    readonly signal: string;
    readonly kind: SignalKind;
    readonly unit: UnitName;
    /** '–' for a side that does not have the signal. */
    readonly base: string;
    readonly head: string;
    readonly differs: boolean;
  }[];
}

/** Signals, valves and states of a run that differs, as the page and the text show them. */
export interface RunViews {
  /** The whole run, in bins. */
  readonly overview: Tracks;
  /** The ticks around the first difference, one per bin. */
  readonly around: Tracks;
  /** Valves of the rows with the most differences, at most `ROWS_SHOWN` rows. */
  readonly lanes: readonly ValveLane[];
  /** The bank (row 0), and the row of the first difference or of the first stroke that differs. */
  readonly states: readonly Snapshot[];
}

/** One vector, or one run of a scenario in a closed loop, on both sides. */
export interface RunReview {
  readonly name: string;
  readonly title: string;
  /** vector: recorded inputs. scenario: each side controls its own simulated machine. */
  readonly kind: 'vector' | 'scenario';
  readonly seed?: number | undefined;
  readonly ranWith: { readonly base: RunIdentity; readonly head: RunIdentity };
  readonly verdict: Verdict;
  readonly rows: number;
  readonly ticks: number;
  readonly tickHz: number;
  /** SHA-256 of the recorded inputs, or of the scenario file. */
  readonly inputHash: string;
  /** Parameters that a side does not know, and inputs that it does not get. */
  readonly notes: readonly string[];
  /** First difference of any value. */
  readonly first?: Divergence | undefined;
  /** First difference of an output. */
  readonly firstOutput?: SignalDivergence | undefined;
  /** First difference of each signal that differs, in order of time. */
  readonly signals: readonly SignalDivergence[];
  readonly strokes: StrokeReview;
  /** The most harmful change first. */
  readonly metrics: readonly MetricChange[];
  /** Where a side stopped. */
  readonly stopped: { readonly base?: Stop | undefined; readonly head?: Stop | undefined };
  /** Only if a side refused the run. */
  readonly refused?: Refusals | undefined;
  /** Only if something differs. */
  readonly views?: RunViews | undefined;
  /** Of a vector whose run differs: the acceptance of the outputs that head computes; null if nobody has accepted them. */
  readonly acceptance?: AcceptanceFacts | null | undefined;
}

/** Who accepted outputs, when and why. */
export interface AcceptanceFacts {
  readonly date: string;
  readonly by: string;
  /** Name and address that git was set up with; undefined if it was not. */
  readonly committer?: string | undefined;
  readonly reason: string;
  /** Signals that changed, or `all` for a new vector. */
  readonly signals: readonly string[];
}

/** Why a side refused a run, such as `refuses deadbandN 900`. */
export interface Refusals {
  readonly base?: string | undefined;
  readonly head?: string | undefined;
}

export interface Stop {
  readonly tick: number;
  readonly message: string;
}

/** A difference between the contracts of the two builds. */
export interface ContractChange {
  readonly what: 'signal' | 'parameter' | 'fault' | 'word';
  readonly name: string;
  readonly change: 'added' | 'removed' | 'changed';
  /** Type and unit, limits and default, or number. */
  readonly base?: string | undefined;
  readonly head?: string | undefined;
}

/** A parameter with different values on the two sides: its default, or from a file. */
export interface ParameterDifference {
  readonly name: string;
  readonly unit: UnitName;
  readonly base: string;
  readonly head: string;
  /** Names of the runs in which it differs; empty if it differs in all. */
  readonly runs: readonly string[];
}

/** A commit that head has and base does not. */
export interface ReviewCommit {
  readonly hash: string;
  /** YYYY-MM-DD. */
  readonly date: string;
  readonly author: string;
  readonly subject: string;
}

/** Lines of a file that were replaced by others. Lines count from 1. */
export interface ReplacedLines {
  /** First line that base has; where it has none, the line before which head has more. */
  readonly baseLine: number;
  readonly removed: readonly string[];
  /** First line that head has; where it has none, the line before which base had more. */
  readonly headLine: number;
  readonly added: readonly string[];
}

/** A source file in which the sides differ. */
export interface FileChange {
  /** From the project's folder, on head unless it was removed. */
  readonly path: string;
  readonly change: 'added' | 'removed' | 'changed' | 'renamed';
  /** Its path on base, if it was renamed. */
  readonly basePath?: string | undefined;
  readonly addedLines: number;
  readonly removedLines: number;
  /** In order; the text of an added or removed file is one entry. */
  readonly lines: readonly ReplacedLines[];
}

/** The change that is reviewed. */
export interface SourceChange {
  /** Newest first, at most `COMMITS_LISTED`. Undefined if a side is a binary, which belongs to no commit. */
  readonly commits?: readonly ReviewCommit[] | undefined;
  readonly commitCount: number;
  /** Number of commits that base has and head does not: then base is not where head comes from. */
  readonly missingCommits: number;
  /** Whether head is a working tree in which something is not committed. */
  readonly isUncommitted: boolean;
  /** Why the list of commits is not complete, if it is not. */
  readonly note?: string | undefined;
  /** Sources of the controller and the compiler's settings. Undefined if the sources of a side are not known. */
  readonly files?: readonly FileChange[] | undefined;
}

/** What became of a vector between base and head. */
export interface VectorChange {
  /** On head, unless it was removed. */
  readonly name: string;
  readonly title: string;
  /** accepted: nothing but its accepted outputs changed. */
  readonly change: 'added' | 'removed' | 'renamed' | 'changed' | 'accepted';
  /** Its name on base, if it was renamed. */
  readonly baseName?: string | undefined;
  /** What differs besides the accepted outputs; texts of both sides, none for inputs. */
  readonly differences: readonly VectorDifference[];
  /** Acceptances that only head has, oldest first. */
  readonly accepted: readonly AcceptanceFacts[];
  /** What is wrong: acceptances of base that head has not, outputs that changed without an acceptance, or a file that is invalid. */
  readonly problems: readonly string[];
}

export interface VectorDifference {
  readonly what: 'title' | 'why' | 'origin' | 'rows' | 'tickHz' | 'inputs' | 'parameter';
  /** Of a parameter. */
  readonly name?: string | undefined;
  readonly base?: string | undefined;
  readonly head?: string | undefined;
}

/** What a search came to for inputs that show those edits of which no run shows an effect. */
export interface Suggestion {
  /** What was looked for; empty if nothing was. */
  readonly edits: readonly { readonly lines: readonly ChangedLines[] }[];
  readonly seed: number;
  /** Inputs that were tried, and ticks of all their rows. */
  readonly tried: number;
  readonly rowTicks: number;
  /** Why nothing was looked for, or why what was found makes no vector. */
  readonly reason?: string | undefined;
  /** Only if something was found. */
  readonly found?: SuggestedInputs | undefined;
}

/** Inputs on which two builds differ. */
export interface SuggestedInputs {
  /** With what head was compared: base, or head without the edits that were looked for, if others have causes. */
  readonly against: 'base' | 'head without these edits';
  readonly verdict: Exclude<Verdict, 'same' | 'refused'>;
  /** `supplyOrder of a row: none → open`. */
  readonly difference: string;
  /** Vector or scenario from which the inputs were made. */
  readonly from: string;
  /** What both run with. */
  readonly ranWith: RunIdentity;
  /** Size before and after they were shrunk; undefined if they could not be. */
  readonly shrunk?: { readonly before: InputSize; readonly after: InputSize } | undefined;
  /** Path of the new vector, from the current folder; undefined if it is not kept. */
  readonly vector?: string | undefined;
  /** Whose outputs the vector accepts. */
  readonly accepts?: 'head' | SuggestedInputs['against'] | undefined;
}

export interface InputSize {
  readonly rows: number;
  readonly ticks: number;
}

/**
 * What runs show of a changed line. different: a run reaches it and differs by it. same: runs reach it, and none differs by it.
 * unreached: no run reaches it.
 */
export type LineReach = 'different' | 'same' | 'unreached';

/** A changed line with code: of head, or one of base that was removed, with no code in its place. */
export interface CoveredLine {
  readonly side: 'base' | 'head';
  readonly line: SourceLine;
  readonly reach: LineReach;
  /** Runs that reach it, by their index in `Review.runs`, with the first tick that does, -1 in configure(). */
  readonly reachedBy: readonly { readonly run: number; readonly tick: number }[];
  /** Where a constant is used, whose declaration has no code: it counts as reached where it is used. */
  readonly usedAt: readonly SourceLine[];
  /** Starts of the parts of a line that no run reaches, although one reaches the condition before them. */
  readonly missed: readonly SourceLine[];
  /** Whether nothing calls the function that it is in: then it is not even compiled. */
  readonly isUncalled: boolean;
  /** The run that comes nearest to a line that no run reaches. Undefined if nothing that a run calls leads there. */
  readonly nearest?: NearestRun | undefined;
}

export interface NearestRun {
  /** Index in `Review.runs`. */
  readonly run: number;
  /** Number of runs that come as near, with this one. */
  readonly runs: number;
  /** Where it leaves the way to the line: mostly a condition. */
  readonly at?: SourceLine | undefined;
  /** What the condition must be, and never is. Undefined if the way ends there for another reason, such as a failed assertion. */
  readonly needs?: boolean | undefined;
  /** Number of conditions on the way to the line from there, with this one. */
  readonly conditions: number;
}

/** Numbers of changed lines. */
export type CoverageCounts = Readonly<Record<LineReach | 'noCode', number>>;

/** Which changed lines the runs of a review reach. */
export interface Coverage {
  readonly counts: CoverageCounts;
  /** Without those that have no code: comments, white space, declarations, and what the compiler leaves out. */
  readonly lines: readonly CoveredLine[];
  /** Why it is not known, if it is not: then there are no lines. */
  readonly note?: string | undefined;
}

export interface Review {
  readonly base: BuildFacts;
  readonly head: BuildFacts;
  /** Version of latchbench that made the review. */
  readonly tool: string;
  readonly contract: readonly ContractChange[];
  readonly parameters: readonly ParameterDifference[];
  readonly counts: VerdictCounts;
  /** Worst first. */
  readonly runs: readonly RunReview[];
  /** What makes them differ: the cause of most runs first, further ones after it. */
  readonly causes: readonly Cause[];
  /** What was changed; undefined if both sides are binaries. */
  readonly change?: SourceChange | undefined;
  /** Which changed lines the runs reach. Undefined if no source has changed, or that was not looked for. */
  readonly coverage?: Coverage | undefined;
  /** Vectors that are not the same on both sides, by name. Undefined if a side is a binary, which has none. */
  readonly vectors?: readonly VectorChange[] | undefined;
  /** Only if it was asked for. */
  readonly suggestion?: Suggestion | undefined;
}

export const COMMITS_LISTED = 100;
export const STROKES_LISTED = 1000;
export const ROWS_SHOWN = 4;
/** Ticks shown around a first difference, and how many of them come before it. */
export const AROUND_TICKS = 50;
export const BEFORE_TICKS = 25;
export const OVERVIEW_BINS = 480;
/** Maximum number of tracks. */
export const TRACKS_MAX = 8;
