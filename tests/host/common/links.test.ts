import { mkdirSync, readFileSync, symlinkSync, unlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readNamedBy, refuseLinksOut } from '../../../host/common/links.js';
import { distinctTargets } from '../../../host/common/write-atomic.js';
import { copyVector, latchbench, latchbenchIn } from '../../support/command.js';
import { PROJECT } from '../../support/project.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
const at = (...names: string[]): string => join(folder, ...names);
const SECRET = 'deadbandN: hunter2\npassword: hunter2\n';
const OUT = 'this is a symbolic link out of its folder. Replace it by the file or folder itself.';
for (const name of ['in', 'in/below', 'elsewhere', 'in-too']) mkdirSync(at(name));
writeFileSync(at('elsewhere', 'secret.yaml'), SECRET);
writeFileSync(at('in', 'below', 'file'), '');
symlinkSync('below/file', at('in', 'inside'));
symlinkSync('../elsewhere/secret.yaml', at('in', 'outside'));
symlinkSync('../in-too', at('in', 'neighbour'));
symlinkSync('nothing', at('in', 'dangling'));
symlinkSync('in', at('link'));

describe('a link in a folder', () => {
  it('may lead to another file of the folder, and the folder itself may be a link', () => {
    refuseLinksOut(at('in'), at('in', 'inside'), at('in', 'below'), at('in', 'absent'));
    refuseLinksOut(at('link'), at('link', 'inside'), at('link', 'below', 'file'));
  });

  it.each(['outside', 'neighbour', 'dangling'])('must not lead out of it: %s', (name) => {
    expect(refusalOf(() => refuseLinksOut(at('in'), at('in', name))).message).toBe(`${at('in', name)}: ${OUT}`);
    expect(() => distinctTargets(at('in'), [name])).toThrow(OUT);
  });
});

describe('commands do not follow links out of a folder:', () => {
  it.each(['case.yaml', 'expected.csv'])('accept, of a vector whose %s is one', async (name) => {
    const copy = copyVector('relatch-at-rest', folder);
    const other = at(`other-${name}`);
    writeFileSync(other, readFileSync(join(copy, name)));
    unlinkSync(join(copy, name));
    symlinkSync(other, join(copy, name));
    const before = readFileSync(other, 'utf8');
    const { status, err } = await latchbench('accept', copy, '--by', 'A. Reviewer', '--reason', 'None');
    expect([status, err]).toEqual([2, `${join(copy, name)}: ${OUT}\n`]);
    expect(readFileSync(other, 'utf8')).toBe(before);
  });

  it('replay --record, if a recording of that name is one', async () => {
    mkdirSync(at('records'));
    writeFileSync(at('victim'), 'mine');
    symlinkSync(at('victim'), at('records', 'relatch-at-rest.mcap'));
    const { status, err } = await latchbench('replay', 'relatch-at-rest', '--record', at('records'));
    expect([status, err]).toEqual([2, `${at('records', 'relatch-at-rest.mcap')}: ${OUT}\n`]);
    expect(readFileSync(at('victim'), 'utf8')).toBe('mine');
  });

  it('names of scenarios, machines and vectors', async () => {
    const project = { ...PROJECT, scenarios: at('in'), machines: at('in'), vectors: at('in') };
    symlinkSync('../elsewhere/secret.yaml', at('in', 'secret.yaml'));
    for (const argv of [
      ['simulate', 'secret'],
      ['size', 'secret'],
    ]) {
      const { status, err } = await latchbenchIn(project, argv);
      expect([status, err]).toEqual([2, `${at('in', 'secret.yaml')}: ${OUT}\n`]);
    }
    const { status, err } = await latchbenchIn(project, ['replay', 'neighbour']);
    expect([status, err]).toEqual([2, `${at('in', 'neighbour')}: ${OUT}\n`]);
  });
});

describe('a file that another one names', () => {
  const HEAD = 'title: A\nstory: Invented.\nrows: 1\nseconds: 1\n';
  const isSilent = 'its text is not shown because';
  const simulate = async (text: string): Promise<string> => {
    writeFileSync(at('in', 'scenario.yaml'), text);
    const { status, out, err } = await latchbench('simulate', at('in', 'scenario.yaml'));
    expect([status, out]).toEqual([2, '']);
    return err;
  };

  it('is quoted in errors if it is in the same folder', async () => {
    writeFileSync(at('in', 'below', 'machine.yaml'), SECRET);
    expect(await simulate(`${HEAD}machine: ./below/machine.yaml\n`)).toContain('unknown key `deadbandN`');
  });

  it.each([
    ['a machine', `machine: ../elsewhere/secret.yaml\n`, isSilent],
    ['a machine by a link', `machine: ./outside\n`, isSilent],
    ['a machine that is a file of the system', `machine: /etc/passwd\n`, isSilent],
    ['a machine that does not exist', `machine: ../elsewhere/absent.yaml\n`, 'there is no machine file'],
    ['a machine that is a device', `machine: /dev/zero\n`, 'this is not a regular file'],
    ['heights', `field: { profile: { file: ../elsewhere/secret.yaml, distance: d, height: h } }\n`, 'has no column "d".'],
    ['heights of a file of the system', `field: { profile: { file: /etc/passwd, distance: d, height: h } }\n`, 'has no column "d".'],
  ])('is not quoted otherwise: %s', async (_, text, words) => {
    const err = await simulate(HEAD + text);
    expect(err).toContain(words);
    expect(err).not.toMatch(/hunter2|password|root|deadbandN/);
  });

  it('keeps the place of the error', () => {
    const { details } = refusalOf(() =>
      readNamedBy(at('in', 'a.yaml'), at('elsewhere', 'secret.yaml'), () => {
        throw Object.assign(
          refusalOf(() => refuseLinksOut(at('in'), at('in', 'outside'))),
          {
            details: { file: at('elsewhere', 'secret.yaml'), line: 2, column: 3, problem: 'hunter2' },
          },
        );
      }),
    );
    expect(details).toMatchObject({ file: at('elsewhere', 'secret.yaml'), line: 2, column: 3 });
  });
});
