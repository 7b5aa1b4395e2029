/**
 * The result of running one vector or scenario on two sides: base and head of a review, accepted outputs and a build, or the
 * WebAssembly and a chip. Worst first.
 *
 * - stopped: an assertion of the controller failed.
 * - refused: a side refused the parameters or the number of rows, so nothing ran.
 * - outputsDiffer: an output to the machine differs.
 * - timingDiffers: outputs differ, but only in the ticks of strokes; none is added or removed, and modes and faults are the same.
 * - stateDiffers: outputs are equal; a probe or internal state differs.
 * - same: nothing differs.
 */
export const VERDICTS = ['stopped', 'refused', 'outputsDiffer', 'timingDiffers', 'stateDiffers', 'same'] as const;
export type Verdict = (typeof VERDICTS)[number];

export const VERDICT_TEXT: Readonly<Record<Verdict, string>> = {
  stopped: 'stopped',
  refused: 'refused',
  outputsDiffer: 'outputs differ',
  timingDiffers: 'only timing differs',
  stateDiffers: 'state differs',
  same: 'same',
};

/** As it follows a number: `2 with different outputs`. */
const COUNTED_TEXT: Readonly<Record<Verdict, string>> = {
  ...VERDICT_TEXT,
  outputsDiffer: 'with different outputs',
  timingDiffers: 'with different timing only',
  stateDiffers: 'with different state',
};

export type VerdictCounts = Readonly<Record<Verdict, number>>;

export function countVerdicts(results: Iterable<{ readonly verdict: Verdict }>): VerdictCounts {
  const counts = { same: 0, stateDiffers: 0, timingDiffers: 0, outputsDiffer: 0, stopped: 0, refused: 0 };
  for (const { verdict } of results) counts[verdict] += 1;
  return counts;
}

/**
 * `1 stopped, 3 with different outputs, 12 same`, worst first; verdicts that nothing has are left out.
 * @param paint colours the part of a verdict
 */
export const verdictCountsText = (counts: VerdictCounts, paint: (verdict: Verdict, text: string) => string = (_, text) => text): string =>
  VERDICTS.filter((verdict) => counts[verdict] > 0)
    .map((verdict) => paint(verdict, `${counts[verdict]} ${COUNTED_TEXT[verdict]}`))
    .join(', ');
