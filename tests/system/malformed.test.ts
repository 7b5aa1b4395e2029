import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { type Malformed, tryMalformed } from '../support/malformed/malformed.js';
import { malformedYaml } from '../support/malformed/yaml-kinds.js';
import { Noise } from '../support/noise.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const SEED = 16;
const folder = temporaryFolder();
const home = process.cwd();
afterAll(() => process.chdir(home));

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

const all = malformedYaml(2, new Noise(SEED));

describe('a malformed input is refused with its place, on one screen, and nothing is written:', () => {
  const groups = [...new Set(all.map(({ kind }) => kind))];
  it.each(groups)('%s', async (kind) => {
    const found: string[] = [];
    for (const one of all.filter((input) => input.kind === kind)) found.push(await refuse(one));
    expect(found.filter(Boolean)).toEqual([]);
  });
});
