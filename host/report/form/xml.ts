const ESCAPES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&apos;' };

/** Escapes text for an XML attribute or element. */
export const escapeXml = (text: string): string => text.replace(/[&<>"']/g, (character) => ESCAPES[character] ?? character);
