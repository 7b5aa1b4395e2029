import { execFileSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { shellWord } from '../../../host/common/shell-word.js';

it('leaves plain words alone', () => {
  for (const word of ['vectors/cases/a-b_1.2', 'main', '--set', 'deadbandN=35', '12,3']) expect(shellWord(word)).toBe(word);
});

it('quotes all others, so that a shell reads them back', () => {
  const words = [
    '',
    ' ',
    'a b',
    "it's",
    '$(touch x)',
    '`id`',
    '"',
    '\\',
    '!!',
    '~',
    '*',
    'a;b',
    'a\nb',
    "\u001b[8m'\\",
    '\u009b8m',
    '#x',
    '日本',
    '$HOME',
    '-n',
  ];
  const script = `printf '%s\\0' ${words.map(shellWord).join(' ')}`;
  expect(execFileSync('bash', ['-c', script], { encoding: 'utf8' })).toBe(words.map((word) => `${word}\0`).join(''));
});
