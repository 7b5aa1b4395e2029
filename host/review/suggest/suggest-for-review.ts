import { sourcesOf } from '../build-sources.js';
import { type Edit, editsBetween } from '../causes/edits.js';
import { headWith } from '../causes/put-back.js';
import type { Review, SuggestedInputs } from '../review.js';
import { compileBuild } from '../review-engine.js';
import type { Sides } from '../review-task.js';
import { interestOf } from './interest.js';
import { type Found, type SuggestInput, suggest } from './suggest.js';

export interface SearchResult extends Found {
  /** Edits that no run of the review shows an effect of: what was looked for. */
  readonly edits: readonly Edit[];
  /** With what head was compared. */
  readonly against: SuggestedInputs['against'];
}

/** The edits that are in no cause of a review. */
function unshown(edits: readonly Edit[], { causes }: Review): Edit[] {
  const shown = new Set(causes.flatMap((cause) => cause.edits.map((lines) => JSON.stringify(lines))));
  return edits.filter(({ lines }) => lines.some((one) => !shown.has(JSON.stringify(one))));
}

/**
 * Looks for inputs that show the edits of which no run of a review shows an effect: head is compared with head without them.
 * @returns a reason if there is nothing to look for
 * @throws InputError with the compiler's messages if head without them does not compile
 */
export async function suggestForReview(
  review: Review,
  sides: Sides,
  input: Omit<SuggestInput, 'builds' | 'interest'>,
  onTry?: (share: number) => void,
): Promise<SearchResult | string> {
  const [base, head] = [await sourcesOf(sides.base.build), await sourcesOf(sides.head.build)];
  if (typeof base === 'string') return base;
  if (typeof head === 'string') return head;
  const edits = unshown(editsBetween(base.sources, head.sources), review);
  if (edits.length === 0) return 'each edit of the sources has an effect in some run';
  const back = edits.map((edit) => ({ edit }));
  const isBase = review.causes.length === 0;
  const without = isBase ? sides.base : await headWith(back, sides, { base, head }, (from) => compileBuild(from, 'quick'));
  const builds = { base: (without ?? sides.base).build, head: sides.head.build };
  const interest = interestOf(edits, base.sources, head.sources);
  const against = isBase || without === undefined ? 'base' : 'head without these edits';
  return { ...suggest({ ...input, builds, interest }, onTry), edits, against };
}
