import fc from 'fast-check';

/** Bytes that mean something to one of the readers: of YAML, CSV, JSON and numbers, ends of text, and the largest numbers. */
const TOKENS: readonly (readonly number[])[] = [
  ...[
    '"',
    "'",
    '\n',
    '\r',
    '\t',
    ': ',
    '- ',
    '? ',
    '[',
    '{',
    ']',
    '}',
    ',',
    '#',
    '&a ',
    '*a',
    '!x ',
    '|\n',
    '>\n',
    '---\n',
    '%',
    '\\',
    '1e999',
    '-',
    '.',
    '__proto__',
    'NaN',
    'null',
    '~',
    '\u001b',
    '\u202e',
    '\ufeff',
  ].map((text) => [...Buffer.from(text)]),
  [0],
  [0xff],
  [0x80],
  [0xff, 0xff, 0xff, 0xff],
  [0xff, 0xff, 0xff, 0x7f],
  [0, 0, 0, 0, 0, 0, 0, 0],
  [0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff],
];

type Edit = (bytes: Buffer) => Buffer;

const splice = (bytes: Buffer, at: number, removed: number, added: Uint8Array): Buffer =>
  Buffer.concat([bytes.subarray(0, at), added, bytes.subarray(at + removed)]);

const place = (share: number, bytes: Buffer): number => Math.floor(share * bytes.length);
const share = fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true });
const length = fc.integer({ min: 1, max: 40 });

const edit: fc.Arbitrary<Edit> = fc.oneof(
  fc.tuple(share, fc.nat(7)).map(
    ([at, bit]): Edit =>
      (bytes) => {
        const changed = Buffer.from(bytes);
        const index = place(at, bytes);
        changed[index] = (changed[index] ?? 0) ^ (1 << bit);
        return changed;
      },
  ),
  fc.tuple(share, fc.constantFrom(...TOKENS), fc.boolean()).map(
    ([at, token, isReplaced]): Edit =>
      (bytes) =>
        splice(bytes, place(at, bytes), isReplaced ? token.length : 0, Uint8Array.from(token)),
  ),
  fc.tuple(share, length).map(
    ([at, removed]): Edit =>
      (bytes) =>
        splice(bytes, place(at, bytes), removed, Buffer.alloc(0)),
  ),
  fc.tuple(share, share, length).map(
    ([from, to, count]): Edit =>
      (bytes) =>
        splice(bytes, place(to, bytes), 0, bytes.subarray(place(from, bytes), place(from, bytes) + count)),
  ),
  share.map(
    (at): Edit =>
      (bytes) =>
        bytes.subarray(0, place(at, bytes)),
  ),
);

/** Copies of some bytes with one to three changes. */
export const mutations = (bytes: Uint8Array): fc.Arbitrary<Buffer> =>
  fc.array(edit, { minLength: 1, maxLength: 3 }).map((edits) => edits.reduce<Buffer>((changed, one) => one(changed), Buffer.from(bytes)));
