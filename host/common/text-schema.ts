/** JSON Schema of text for people. */
export const TEXT = { type: 'string', minLength: 1, maxLength: 2000 } as const;

/** The same on one line: a title with more could look like other output of a command. */
export const LINE = { ...TEXT, pattern: '^[^\\n]+$', title: 'text on one line' } as const;
