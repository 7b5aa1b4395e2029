import { existsSync, mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { checkOutputFile, checkOutputFolder } from '../../../host/common/outputs.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
const below = (path: string): string => join(folder, path);
mkdirSync(below('taken'));
writeFileSync(below('file'), '');
symlinkSync(below('file'), below('link'));
symlinkSync(below('nowhere'), below('dangling'));

describe('an output file', () => {
  it.each(['new', 'file', 'link', 'taken/new'])('may be %s, which is not touched', (path) => {
    const before = existsSync(below(path));
    expect(() => checkOutputFile(below(path))).not.toThrow();
    expect(existsSync(below(path))).toBe(before);
  });

  it.each([
    ['none/new', 'its folder does not exist.'],
    ['file/new', 'part of the path is not a folder.'],
    ['taken', 'this is a folder; it must be a file.'],
    ['new/', 'this is a folder; it must be a file.'],
    ['dangling', 'this is not a regular file.'],
    ['x'.repeat(300), 'the name is too long.'],
  ])('must not be %s', (path, words) => {
    expect(refusalOf(() => checkOutputFile(`${folder}/${path}`)).message).toContain(`: ${words}`);
  });

  it('must not be a device', () => {
    expect(refusalOf(() => checkOutputFile('/dev/null')).message).toBe('/dev/null: this is not a regular file.');
  });
});

describe('an output folder', () => {
  it.each(['new', 'taken', 'taken/new', 'new/'])('may be %s, which is not made', (path) => {
    const before = existsSync(below(path));
    expect(() => checkOutputFolder(`${folder}/${path}`)).not.toThrow();
    expect(existsSync(below(path))).toBe(before);
  });

  it.each([
    ['none/new', 'its folder does not exist.'],
    ['file', 'this is a file; it must be a folder.'],
    ['file/new', 'part of the path is not a folder.'],
  ])('must not be %s', (path, words) => {
    expect(refusalOf(() => checkOutputFolder(below(path))).message).toBe(`${below(path)}: ${words}`);
  });
});
