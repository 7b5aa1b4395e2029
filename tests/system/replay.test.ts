import { mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { vectorNames } from '../../host/vector/vector.js';
import { copyVector, latchbench, snapshot } from '../support/command.js';
import { buildPatched } from '../support/patched-controller.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

/** The binary of the controller with an edit. */
const fileOf = async (file: string, find: string, replace: string): Promise<string> => (await buildPatched({ file, find, replace })).file;

describe('latchbench replay', () => {
  it('finds every vector of the project the same', async () => {
    const { status, out, err } = await latchbench('replay');
    expect(err).toBe('');
    expect(status).toBe(0);
    for (const name of vectorNames(PROJECT)) expect(out).toMatch(new RegExp(`^${name} +\\d+ +[\\d ]+  \\w+ +same$`, 'm'));
    expect(out).toContain(`${vectorNames(PROJECT).length} vectors: ${vectorNames(PROJECT).length} same;`);
  });

  it('has at least ten vectors, with 48 rows and a measured series among them', () => {
    expect(vectorNames(PROJECT).length).toBeGreaterThanOrEqual(10);
    expect(vectorNames(PROJECT)).toEqual(expect.arrayContaining(['forty-eight-rows-at-once', 'measured-series-as-load', 'target-step']));
  });

  it('prints only one JSON document with --json', async () => {
    const { status, out, err } = await latchbench('replay', 'target-step', 'cold-oil', '--json');
    const document = JSON.parse(out);
    expect(document.counts).toEqual({ same: 2, stateDiffers: 0, timingDiffers: 0, outputsDiffer: 0, stopped: 0, refused: 0 });
    expect(document.vectors.map((one: { name: string }) => one.name)).toEqual(['target-step', 'cold-oil']);
    expect(document.controller.contractHash).toMatch(/^[0-9a-f]{16}$/);
    expect([status, err]).toEqual([0, '']);
  });

  it('records inputs, outputs and probes with --record, which show and export read', async () => {
    expect((await latchbench('replay', 'target-step', '--record', folder)).status).toBe(0);
    const recording = join(folder, 'target-step.mcap');
    expect((await latchbench('show', recording, '--row', '3')).out).toMatch(
      /messages: input 9000, output 9000, probe 9000;[\s\S]*setPointKpa/,
    );
    // Four strokes at once: rows 1 and 2 have the first two ticks.
    const { out } = await latchbench(
      'export',
      recording,
      '--signal',
      'setPointKpa[3]',
      '--signal',
      'supplyOrder[3]',
      '--from',
      '0',
      '--to',
      '2t',
    );
    expect(out.split('\n').map((line) => line.split(',').at(-1))).toEqual(['supplyOrder[3]', '0', '0', '2', '']);
  });

  it('records nothing if a vector is invalid, or two have the same name', async () => {
    const into = join(folder, 'recordings');
    mkdirSync(into);
    const bad = copyVector('cold-oil', folder);
    rmSync(join(bad, 'expected.csv'));
    expect((await latchbench('replay', 'target-step', bad, '--record', into)).status).toBe(2);
    const twice = await latchbench('replay', 'target-step', copyVector('target-step', folder), '--record', into);
    expect([twice.status, twice.err]).toEqual([2, expect.stringContaining('two outputs would be written to target-step.mcap')]);
    expect(snapshot(into)).toEqual({});
  });
});

describe('latchbench replay of a changed controller', () => {
  let deadbands: string;
  let probes: string;
  let traps: string;

  beforeAll(async () => {
    deadbands = await fileOf('deadband.ts', 'return clamp(p.deadbandSigmas * noiseN,', 'return clamp(1.1 * p.deadbandSigmas * noiseN,');
    probes = await fileOf('bank.ts', 'probe.notchHz = isUseful ? hertz : 0', 'probe.notchHz = isUseful ? hertz : 1');
    traps = await fileOf('bank.ts', 'probe.strokes = bank.strokes;', 'assert(bank.strokes < 20);\n  probe.strokes = bank.strokes;');
  }, 120_000);

  it('exits with 1 and names vector, tick, row and signal if an order differs', async () => {
    const { status, out } = await latchbench('replay', 'target-step', '--controller', deadbands);
    expect(status).toBe(1);
    expect(out).toMatch(
      /^target-step +4 +9000 +cascade +outputs differ +tick \d+ row \d (supply|return)Order: (none|open|close) → (none|open|close) +.*(added|removed|earlier|later)/m,
    );
    expect(out).toContain('1 vector: 1 with different outputs;');
  });

  it('reports if only the state differs', async () => {
    const { status, out } = await latchbench('replay', 'target-step', '--controller', probes);
    expect(status).toBe(1);
    expect(out).toMatch(/state differs +state hash of tick 999$/m);
    const { vectors } = JSON.parse((await latchbench('replay', 'target-step', '--controller', probes, '--json')).out);
    expect(vectors[0].comparison).toMatchObject({
      stateOnly: true,
      signals: { stateHash: 9 },
      strokes: { added: 0, removed: 0, earlier: { count: 0 }, later: { count: 0 } },
    });
  });

  it('reports the tick if an assertion in the controller fails', async () => {
    const { status, out } = await latchbench('replay', 'target-step', '--controller', traps);
    expect(status).toBe(1);
    expect(out).toMatch(/stopped +tick \d+: unreachable/);
  });

  it('reports failures and errors as JUnit XML', async () => {
    const junit = join(folder, 'junit.xml');
    await latchbench('replay', 'target-step', '--controller', traps, '--junit', junit);
    expect(readFileSync(junit, 'utf8')).toMatch(
      /<testsuite name="latchbench replay" tests="1" failures="0" errors="1" time="[\d.]+">\n {2}<testcase classname="vectors" name="target-step">\n {4}<error message="stopped; tick \d+: unreachable">/,
    );
    await latchbench('replay', 'target-step', 'relatch-at-rest', '--controller', deadbands, '--junit', junit);
    expect(readFileSync(junit, 'utf8')).toMatch(
      /tests="2" failures="2" errors="0"[\s\S]*<failure message="outputs differ; tick \d+ row \d \w+: \w+ → \w+">/,
    );
  });
});
