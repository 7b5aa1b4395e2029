import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { runGuarded, showsHidden } from '../../support/guarded-commands.js';
import { hostileBuilds } from '../../support/hostile-builds.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const SEED = 1;
/** A build that does not end by then hangs, even on a busy computer, s. */
const SECONDS_MAX = 30;
const GROWTH_BYTES_MAX = 500e6;

const folder = temporaryFolder();
const builds = hostileBuilds(SEED);
let failures: string[] = [];
let verdicts: Record<string, string> = {};

/** All of them in one thread, which a build that hangs would not keep from ending. */
beforeAll(async () => {
  const commands = builds.map(({ bytes }, index) => {
    const file = join(folder, `${index}.wasm`);
    writeFileSync(file, bytes);
    return ['replay', '--controller', file, 'target-step'];
  });
  const outcomes = await runGuarded(commands, SECONDS_MAX);
  const start = outcomes[0]?.rssBytes ?? 0;
  failures = outcomes.flatMap((outcome, index) => {
    const { status, out, err, seconds, rssBytes } = outcome;
    const { group, name } = builds[index] ?? {};
    const holds = status !== undefined && status !== 3 && !showsHidden(outcome) && rssBytes - start < GROWTH_BYTES_MAX;
    return holds ? [] : [`seed ${SEED}, ${group}, ${name}: exit ${status}, ${seconds.toFixed(1)} s, ${rssBytes} bytes: ${err || out}`];
  });
  verdicts = Object.fromEntries(
    outcomes.map(({ status, out, err }, index) => [`${builds[index]?.group}: ${builds[index]?.name}`, `${status} ${err}${out}`]),
  );
}, 300_000);

describe('a hostile build', () => {
  it('is refused or gets a verdict, shows no hidden character, and neither hangs nor fills memory', () => {
    expect(builds.length).toBeGreaterThan(250);
    expect(failures).toEqual([]);
  });

  it.each([
    ['imports: function constructor.constructor', /^2 .*it imports something; a binary must be self-contained/],
    ['start functions: that writes', /^2 .*it has a start function/],
    ['exports: another function', /^2 .*it exports "eval", which is not part of its interface/],
    ['exports: tick with a parameter', /^2 .*its tick is \(i32\) → nothing instead of \(\) → nothing/],
    ['memory: without a maximum', /^2 .*its memory has no maximum size/],
    ['memory: that can grow', /^2 .*its memory can grow from 1 to 2; it must have a fixed size/],
    ['memory: data outside', /^2 the controller does not start: .*data segment/],
    ['endless: a tick after 100', /^1 [\s\S]*no return within 1400000 steps/],
    ['endless: a call of itself', /^1 [\s\S]*no return within 1400000 steps, or calls nested too deeply/],
    ['endless: configure()', /^2 the controller does not start: no return within 1400000 steps/],
    ['traps: rows refused', /^2 the controller does not start: configure\(\) refuses 4 rows/],
    ['format: vectors of 128 bits', /^2 .*it has the instruction 0xfd, which WebAssembly 1\.0 does not have/],
    ['contract: a parameter constructor', /^2 .*its contract is not valid: parameter "constructor" is not a possible name/],
    ['contract: a place outside', /^2 .*its contract is not valid: \w+ ends at \d+, beyond 65536/],
    ['contract: two places at one address', /^2 .*its contract is not valid: \w+ at \d+ overlaps \w+/],
    ['contract: a hash of another', /^2 .*its content has hash [0-9a-f]{16}, but it states 0123456789abcdef/],
  ])('%s', (name, verdict) => {
    expect(verdicts[name]).toMatch(verdict);
  });
});
