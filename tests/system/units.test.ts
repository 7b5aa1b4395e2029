import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { latchbench, leafCommands } from '../support/command.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const file = (name: string, text: string): string => {
  writeFileSync(join(folder, name), text);
  return join(folder, name);
};
const SCENARIO = file(
  'short.yaml',
  'title: Short\nstory: Invented.\nrows: 1\nseconds: 4\nrequirements: [{ metric: chamberMaxKpa, max: 5 }]\n',
);
const OTHER = file('other.yaml', 'relatchS: 2\ndeadbandN: 44.482216152605\n');
const PICTURE = join(folder, 'picture.svg');
const CONTEST = ['contest', SCENARIO, '--strategies', 'threshold,cascade', '--seeds', '1', '--scales', '1', '-o', PICTURE];

/** Commands whose text or picture has quantities, and what is in it in US customary units. Conversions: NIST SP 811, appendix B.8. */
const IN_US: readonly (readonly [command: string, words: readonly string[], inUs: RegExp])[] = [
  ['simulate', ['simulate', SCENARIO], /^chamberMaxKpa, max over rows: at most 0\.725189 psi +[\d.]+ psi +NOT MET$/m],
  ['show', ['show', 'relatch-at-rest', '--signal', 'pressureKpa'], /^ {2}pressureKpa +[\d.]+ … [\d.]+ psi /m],
  ['plot', ['plot', 'relatch-at-rest', '--signal', 'loadN', '-o', PICTURE], />lbf<\/text>/],
  ['contest', CONTEST, /^contender +scale +pulsesPerMin, 1\/min +loadRmsN, lbf .*>lbf<\/text>/ms],
  // 44.482216152605 N are 10 lbf.
  ['parameters', ['parameters', OTHER], /deadbandN +10 +8\.99236 +lbf +0\.224809 +224\.809 /],
  ['size', ['size', 'default'], / psi\b/],
  ['compare', ['compare', '.', '.', 'relatch-at-rest', '--parameters', OTHER], /metrics: .* US gal\/min|strokesPerMin/],
];

describe('--units us', () => {
  it('is a flag of every command that prints quantities', async () => {
    const withFlag: string[] = [];
    for (const name of await leafCommands())
      if ((await latchbench(...name.split(' '), '--help')).out.includes('--units')) withFlag.push(name);
    expect(withFlag.sort()).toEqual([...IN_US.map(([name]) => name), 'find-change', 'fit', 'watch'].sort());
  });

  it.each(IN_US)('of %s', async (_, words, inUs) => {
    const { out, err } = await latchbench(...words, '--units', 'us');
    expect(err).toBe('');
    expect(out + (words.includes(PICTURE) ? readFileSync(PICTURE, 'utf8') : '')).toMatch(inUs);
  });

  it.each(IN_US.filter(([, words]) => !words.includes(PICTURE)))('of %s has no effect on JSON, so it is refused', async (_, words) => {
    const { status, err } = await latchbench(...words, '--units', 'us', '--json');
    expect([status, err]).toEqual([2, expect.stringMatching(/^--units: /)]);
  });
});
