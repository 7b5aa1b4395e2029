import type { Recording } from '../../recording/reader.js';
import type { VectorCase } from '../../vector/case.js';

const listed = (entries: [string, unknown][]): string => entries.map(([name, value]) => `${name} ${String(value)}`).join(', ');

/** What a person should know of a vector. */
export function describeCase(one: VectorCase): string {
  const last = one.acceptances?.at(-1);
  const parameters = Object.entries(one.parameters ?? {});
  return [
    one.title,
    `  ${one.why}`,
    `  ${one.origin}`,
    `  ${last === undefined ? 'not accepted yet' : `accepted ${last.date} by ${last.by}: ${last.reason} (${last.signals.join(', ')})`}`,
    ...(parameters.length === 0 ? [] : [`  parameters: ${listed(parameters)}`]),
    '',
  ].join('\n');
}

/** What a recording says of itself. */
export function describeRecording(recording: Recording): string {
  const { file, about, counts, contractHash, version } = recording;
  return [
    about.title ?? file,
    ...Object.entries(about)
      .filter(([name]) => name !== 'title')
      .map(([name, value]) => `  ${name}: ${value}`),
    `  messages: ${listed(Object.entries(counts))}; written by version ${version}, contract ${contractHash}`,
    '',
  ].join('\n');
}
