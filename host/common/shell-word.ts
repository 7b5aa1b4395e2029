/** A text as one word of a POSIX shell, so that a command that is printed can be pasted. */
export const shellWord = (text: string): string => (/^[\w./:@%+=,-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`);
