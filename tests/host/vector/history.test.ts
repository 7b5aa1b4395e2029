import { describe, expect, it } from 'vitest';
import type { Acceptance } from '../../../host/vector/acceptance.js';
import { compareHistories } from '../../../host/vector/history.js';

const acceptance = (by: string, more: Partial<Acceptance> = {}): Acceptance => ({
  date: '2026-01-02',
  by,
  reason: `Reason of ${by}`,
  signals: ['all'],
  hash: '0'.repeat(64),
  digests: { mode: '1'.repeat(16), supplyOrder: '2'.repeat(16) },
  ...more,
});
const [a, b, c] = ['A', 'B', 'C'].map((by) => acceptance(by)) as [Acceptance, Acceptance, Acceptance];

describe('two histories of acceptances', () => {
  it.each<[string, Acceptance[], Acceptance[], Acceptance[], string[]]>([
    ['the same', [a, b], [a, b], [], []],
    ['one more', [a], [a, b], [b], []],
    ['the first', [], [a], [a], []],
    ['digests in another order', [a], [acceptance('A', { digests: { supplyOrder: '2'.repeat(16), mode: '1'.repeat(16) } })], [], []],
    ['chained since', [a, b], [a, { ...b, previous: '3'.repeat(64) }], [], []],
    ['one removed', [a, b, c], [a, c], [], ['acceptance 2 (2026-01-02, B) was removed']],
    ['all removed', [a], [], [], ['acceptance 1 (2026-01-02, A) was removed']],
    ['another order', [a, b], [b, a], [], ['acceptances were reordered']],
    ['one inserted', [a, b], [a, c, b], [c], ['an acceptance was inserted before older ones']],
  ])('%s', (_, earlier, later, added, problems) => {
    expect(compareHistories(earlier, later)).toEqual({ added, problems });
  });

  it('names what was rewritten, even if another acceptance follows', () => {
    const folded = acceptance('B', { hash: 'f'.repeat(64), reason: 'Another' });
    expect(compareHistories([a, b], [a, folded, c]).problems).toEqual(['acceptance 2 (2026-01-02, B) was rewritten: reason, hash']);
  });
});
