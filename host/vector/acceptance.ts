import { sha256 } from '../common/hash.js';
import type { YamlFile } from '../common/yaml-file.js';
import { changedSignals } from './expected.js';

/** Who accepted the outputs, when and why. The last one counts; those before are history. */
export interface Acceptance {
  readonly date: string;
  readonly by: string;
  /** Name and address that git was set up with; undefined if it was not. */
  readonly committer?: string | undefined;
  readonly reason: string;
  /** Signals that changed, or `all` for the first one. */
  readonly signals: readonly string[];
  /** `chainDigest` of the acceptance before it, and so a digest of all before it; the first one has none. */
  readonly previous?: string | undefined;
  /** SHA-256 of expected.csv. */
  readonly hash: string;
  /** First 16 digits of the SHA-256 of each signal's lines: they show which signals an acceptance has changed. */
  readonly digests?: Readonly<Record<string, string>>;
}

/** In a first acceptance, instead of a list of all signals. */
export const ALL_SIGNALS = 'all';

export const TEXT = { type: 'string', pattern: '\\S', title: 'non-empty text', maxLength: 2000 } as const;
const DATE = { type: 'string', format: 'date', title: 'a date as YYYY-MM-DD' } as const;
const hexDigits = (digits: number): object => ({
  type: 'string',
  pattern: `^[0-9a-f]{${digits}}$`,
  title: `${digits} hexadecimal digits`,
});

/** JSON Schema of the list of acceptances. */
export const ACCEPTANCES_SCHEMA = {
  type: 'array',
  items: {
    title: 'an acceptance',
    type: 'object',
    required: ['date', 'by', 'reason', 'signals', 'hash'],
    additionalProperties: false,
    properties: {
      date: DATE,
      by: TEXT,
      committer: TEXT,
      reason: TEXT,
      signals: { type: 'array', minItems: 1, items: TEXT },
      previous: hexDigits(64),
      hash: hexDigits(64),
      digests: { type: 'object', additionalProperties: hexDigits(16) },
    },
  },
} as const;

/** The parts of an acceptance as texts, whatever the order in the file. */
export function partsOf({ date, by, committer, reason, signals, hash, digests = {} }: Acceptance): [name: string, text: string][] {
  const sorted = Object.entries(digests).sort(([a], [b]) => (a < b ? -1 : 1));
  const parts = { date, by, committer, reason, signals, hash, digests: sorted };
  return Object.entries(parts).map(([name, part]) => [name, JSON.stringify(part) ?? '']);
}

/** SHA-256 over an acceptance, and through `previous` over all before it. */
export const chainDigest = (acceptance: Acceptance): string => sha256(JSON.stringify([...partsOf(acceptance), acceptance.previous ?? '']));

type WithAcceptances = YamlFile<{ readonly acceptances?: readonly Acceptance[] }>;

/** Checks that each acceptance names every signal whose accepted lines it changed. @throws InputError at a list that omits one */
function checkCovered(read: WithAcceptances): void {
  const acceptances = read.value.acceptances ?? [];
  for (const [index, { signals, digests }] of acceptances.entries()) {
    const before = acceptances[index - 1]?.digests;
    if (before === undefined) continue;
    const covered = digests === undefined ? [] : changedSignals(before, digests);
    const missing = covered.filter((name) => !signals.includes(name));
    if (digests !== undefined && missing.length === 0 && !signals.includes(ALL_SIGNALS)) continue;
    const problem =
      digests === undefined
        ? 'this acceptance has no digests'
        : `this acceptance changed ${covered.join(', ')}, but does not name them all`;
    throw read.errorAt(['acceptances', index, 'signals'], { problem, hint: 'Write acceptances with `latchbench accept`' });
  }
}

/** Checks that each acceptance has the digest of those before it. @throws InputError at one that has not */
function checkChain(read: WithAcceptances): void {
  const acceptances = read.value.acceptances ?? [];
  for (const [index, { previous }] of acceptances.entries()) {
    const before = acceptances[index - 1];
    if (previous === (before === undefined ? undefined : chainDigest(before))) continue;
    const problem =
      previous === undefined
        ? 'this acceptance has no digest of those before it'
        : 'the acceptances before this one are not those that it was added to';
    const hint = 'Restore them as they were committed; write acceptances with `latchbench accept`';
    throw read.errorAt(['acceptances', index, 'previous'], { problem, hint });
  }
}

/** Checks that acceptances form a history to which was only added. @throws InputError with line and column */
export function checkHistory(read: WithAcceptances): void {
  checkCovered(read);
  checkChain(read);
}
