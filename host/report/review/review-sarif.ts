import type { Location, Log, Result } from 'sarif';
import type { Review, ReviewVerdict, RunReview, SourceLine } from '../../review/review.js';
import { partingText, refusalsOf, sideName, strokesText, VERDICT_WORDS, whenText } from './review-text.js';

/*
 * Static Analysis Results Interchange Format (SARIF) Version 2.1.0, OASIS Standard, 27 March 2020: a log with one run, a rule for
 * each verdict, a result for each vector that differs, at the source line that is believed to make it differ.
 */

type Differing = Exclude<ReviewVerdict, 'same'>;

const LEVELS = { inner: 'note', outputs: 'warning', stopped: 'error', refused: 'error' } as const satisfies Record<Differing, string>;

const RULES: readonly { readonly id: Differing; readonly help: string }[] = [
  { id: 'inner', help: 'Values in between or in the state differ; no output does.' },
  { id: 'outputs', help: 'What the machine is told differs.' },
  { id: 'stopped', help: 'An assertion of the controller failed on one side.' },
  { id: 'refused', help: 'A side does not take the run’s parameters or rows: nothing was compared.' },
];

const location = ({ file, line, column, text }: SourceLine): Location => ({
  physicalLocation: {
    // Relative to the project's folder, which the reader of the log knows.
    artifactLocation: { uri: file, uriBaseId: 'PROJECTROOT' },
    region: { startLine: line, startColumn: column, snippet: { text } },
  },
});

function message(run: RunReview): string {
  const { name, verdict, first, firstOutput, strokes, tickHz } = run;
  const parts = [
    `${name}: ${VERDICT_WORDS[verdict]}`,
    first === undefined ? '' : `parts at ${whenText(first.tick, tickHz)}, ${partingText(first)}`,
    firstOutput === undefined ? '' : `first output at ${whenText(firstOutput.tick, tickHz)}, ${partingText(firstOutput)}`,
    strokesText(strokes, tickHz),
    ...refusalsOf(run),
  ];
  return parts.filter(Boolean).join('; ');
}

function result(run: RunReview): Result[] {
  const { verdict, first, name } = run;
  if (verdict === 'same') return [];
  const { line, via } = first ?? {};
  return [
    {
      ruleId: verdict,
      ruleIndex: RULES.findIndex(({ id }) => id === verdict),
      level: LEVELS[verdict],
      message: { text: message(run) },
      locations: line === undefined ? [] : [location(line)],
      ...(via === undefined ? {} : { relatedLocations: [{ id: 1, ...location(via) }] }),
      partialFingerprints: { 'vector/v1': name },
    },
  ];
}

/** A review as a SARIF log, for whatever shows such logs beside the source. */
export function reviewSarif(review: Review): string {
  const { old, new: fresh, tool, runs } = review;
  const log: Log = {
    $schema: 'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json',
    version: '2.1.0',
    runs: [
      {
        tool: {
          driver: {
            name: 'latchbench',
            version: tool,
            rules: RULES.map(({ id, help }) => ({ id, shortDescription: { text: VERDICT_WORDS[id] }, fullDescription: { text: help } })),
          },
        },
        originalUriBaseIds: { PROJECTROOT: { description: { text: 'The folder that package.json lies in' } } },
        columnKind: 'utf16CodeUnits',
        properties: { old: sideName(old), new: sideName(fresh), oldSourceHash: old.sourceHash, newSourceHash: fresh.sourceHash },
        results: runs.flatMap(result),
      },
    ],
  };
  return `${JSON.stringify(log, null, 2)}\n`;
}
