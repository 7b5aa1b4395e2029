import type { Location, Log, Result } from 'sarif';
import { strokesText } from '../../replay/strokes.js';
import { VERDICT_TEXT, type Verdict } from '../../replay/verdict.js';
import type { Review, RunReview, SourceLine } from '../../review/review.js';
import { atTick, divergenceText, refusalsOf, runName, sideName, VERDICT_HELP } from './phrases.js';

/*
 * Static Analysis Results Interchange Format (SARIF) Version 2.1.0, OASIS Standard, 27 March 2020: a log with one run, a rule for
 * each verdict, and a result for each run that differs, at the suspected line.
 */

type Differing = Exclude<Verdict, 'same'>;

const LEVELS = { stateDiffers: 'note', outputsDiffer: 'warning', stopped: 'error', refused: 'error' } as const satisfies Record<
  Differing,
  string
>;
const RULES = Object.keys(LEVELS) as Differing[];

const location = ({ file, line, column, text }: SourceLine): Location => ({
  physicalLocation: {
    // Relative to the project, whose place the reader of the log knows.
    artifactLocation: { uri: file, uriBaseId: 'PROJECTROOT' },
    region: { startLine: line, startColumn: column, snippet: { text } },
  },
});

function message(run: RunReview): string {
  const { verdict, first, firstOutput, strokes, tickHz } = run;
  const parts = [
    `${runName(run)}: ${VERDICT_TEXT[verdict]}`,
    first === undefined ? '' : `first difference ${atTick(first.tick, tickHz)}: ${divergenceText(first)}`,
    firstOutput === undefined ? '' : `first output difference ${atTick(firstOutput.tick, tickHz)}: ${divergenceText(firstOutput)}`,
    strokesText(strokes, tickHz),
    ...refusalsOf(run),
  ];
  return parts.filter(Boolean).join('; ');
}

function result(run: RunReview): Result[] {
  const { verdict, first } = run;
  if (verdict === 'same') return [];
  return [
    {
      ruleId: verdict,
      ruleIndex: RULES.indexOf(verdict),
      level: LEVELS[verdict],
      message: { text: message(run) },
      locations: first?.suspectedLine === undefined ? [] : [location(first.suspectedLine)],
      ...(first?.via === undefined ? {} : { relatedLocations: [{ id: 1, ...location(first.via) }] }),
      partialFingerprints: { 'vector/v1': runName(run) },
    },
  ];
}

/** A review as a SARIF log, for tools that show such logs beside the source. */
export function reviewSarif({ base, head, tool, runs }: Review): string {
  const log: Log = {
    $schema: 'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json',
    version: '2.1.0',
    runs: [
      {
        tool: {
          driver: {
            name: 'latchbench',
            version: tool,
            rules: RULES.map((id) => ({ id, shortDescription: { text: VERDICT_TEXT[id] }, fullDescription: { text: VERDICT_HELP[id] } })),
          },
        },
        originalUriBaseIds: { PROJECTROOT: { description: { text: 'The folder of package.json' } } },
        columnKind: 'utf16CodeUnits',
        properties: { base: sideName(base), head: sideName(head), baseSourceHash: base.sourceHash, headSourceHash: head.sourceHash },
        results: runs.flatMap(result),
      },
    ],
  };
  return `${JSON.stringify(log, null, 2)}\n`;
}
