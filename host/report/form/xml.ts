import { showControls } from '../../common/control-characters.js';

const ESCAPES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&apos;' };

/** What XML 1.0 does not allow even escaped (§2.2, Char), beside control characters: halves of surrogate pairs and two noncharacters. */
const FORBIDDEN = /[\p{Surrogate}\uFFFE\uFFFF]/gu;

/** Escapes text for an XML attribute or element. Control characters become visible, others that XML forbids become U+FFFD. */
export const escapeXml = (text: string): string =>
  showControls(text)
    .replace(FORBIDDEN, '\uFFFD')
    .replace(/[&<>"']/g, (character) => ESCAPES[character] ?? character);
