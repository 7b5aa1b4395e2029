/** A number may be this long, in characters: a double has at most 24, but programs print more digits than it needs. */
export const NUMBER_LENGTH_MAX = 100;

/** Source of a regular expression. Each text can match in one way only, so that no text takes long. */
export const NUMBER = '[-+]?(?:\\d+(?:\\.\\d*)?|\\.\\d+)(?:e[-+]?\\d+)?';
const PLAIN_NUMBER = new RegExp(`^${NUMBER}$`, 'i');

/** Parses a finite decimal number, with or without spaces around it; returns undefined for any other text. */
export function parseNumber(text: string): number | undefined {
  if (text.length > NUMBER_LENGTH_MAX) return undefined;
  const trimmed = text.trim();
  const value = Number(trimmed);
  return PLAIN_NUMBER.test(trimmed) && Number.isFinite(value) ? value : undefined;
}
