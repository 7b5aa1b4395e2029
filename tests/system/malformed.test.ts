import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { latchbench, snapshot } from '../support/command.js';
import { malformedTables } from '../support/malformed/csv.js';
import { malformedCombinations, malformedFlags } from '../support/malformed/flags.js';
import { type Malformed, tryMalformed } from '../support/malformed/malformed.js';
import { malformedPaths } from '../support/malformed/paths.js';
import { malformedRecordings } from '../support/malformed/recordings.js';
import { malformedYaml } from '../support/malformed/yaml-kinds.js';
import { Noise } from '../support/noise.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

/** Another seed chooses other places for the same mistakes. */
const SEED = 16;
const PER_MISTAKE = 2;
const folder = temporaryFolder();
const home = process.cwd();
const temporary = join(folder, 'tmp');
mkdirSync(temporary);
const { TMPDIR } = process.env;
process.env.TMPDIR = temporary;
// Other files of the suite run in the same process.
afterAll(() => {
  process.chdir(home);
  if (TMPDIR === undefined) delete process.env.TMPDIR;
  else process.env.TMPDIR = TMPDIR;
});

const noise = new Noise(SEED);
const ALL = [
  ...malformedYaml(PER_MISTAKE, noise),
  ...malformedTables(),
  ...(await malformedRecordings(noise)),
  ...malformedFlags(),
  ...malformedCombinations(),
  ...malformedPaths(),
];
const vectors = snapshot(PROJECT.vectors);
let count = 0;

/** Runs a malformed input in a new folder, and returns what is wrong with the refusal. */
async function refuse(one: Malformed): Promise<string> {
  count += 1;
  const own = join(folder, String(count));
  mkdirSync(own);
  for (const [path, data] of Object.entries(one.files)) {
    mkdirSync(dirname(join(own, path)), { recursive: true });
    writeFileSync(join(own, path), data);
  }
  process.chdir(own);
  const { result, faults } = await tryMalformed(one);
  process.chdir(home);
  return faults.length === 0 ? '' : `${one.kind}, ${one.mistake} (${one.detail}): ${faults.join('; ')}\n  ${result.err.slice(0, 400)}`;
}

describe('a file that only looks unfamiliar is not refused:', () => {
  const [file, again] = [join(folder, 'scenario.yaml'), join(folder, 'again.yaml')];
  const text = readFileSync(join(PROJECT.scenarios, 'target-step.yaml'), 'utf8');
  const json = async (path: string) => JSON.parse((await latchbench('simulate', path, '--json')).out).runs[0].hash;
  writeFileSync(file, text);
  const expected = json(file);

  it.each<[string, string | Uint8Array]>([
    ['with a byte order mark', `\ufeff${text}`],
    ['with CRLF', text.replaceAll('\n', '\r\n')],
    ['with spaces at line ends', text.replaceAll('\n', '  \n')],
    ['without an end of its last line', text.trimEnd()],
    ['with comments and empty lines', `# A remark\n\n${text}\n# Another\n`],
    ['as one document with marks', `---\n${text}...\n`],
  ])('a scenario %s', async (_, other) => {
    writeFileSync(again, other);
    expect(await json(again)).toBe(await expected);
  });
});

describe('a malformed input is refused with its place, on one screen, and nothing is written:', () => {
  it('there are 700 of them', () => {
    expect(ALL.length).toBeGreaterThanOrEqual(700);
  });

  it.each([...new Set(ALL.map(({ kind }) => kind))])('%s', async (kind) => {
    const found: string[] = [];
    for (const one of ALL.filter((input) => input.kind === kind)) found.push(await refuse(one));
    expect(found.filter(Boolean)).toEqual([]);
  });

  it('nothing is left anywhere else', () => {
    expect(readdirSync(temporary)).toEqual([]);
    expect(snapshot(PROJECT.vectors)).toEqual(vectors);
  });
});
