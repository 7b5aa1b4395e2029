import { InputError } from './input-error.js';

const UTF16_MARKS = [
  [0xff, 0xfe],
  [0xfe, 0xff],
];
const LINE_FEED = 0x0a;

/** Whether these bytes, of which more may follow, can be UTF-8. */
function isUtf8(bytes: Uint8Array): boolean {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes, { stream: true });
    return true;
  } catch {
    return false;
  }
}

/** Number of bytes before the first one that is not UTF-8; all of them if each one is. */
function validBytes(bytes: Uint8Array): number {
  let [valid, invalid] = [0, bytes.length + 1];
  while (invalid - valid > 1) {
    const middle = Math.floor((valid + invalid) / 2);
    if (isUtf8(bytes.subarray(0, middle))) valid = middle;
    else invalid = middle;
  }
  return valid;
}

/**
 * Returns the error about bytes of a text that are not UTF-8, at the first one.
 * @param firstLine line in which the bytes start
 */
export function encodingError(file: string, bytes: Uint8Array, firstLine = 1): InputError {
  const isUtf16 = firstLine === 1 && UTF16_MARKS.some((mark) => mark.every((byte, index) => bytes[index] === byte));
  const hint = 'Save it as UTF-8';
  if (isUtf16) return new InputError({ file, line: 1, column: 1, problem: 'the text is UTF-16', hint });
  const before = bytes.subarray(0, validBytes(bytes));
  const lineStart = before.lastIndexOf(LINE_FEED) + 1;
  const line = firstLine + before.reduce((count, byte) => count + Number(byte === LINE_FEED), 0);
  const column = new TextDecoder().decode(before.subarray(lineStart)).length + 1;
  return new InputError({ file, line, column, problem: 'this character is not UTF-8', hint });
}

/** Returns a file's bytes as text, without a byte order mark. @throws InputError at the first character that is not UTF-8 */
export function decodeText(bytes: Uint8Array, file: string): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw encodingError(file, bytes);
  }
}

/**
 * Checks that a text has no unresolved merge. Its markers stand at the start of a line, where neither YAML nor a table has them.
 * @param firstLine line in which the text starts
 * @throws InputError at the first marker
 */
export function checkMerged(text: string, file: string, firstLine = 1): void {
  const [marker] = /^(<{7}|>{7}|\|{7}) .*$/m.exec(text) ?? [];
  if (marker === undefined) return;
  const line = firstLine + text.slice(0, text.indexOf(marker)).split('\n').length - 1;
  const hint = 'Keep one side and remove the markers';
  throw new InputError({ file, line, column: 1, problem: `a merge conflict is not resolved: ${marker.slice(0, 7)}`, hint });
}
