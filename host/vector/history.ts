import { type Acceptance, partsOf } from './acceptance.js';

/** What became of a vector's acceptances between two versions of it. */
export interface HistoryChange {
  /** Those that only the later version has, oldest first. */
  readonly added: readonly Acceptance[];
  /** What is not an addition, in words; empty if the later version continues the earlier one. */
  readonly problems: readonly string[];
}

/** `acceptance 2 (2026-11-25, A. Reviewer)`. */
const nameOf = ({ date, by }: Acceptance, index: number): string => `acceptance ${index + 1} (${date}, ${by})`;

const textOf = (acceptance: Acceptance): string => JSON.stringify(partsOf(acceptance));

function rewritten(before: Acceptance, after: Acceptance, index: number): string {
  const parts = new Map(partsOf(after));
  const changed = partsOf(before).flatMap(([name, text]) => (parts.get(name) === text ? [] : [name]));
  return `${nameOf(before, index)} was rewritten: ${changed.join(', ')}`;
}

/** Whether the later list of acceptances only adds to the earlier one, and what it adds. */
export function compareHistories(earlier: readonly Acceptance[], later: readonly Acceptance[]): HistoryChange {
  const [before, after] = [earlier.map(textOf), later.map(textOf)];
  if (before.every((text, index) => after[index] === text)) return { added: later.slice(earlier.length), problems: [] };
  const added = later.filter((_, index) => !before.includes(after[index] ?? ''));
  const missing = earlier.flatMap((acceptance, index) => (after.includes(before[index] ?? '') ? [] : [{ acceptance, index }]));
  if (missing.length === 0) {
    const kept = after.filter((text) => before.includes(text));
    const isReordered = kept.some((text, index) => text !== before[index]);
    return { added, problems: [isReordered ? 'acceptances were reordered' : 'an acceptance was inserted before older ones'] };
  }
  const problems = missing.map(({ acceptance, index }) => {
    const other = later[index];
    const isReplaced = other !== undefined && !before.includes(after[index] ?? '') && later.length >= earlier.length;
    return isReplaced ? rewritten(acceptance, other, index) : `${nameOf(acceptance, index)} was removed`;
  });
  return { added, problems };
}
