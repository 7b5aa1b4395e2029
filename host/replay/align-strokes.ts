/*
 * Which strokes of two runs are the same ones, moved? Each valve's strokes are aligned as a whole, so that the order of opening and
 * closing is kept: a pulse stays a pulse, and strokes that changed places are not called moved.
 *
 * Cost of an alignment: a pair costs its shift in ticks, and a stroke without a partner half of the mean interval between strokes of
 * this valve. The alignment with the smallest sum is taken. So a stroke is never moved by as much as the mean interval: there it is
 * nearer to being another stroke, and one removed plus one added costs less. The scale comes from the run itself, because what is a
 * small shift of a valve that moves twice a minute is many strokes of one that moves ten times a second; it does not depend on the
 * tick rate.
 *
 * The sum is that of Victor & Purpura, Journal of Neurophysiology 76 (1996) 1310, the spike time metric, found by dynamic programming
 * as in Needleman & Wunsch, Journal of Molecular Biology 48 (1970) 443 (both from memory). Saved ticks are maximised, which is the
 * same: a pair saves the two halves of the interval, less its shift. Pairs that save nothing are left out, so the work grows with
 * the run: a valve's strokes have at most about two candidates for each tick.
 */

export interface Stroke {
  /** In which its current starts. */
  readonly tick: number;
  readonly order: 'open' | 'close';
}

/** Index of a stroke in base, and of the same one in head. */
export type StrokePair = readonly [base: number, head: number];

const isEqual = (a: Stroke | undefined, b: Stroke | undefined): boolean => a?.tick === b?.tick && a?.order === b?.order;

const SKIP_BASE = 0;
const SKIP_HEAD = 1;
const PAIR = 2;

/** Choices for a stroke of base: with each head stroke from `from` on, what the best alignment up to both ends with. */
interface Row {
  readonly from: number;
  readonly moves: Uint8Array;
}

/**
 * Pairs strokes of one valve, each list in order of time. Of alignments with equal cost it always takes the same one, whichever list
 * is base.
 * @param ticks length of the run, which gives the mean interval
 */
export function alignStrokes(base: readonly Stroke[], head: readonly Stroke[], ticks: number): StrokePair[] {
  // Pairing equal strokes at either end is never worse than anything else.
  const min = Math.min(base.length, head.length);
  let start = 0;
  while (start < min && isEqual(base[start], head[start])) start++;
  let end = 0;
  while (end < min - start && isEqual(base.at(-1 - end), head.at(-1 - end))) end++;
  const before = Array.from({ length: start }, (_, at): StrokePair => [at, at]);
  const after = Array.from({ length: end }, (_, at): StrokePair => [base.length - end + at, head.length - end + at]);
  const middle = { base: base.slice(start, base.length - end), head: head.slice(start, head.length - end) };
  const between = new Alignment(middle.base, middle.head, ticks, Math.max(base.length, head.length)).pairs();
  return [...before, ...between.map(([from, to]): StrokePair => [start + from, start + to]), ...after];
}

class Alignment {
  /** Most ticks saved with all base strokes so far and the head strokes before each index, times `count`: that keeps it an integer. */
  private readonly saved: Float64Array;
  /** Last index of `saved` that is valid; behind it nothing more was saved. */
  private valid = 0;

  /** @param count number of strokes of the run: the mean interval is ticks / count */
  constructor(
    private readonly base: readonly Stroke[],
    private readonly head: readonly Stroke[],
    private readonly ticks: number,
    private readonly count: number,
  ) {
    this.saved = new Float64Array(head.length + 1);
  }

  pairs(): StrokePair[] {
    const { base, head, count, ticks } = this;
    const rows: Row[] = [];
    let from = 0;
    let until = 0;
    for (const stroke of base) {
      while (from < head.length && (stroke.tick - (head[from] as Stroke).tick) * count >= ticks) from++;
      until = Math.max(until, from);
      while (until < head.length && ((head[until] as Stroke).tick - stroke.tick) * count < ticks) until++;
      rows.push({ from, moves: this.row(stroke, from, until) });
    }
    return this.trace(rows);
  }

  /** Adds a stroke of base, which may pair with the head strokes from `from` to before `until`. */
  private row(stroke: Stroke, from: number, until: number): Uint8Array {
    const { saved, head } = this;
    saved.fill(saved[this.valid] as number, this.valid + 1, until + 1);
    this.valid = Math.max(this.valid, until);
    const moves = new Uint8Array(until - from);
    let diagonal = saved[from] as number;
    for (let at = from; at < until; at++) {
      const other = head[at] as Stroke;
      const paired = other.order === stroke.order ? diagonal + this.saving(stroke, other) : -1;
      diagonal = saved[at + 1] as number;
      const [skipBase, skipHead] = [diagonal, saved[at] as number];
      const best = Math.max(paired, skipBase, skipHead);
      saved[at + 1] = best;
      if (paired === best) moves[at - from] = PAIR;
      else if (skipBase === skipHead) moves[at - from] = isAfter(other, stroke) ? SKIP_HEAD : SKIP_BASE;
      else moves[at - from] = skipBase === best ? SKIP_BASE : SKIP_HEAD;
    }
    return moves;
  }

  private saving(a: Stroke, b: Stroke): number {
    return this.ticks - this.count * Math.abs(a.tick - b.tick);
  }

  /** Follows the choices back from the end. */
  private trace(rows: readonly Row[]): StrokePair[] {
    const pairs: StrokePair[] = [];
    let to = this.head.length;
    for (let at = rows.length; at > 0; ) {
      const { from, moves } = rows[at - 1] as Row;
      to = Math.min(to, from + moves.length);
      const move = to <= from ? SKIP_BASE : moves[to - 1 - from];
      if (move === PAIR) pairs.push([at - 1, to - 1]);
      if (move !== SKIP_HEAD) at--;
      if (move !== SKIP_BASE) to--;
    }
    return pairs.reverse();
  }
}

/** A rule for ties that does not depend on which side is base. */
const isAfter = (a: Stroke, b: Stroke): boolean => (a.tick === b.tick ? a.order > b.order : a.tick > b.tick);
