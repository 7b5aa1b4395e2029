import { randomInt } from 'node:crypto';

/*
 * Marks in text for people: colours and borders of table columns. They are resolved where the text is printed, which alone knows the
 * terminal. They look like codes of a terminal and take no room.
 */

/** Numbers in our marks that nobody knows before: text from a file can't pass for one of them. */
const SECRET = Array.from({ length: 3 }, () => randomInt(1000, 10_000)).join(';');
// Built from the code point, so that the source has no control character.
export const START = `${String.fromCharCode(27)}[`;
const PATTERN = `${START.replace('[', '\\[')}(\\d+);${SECRET}m`;

export const mark = (code: number): string => `${START}${code};${SECRET}m`;

/** Splits text at its marks: every second part is the code of one. */
export const splitAtMarks = (text: string): string[] => text.split(new RegExp(PATTERN, 'g'));

const OURS = new RegExp(PATTERN, 'g');

/** Width of text in characters, without its marks. */
export const widthOf = (text: string): number => [...text.replace(OURS, '')].length;

export const hasMark = (text: string): boolean => text.search(OURS) >= 0;
