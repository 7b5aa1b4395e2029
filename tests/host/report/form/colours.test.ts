import { describe, expect, it } from 'vitest';
import { colours, plainText, terminalText } from '../../../../host/report/form/colours.js';
import { textTable } from '../../../../host/report/form/text-table.js';

describe('text for a terminal', () => {
  it('has our colours, in a terminal only', () => {
    const text = `${colours.bold('checks')}: ${colours.green('same')}, ${colours.red('stopped')}`;
    expect(terminalText(text, { hasColour: true })).toBe(
      '\u001b[1mchecks\u001b[22m: \u001b[32msame\u001b[39m, \u001b[31mstopped\u001b[39m',
    );
    expect(plainText(text)).toBe('checks: same, stopped');
  });

  // ECMA-48, and the terminals' own sequences: title, clipboard, hyperlink, clear the screen, colours, C1 forms of them, backspace.
  it.each<[string, string]>([
    ['\u001b]0;title\u0007', '\\u001b]0;title\\u0007'],
    ['\u001b]52;c;cm0gLXJm\u0007', '\\u001b]52;c;cm0gLXJm\\u0007'],
    ['\u001b]8;;https://a.example\u001b\\b', '\\u001b]8;;https://a.example\\u001b\\b'],
    ['\u001b[2J\u001b[H', '\\u001b[2J\\u001b[H'],
    ['\u001b[32msame', '\\u001b[32msame'],
    ['\u001b[32;1234;5678;9012msame', '\\u001b[32;1234;5678;9012msame'],
    ['\u009b2J', '\\u009b2J'],
    ['fail\rpass', 'fail\\u000dpass'],
    ['fail\b\b\b\bpass', 'fail\\u0008\\u0008\\u0008\\u0008pass'],
    ['a\u202eb\u2066c\u2069', 'a\\u202eb\\u2066c\\u2069'],
    ['a\u200b\ufeff\u2028b', 'a\\u200b\\ufeff\\u2028b'],
    ['a\u{e0041}', 'a\\udb40\\udc41'],
    ['a\tb\nc', 'a\tb\nc'],
    ['Grüße, 日本語, עברית, 10 °C ± 5 %', 'Grüße, 日本語, עברית, 10 °C ± 5 %'],
  ])('shows control characters: %j', (text, shown) => {
    for (const hasColour of [false, true]) expect(terminalText(`${colours.cyan('x')}${text}`, { hasColour })).toContain(shown);
    expect(plainText(text)).toBe(shown);
  });

  it('keeps the values of a JSON document', () => {
    const value = { title: 'a\u001b[8m\u202e\u009b\u{e0041}"\\\n' };
    const text = plainText(`${JSON.stringify(value)}\n`);
    expect(text).toMatch(/^[\x20-\x7e]*\n$/);
    expect(JSON.parse(text)).toEqual(value);
  });

  it('has in ASCII something for each of our characters', () => {
    expect(terminalText('▁▄█ 5 → 6 µs ± 2 °C 日', { isAscii: true })).toBe('_-# 5 -> 6 us +/- 2 deg C ?');
  });

  it('is aligned in tables as it is shown', () => {
    const table = textTable([{ title: 'a' }, { title: 'b' }], [[colours.green('same'), 'x']]);
    expect(plainText(table)).toBe('a     b\nsame  x\n');
  });
});
