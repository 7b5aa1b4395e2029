import { describe, expect, it } from 'vitest';
import { asFileError, InputError, showValue } from '../../../host/common/input-error.js';

describe('the message of an InputError', () => {
  const names = ['loadN', 'loadRawN', 'pressureKpa', 'railKpa', 'targetLoadN', 'mode', 'faults', 'wish', 'setPointKpa'];
  it.each([
    [{ file: 'a', problem: 'b is 1' }, 'a: b is 1.'],
    [{ file: 'a', line: 2, problem: 'b is 1' }, 'a:2: b is 1.'],
    [{ file: 'a', line: 2, column: 3, problem: 'b is 1' }, 'a:2:3: b is 1.'],
    [{ file: 'a', column: 3, problem: 'b is 1' }, 'a: b is 1.'],
    [{ file: 'a', byte: 0, problem: 'b is 1' }, 'a: byte 0: b is 1.'],
    [{ file: 'a', problem: 'b is 1', allowed: 'between 2 and 3' }, 'a: b is 1; it must be between 2 and 3.'],
    [{ file: 'a', problem: 'b is 1', hint: 'Run c' }, 'a: b is 1. Run c.'],
    [{ file: 'a', problem: 'b is 1', allowed: 'even', hint: 'Really?' }, 'a: b is 1; it must be even. Really?'],
    [{ file: 'a', problem: 'b is 1', allowed: ['c'] }, 'a: b is 1; it must be c.'],
    [{ file: 'a', problem: 'b is 1', allowed: ['c', 'd'] }, 'a: b is 1; it must be one of c, d.'],
    [{ file: 'a', problem: 'b is 1', allowed: [] }, 'a: b is 1.'],
    [{ file: 'a', problem: 'no signal lodaN', value: 'lodaN', allowed: names }, 'a: no signal lodaN; did you mean `loadN`?'],
    [{ file: 'a', problem: 'no signal LOADN', value: 'LOADN', allowed: names }, 'a: no signal LOADN; did you mean `loadN`?'],
    [
      { file: 'a', problem: 'no signal up', value: 'up', allowed: names },
      'a: no signal up; it must be one of mode, wish, loadN, faults, railKpa, loadRawN, pressureKpa, setPointKpa and 1 more.',
    ],
    [
      { file: 'a', problem: 'b is 1', value: 1, allowed: [...names, ...names] },
      `a: b is 1; it must be one of ${names.slice(0, 8).join(', ')} and 10 more.`,
    ],
    [
      { file: 'a', problem: 'b is 1', value: 1, allowed: ['x'.repeat(50), 'y'.repeat(50)] },
      `a: b is 1; it must be one of ${'x'.repeat(50)} and 1 more.`,
    ],
    [
      { file: 'a', problem: `no signal ${'x'.repeat(71)}`, value: 'x'.repeat(71), allowed: ['x'] },
      `a: no signal ${'x'.repeat(30)}…; it must be x.`,
    ],
    [{ file: `${'a'.repeat(100)}${'b'.repeat(100)}`, problem: 'b is 1' }, `${'a'.repeat(80)}…${'b'.repeat(80)}: b is 1.`],
  ])('of %j is %j', (details, message) => {
    expect(new InputError(details).message).toBe(message);
  });
});

describe('the name that was probably meant', () => {
  const meant = (value: string, name: string): boolean =>
    new InputError({ file: 'a', problem: 'b', value, allowed: [name, 'entirely-different'] }).message.includes('did you mean');

  it.each([
    ['speedMpss', 'speedMps', true],
    ['sppedMps', 'speedMps', true],
    ['sepedMps', 'speedMps', true],
    ['psedMps', 'speedMps', true],
    ['laod', 'load', true],
    ['lo', 'on', false],
    ['hz', 'hs', false],
    ['load', 'road-roughness', false],
  ])('for %s: whether it is %s is %s', (value, name, isMeant) => {
    expect(meant(value, name)).toBe(isMeant);
  });
});

describe('a value in an error', () => {
  it.each([
    [1.5, '1.5'],
    [Number.NaN, 'NaN'],
    [undefined, 'undefined'],
    ['two\nlines', '"two\\nlines"'],
    [['a', 1], '["a",1]'],
    ['x'.repeat(68), `"${'x'.repeat(68)}"`],
    ['x'.repeat(69), `"${'x'.repeat(29)}…`],
  ])('%j is shown as %s', (value, text) => {
    expect(showValue(value)).toBe(text);
  });
});

describe('a system error about a file', () => {
  it.each([
    ['ENOENT', 'read', 'no such file.'],
    ['ENOENT', 'write', 'its folder does not exist.'],
    ['EACCES', 'read', 'no permission to read it.'],
    ['EACCES', 'write', 'no permission to write it.'],
    ['EISDIR', 'read', 'this is a folder; it must be a file.'],
    ['ENOSPC', 'write', 'no space is left on the disk.'],
  ] as const)('%s on %s says: %s', (code, use, words) => {
    expect((asFileError(Object.assign(new Error(code), { code }), 'a.mcap', use) as Error).message).toBe(`a.mcap: ${words}`);
  });

  it('stays as it is when the user cannot correct it', () => {
    const error = Object.assign(new Error('input/output error'), { code: 'EIO' });
    expect(asFileError(error, 'a.mcap', 'read')).toBe(error);
  });
});
