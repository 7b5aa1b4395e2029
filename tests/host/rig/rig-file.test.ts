import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { requireConfirmation } from '../../../host/rig/cautions.js';
import { lockBoards } from '../../../host/rig/lock.js';
import { boardsNamed, readRig } from '../../../host/rig/rig-file.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();

function rigOf(text: string) {
  const file = join(folder, 'rig.yaml');
  writeFileSync(file, text);
  return readRig(file);
}

const FULL = `title: Bench in the hall
pressurised: true
boards:
  left: { port: /dev/ttyUSB0, baud: 1000000, rows: 12 }
  right: { tcp: "127.0.0.1:4000", rows: 12, firstRow: 13, contract: 0123456789abcdef }
  own: { program: ./build/firmware, arguments: [--quiet], rows: 4, firstRow: 25 }
  chip: { chip: native, rows: 2, firstRow: 29, relay: { seed: 1, toBoard: { lose: 0.01, delayMs: [1, 3] } } }
supply: { on: [relay-board, "on"], off: [relay-board, "off"] }
run: { vectors: [target-step] }
limits: { holdMsMax: 20 }
`;

describe('rig.yaml', () => {
  it('has boards, where they are, and their rows', () => {
    const rig = rigOf(FULL);
    expect(rig).toMatchObject({ title: 'Bench in the hall', pressurised: true, vectors: ['target-step'], scenarios: [] });
    expect(rig.limits).toEqual({ heldPercentMax: 1, holdMsMax: 20, lostPercentMax: 0.1 });
    expect(rig.boards.map(({ place }) => place)).toEqual([
      { kind: 'port', path: '/dev/ttyUSB0', baud: 1_000_000, maxBaud: undefined },
      { kind: 'tcp', host: '127.0.0.1', port: 4000 },
      { kind: 'program', program: join(folder, 'build', 'firmware'), words: ['--quiet'] },
      { kind: 'chip', chip: 'native', controller: undefined },
    ]);
    expect(boardsNamed(rig, ['right']).map(({ firstRow, rows }) => [firstRow, rows])).toEqual([[13, 12]]);
    expect(() => boardsNamed(rig, ['rihgt'])).toThrow('the rig has no board rihgt; did you mean `right`?');
  });

  const board = (text: string): string => `title: A\nboards:\n  one: ${text}\n`;
  it.each<[string, string, string]>([
    ['no place', board('{ rows: 2 }'), ':3:8: board one has none of port, tcp, udp, program, chip, so it is nowhere.'],
    ['two places', board('{ rows: 2, chip: native, tcp: "a:1" }'), ':3:25: board one has both tcp and chip; it can be in one place only.'],
    [
      'a key of another place',
      board('{ rows: 2, chip: native, baud: 9600 }'),
      ':3:39: baud has a meaning only with port, and board one has chip.',
    ],
    ['an unknown chip', board('{ rows: 2, chip: cortex }'), 'boards.one.chip is "cortex"'],
    ['too many rows', board('{ rows: 49, chip: native }'), 'boards.one.rows is 49; it must be between 1 and 48.'],
    [
      'an address without a port',
      board('{ rows: 1, tcp: localhost }'),
      'boards.one.tcp is "localhost"; it must be an address and a port: 192.168.7.2:4000.',
    ],
    [
      'a port beyond the last',
      board('{ rows: 1, udp: "localhost:70000" }'),
      'the port in localhost:70000 is 70000; it must be between 1 and 65535.',
    ],
    [
      'the same rows twice',
      `${board('{ rows: 4, chip: native }')}  two: { rows: 4, firstRow: 4, chip: native }\n`,
      ':4:16: boards one and two both have row 4.',
    ],
    [
      'the same place twice',
      `${board('{ rows: 1, tcp: "a:1" }')}  two: { rows: 1, firstRow: 2, tcp: "a:1" }\n`,
      'boards one and two are in the same place.',
    ],
    [
      'a delay that is no range',
      board('{ rows: 1, chip: native, relay: { seed: 1, toBoard: { delayMs: [3, 1] } } }'),
      'delayMs is 3 to 1. The minimum comes first.',
    ],
    ['no boards', 'title: A\nboards: {}\n', 'boards'],
    ['an unknown key', `${board('{ rows: 1, chip: native }')}presurised: true\n`, 'unknown key `presurised`; did you mean `pressurised`?'],
  ])('with %s is refused', (_, text, message) => {
    expect(() => rigOf(text)).toThrow(message);
  });
});

describe('a pressurised rig', () => {
  const rig = rigOf(FULL);
  const asked: string[] = [];
  const answering = (answer: string | undefined) => (question: string) => {
    asked.push(question);
    return answer;
  };

  it.each<[string, boolean, string | undefined, string]>([
    ['without the flag', false, rig.title, 'it starts only with --pressurised'],
    ['without a terminal', true, undefined, 'needs a person at a terminal'],
    ['with another title', true, 'Bench', 'not started: the title was not typed; it must be Bench in the hall.'],
  ])('does not start %s', (_, isAllowed, answer, message) => {
    expect(() => requireConfirmation(rig, isAllowed, answering(answer))).toThrow(message);
  });

  it('starts when its title is typed, after the cautions', () => {
    requireConfirmation(rig, true, answering(`${rig.title}\n`));
    expect(asked.at(-1)).toContain('relieve the pressure');
  });

  it('is the only one that takes the flag', () => {
    const other = { ...rig, pressurised: false };
    requireConfirmation(other, false, answering(undefined));
    expect(() => requireConfirmation(other, true, answering(undefined))).toThrow('does not say that the rig is pressurised');
  });
});

describe('the lock of a board', () => {
  const { boards } = rigOf(FULL.replace('127.0.0.1:4000', `127.0.0.1:${10_000 + (process.pid % 50_000)}`));

  it('keeps a second user out until it is released, and boards of this program need none', () => {
    const unlock = lockBoards(boards);
    expect(() => lockBoards(boards)).toThrow(`is in use by another latchbench, process ${process.pid}`);
    lockBoards(boards.filter(({ name }) => name === 'own' || name === 'chip'))();
    unlock();
    lockBoards(boards)();
  });
});
