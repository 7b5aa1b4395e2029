/** What needs no quotes in a POSIX shell, wherever it stands. */
const PLAIN = /^[\w@%+=:,./-]+$/;
const CONTROLS = /[\p{Cc}'\\]/gu;

/** A character by its bytes: other forms depend on the locale. */
const bytesOf = (character: string): string =>
  [...Buffer.from(character)].map((byte) => `\\x${byte.toString(16).padStart(2, '0')}`).join('');

/** Returns a text as one word of a shell, so that a command that is shown can be pasted. Control characters get the quotes of Bash. */
export function shellWord(text: string): string {
  if (PLAIN.test(text)) return text;
  if (!/\p{Cc}/u.test(text)) return `'${text.replaceAll("'", "'\\''")}'`;
  return `$'${text.replace(CONTROLS, bytesOf)}'`;
}
