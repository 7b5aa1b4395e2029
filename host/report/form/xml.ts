const ESCAPES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&apos;' };

/** Text as it may stand in an XML attribute or element. */
export const escapeXml = (text: string): string => text.replace(/[&<>"']/g, (character) => ESCAPES[character] ?? character);
