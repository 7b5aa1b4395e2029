import { abbreviated } from '../../common/hash.js';
import { startDate } from '../../recording/format.js';
import type { Recording } from '../../recording/reader.js';
import type { VectorCase } from '../../vector/vector.js';

const listed = (entries: [string, unknown][]): string => entries.map(([name, value]) => `${name} ${String(value)}`).join(', ');

/** Describes a vector: title, why, origin and last acceptance. */
export function describeVector(vector: VectorCase): string {
  const last = vector.acceptances?.at(-1);
  return [
    vector.title,
    `  ${vector.why}`,
    `  ${vector.origin}`,
    `  ${last === undefined ? 'not accepted yet' : `accepted ${last.date} by ${last.by}: ${last.reason} (signals: ${last.signals.join(', ')})`}`,
    '',
  ].join('\n');
}

const SHA_256 = /\b[0-9a-f]{64}\b/g;

/** Describes a recording by its metadata. */
export function describeRecording(recording: Recording): string {
  const { file, about, counts, contractHash, version } = recording;
  const start = startDate(recording.startNs);
  return [
    about.title ?? file,
    ...Object.entries(about)
      .filter(([name]) => name !== 'title')
      .map(([name, value]) => `  ${name}: ${value.replace(SHA_256, abbreviated)}`),
    ...(start === undefined ? [] : [`  starts: ${start}`]),
    `  messages: ${listed(Object.entries(counts))}; written by version ${version}, contract ${abbreviated(contractHash)}`,
    '',
  ].join('\n');
}
