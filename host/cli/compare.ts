import { buildCommand } from '@stricli/core';
import { FAIL_ON } from './fail-on.js';
import { BUILD_FORMS, integer, jsonFlag, lines, option, optional, outputFile, repeated, text, yesFlag } from './flags.js';

export const compareCommand = buildCommand({
  loader: () => import('./run/compare.js'),
  docs: {
    brief: 'Compare two builds: what changed, where it starts, and in which source line',
    customUsage: ['[flags] <base> <head> [<vector>...]'],
    fullDescription: lines(
      `Base and head are each ${BUILD_FORMS}.`,
      'Both run over the same recorded inputs; stored outputs are not needed. Signals are matched by name, so',
      'the builds may have different layouts. Reports for each vector the verdict: same, state differs, outputs',
      'differ, stopped or refused; the first tick, row and signal that differ, in order of evaluation; the',
      "suspected source line; strokes added, removed, earlier and later; and the controller's own estimates of the",
      'metrics. The worst comes first.',
      '',
      'A vector that head has no more, or with other inputs or parameters, also runs as base has it.',
      '',
      "Exit code 0: nothing differs. 1: something differs, or a build refuses a run's parameters or number of rows.",
      '2: bad input. --fail-on restricts what exits with 1:',
      '  stopped     a build stopped at an assertion, or refused a run',
      '  outputs     that, or outputs differ',
      '  unaccepted  a vector differs, in outputs or state, and nobody has accepted what head computes for it; a',
      '              scenario counts only if a build stopped in it',
      '  any         any difference (default)',
    ),
  },
  parameters: {
    positional: {
      kind: 'array',
      parameter: {
        brief: 'Base, head, and then vectors by name or folder (default: all in vectors/cases)',
        parse: text,
        placeholder: 'base head vector',
      },
    },
    flags: {
      scenario: repeated('Also run this scenario, each build in its own closed loop, with metrics of the simulated machine', 'name'),
      seed: optional(integer, "Seed to use instead of the scenarios'", 'number'),
      parameters: option("Parameter file for head, applied over each vector's parameters", 'file'),
      baseParameters: option("Parameter file for base, applied over each vector's parameters", 'file'),
      html: outputFile('Write the review as one self-contained HTML page'),
      junit: outputFile('Write the verdicts as JUnit XML'),
      markdown: outputFile('Write a summary as Markdown for a comment on the change'),
      sarif: outputFile('Write the causes, at their source lines, as a SARIF 2.1.0 log'),
      failOn: { kind: 'enum', values: FAIL_ON, brief: 'What exits with 1 (default: any)', optional: true },
      details: optional(integer, 'Maximum number of differing runs to show in detail (default: 3)', 'count'),
      yes: yesFlag,
      json: jsonFlag,
    },
  },
});
