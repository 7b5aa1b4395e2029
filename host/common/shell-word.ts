/** What needs no quotes in a POSIX shell, wherever it stands. */
const PLAIN = /^[\w@%+=:,./-]+$/;
const CONTROLS = /[\p{Cc}'\\]/gu;

/** Returns a text as one word of a shell, so that a command that is shown can be pasted. Control characters get the quotes of Bash. */
export function shellWord(text: string): string {
  if (PLAIN.test(text)) return text;
  if (!/\p{Cc}/u.test(text)) return `'${text.replaceAll("'", "'\\''")}'`;
  return `$'${text.replace(CONTROLS, (character) => `\\x${character.charCodeAt(0).toString(16).padStart(2, '0')}`)}'`;
}
