import type { Location, Log, Result } from 'sarif';
import { shortHash } from '../../common/hash.js';
import { strokesText } from '../../replay/strokes.js';
import { VERDICT_TEXT, VERDICTS, type Verdict } from '../../replay/verdict.js';
import type { Cause, ChangedLines, Review, RunReview, SourceLine } from '../../review/review.js';
import { counted } from '../form/text-table.js';
import { atTick, divergenceText, refusalsOf, runName, sideName, suggestionLines, suspectedLines, VERDICT_HELP } from './phrases.js';

/*
 * Static Analysis Results Interchange Format (SARIF) Version 2.1.0, OASIS Standard, 27 March 2020: a log with one run, a rule for each
 * verdict, and a result for each cause, at its line. A run without a cause, such as one that a build refuses, is a result at its
 * accepted outputs: services reject a log that has a result without a location.
 */

/** A verdict on runs, or what is wrong with a vector of head. */
type Rule = Exclude<Verdict, 'same'> | 'invalidVector';

const LEVELS = {
  stateDiffers: 'note',
  timingDiffers: 'warning',
  outputsDiffer: 'warning',
  stopped: 'error',
  refused: 'error',
  invalidVector: 'error',
} as const satisfies Record<Rule, string>;
const RULES = Object.keys(LEVELS) as Rule[];

const ruleTexts = (id: Rule): readonly [short: string, full: string] =>
  id === 'invalidVector'
    ? ['invalid vector', 'the history of its acceptances was changed, or its outputs are not accepted']
    : [VERDICT_TEXT[id], VERDICT_HELP[id]];

/** Runs that a message names. */
const RUNS_NAMED = 5;

/** A place in a file of the project. */
const place = (file: string, region: NonNullable<Location['physicalLocation']>['region']): Location => ({
  physicalLocation: { artifactLocation: { uri: uriOf(file), uriBaseId: 'SRCROOT' }, region },
});

const uriOf = (path: string): string => path.split('/').map(encodeURIComponent).join('/');

/** A location with the project's folder in the repository before its path. */
const below = (folder: string, { physicalLocation, ...rest }: Location): Location => ({
  ...rest,
  physicalLocation: {
    ...physicalLocation,
    artifactLocation: {
      ...physicalLocation?.artifactLocation,
      uri: `${uriOf(folder)}${physicalLocation?.artifactLocation?.uri ?? ''}`,
    },
  },
});

const location = ({ file, line, column, text }: SourceLine): Location =>
  place(file, { startLine: line, startColumn: column, snippet: { text } });

/** Where a run's inputs are: a location for what has no line in the controller. */
const runLocation = ({ kind, name }: RunReview): Location =>
  place(kind === 'vector' ? `vectors/cases/${name}/expected.csv` : `vectors/scenarios/${name}.yaml`, { startLine: 1 });

/** `3 runs: a, b, c`. */
function runsText(runs: readonly RunReview[]): string {
  const more = runs.length - RUNS_NAMED;
  return `${counted(runs.length, 'run')}: ${runs.slice(0, RUNS_NAMED).map(runName).join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
}

function runMessage(run: RunReview): string {
  const { first, firstOutput, strokes, tickHz } = run;
  const parts = [
    first === undefined ? '' : `first difference ${atTick(first.tick, tickHz)}: ${divergenceText(first)}`,
    firstOutput === undefined ? '' : `first output difference ${atTick(firstOutput.tick, tickHz)}: ${divergenceText(firstOutput)}`,
    strokesText(strokes, tickHz),
    ...refusalsOf(run),
  ];
  return [`${runName(run)}: ${VERDICT_TEXT[run.verdict]}`, ...parts].filter(Boolean).join('; ');
}

/** What a cause changes, for a reader who sees its line: how the line was, why it is suspected, and in which runs. */
function causeMessage({ first, parameter, run }: Cause, runs: readonly RunReview[], smallest: RunReview | undefined): string {
  const { suspectedLine, baseLine, removedLine, reason } = first;
  const old = removedLine ?? (baseLine?.text.trim() === suspectedLine?.text.trim() ? undefined : baseLine);
  const parts = [
    runsText(runs),
    parameter === undefined ? '' : `parameter ${parameter}`,
    old === undefined ? '' : `${removedLine === undefined ? 'was' : 'removed here'}: ${old.text.trim()} (${old.file}:${old.line} of base)`,
    suspectedLine === undefined ? suspectedLines(first).join('; ') : `reason: ${reason}`,
    smallest === undefined ? `run ${run}` : runMessage(smallest),
  ];
  return parts.filter(Boolean).join('; ');
}

const worstVerdict = (runs: readonly RunReview[]): Verdict =>
  VERDICTS.find((verdict) => runs.some((run) => run.verdict === verdict)) ?? 'same';

function result(
  verdict: Rule | 'same',
  text: string,
  locations: readonly Location[],
  related: readonly SourceLine[],
  key: string,
): Result[] {
  if (verdict === 'same') return [];
  return [
    {
      ...{ ruleId: verdict, ruleIndex: RULES.indexOf(verdict), level: LEVELS[verdict], message: { text } },
      locations: [...locations],
      ...(related.length === 0 ? {} : { relatedLocations: related.map((line, index) => ({ id: index + 1, ...location(line) })) }),
      partialFingerprints: { 'cause/v1': shortHash(key) },
    },
  ];
}

/** The result of a cause. It is known again by its text, since the numbers of lines and runs change. */
function causeResult(cause: Cause, review: Review): Result[] {
  const runs = cause.runs.flatMap((index) => review.runs[index] ?? []);
  const smallest = review.runs[cause.run];
  const { suspectedLine, via, signal } = cause.first;
  const here = suspectedLine === undefined ? runs.slice(0, 1).map(runLocation) : [location(suspectedLine)];
  const key = suspectedLine === undefined ? `${cause.parameter ?? ''} ${signal}` : `${suspectedLine.file} ${suspectedLine.text.trim()}`;
  return result(worstVerdict(runs), causeMessage(cause, runs, smallest), here, via === undefined ? [] : [via], key);
}

/** Edits that no run shows, at their lines, if inputs were found that do. */
function suggestionResults(review: Review): Result[] {
  const { found, edits } = review.suggestion ?? { edits: [] };
  const [first, ...others] = edits.flatMap(({ lines }) => lines);
  if (found === undefined || first === undefined) return [];
  const at = ({ file, head }: ChangedLines): Location => place(file, { startLine: Math.max(1, head.from) });
  const text = `no run shows it, but ${suggestionLines(review).join('; ')}`;
  return result(found.verdict, text, [at(first), ...others.map(at)], [], `suggestion ${found.difference}`);
}

const vectorResults = ({ vectors = [] }: Review): Result[] =>
  vectors.flatMap(({ name, problems }) =>
    problems.flatMap((problem) =>
      result(
        'invalidVector',
        `${name}: ${problem}`,
        [place(`vectors/cases/${name}/case.yaml`, { startLine: 1 })],
        [],
        `${name} ${problem}`,
      ),
    ),
  );

/**
 * A review as a SARIF log, for tools that show such logs beside the source.
 * @param folder of the project in its repository, with a slash at its end: services look for paths from the top of the repository
 */
export function reviewSarif(review: Review, folder = ''): string {
  const { base, head, tool, runs, causes } = review;
  const caused = new Set(causes.flatMap((cause) => cause.runs));
  const others = runs.filter((_, index) => !caused.has(index));
  const log: Log = {
    $schema: 'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json',
    version: '2.1.0',
    runs: [
      {
        tool: {
          driver: {
            name: 'latchbench',
            version: tool,
            rules: RULES.map((id) => {
              const [text, full] = ruleTexts(id);
              return { id, shortDescription: { text }, fullDescription: { text: full } };
            }),
          },
        },
        originalUriBaseIds: { SRCROOT: { description: { text: 'The top of the repository; outside one, the folder of package.json' } } },
        columnKind: 'utf16CodeUnits',
        properties: { base: sideName(base), head: sideName(head), baseSourceHash: base.sourceHash, headSourceHash: head.sourceHash },
        results: [
          ...causes.flatMap((cause) => causeResult(cause, review)),
          ...others.flatMap((run) => result(run.verdict, runMessage(run), [runLocation(run)], [], runName(run))),
          ...suggestionResults(review),
          ...vectorResults(review),
        ].map(({ locations = [], relatedLocations, ...rest }) => ({
          ...rest,
          locations: locations.map((one) => below(folder, one)),
          ...(relatedLocations && { relatedLocations: relatedLocations.map((one) => below(folder, one)) }),
        })),
      },
    ],
  };
  return `${JSON.stringify(log, null, 2)}\n`;
}
