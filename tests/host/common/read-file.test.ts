import { execFileSync } from 'node:child_process';
import { appendFileSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { FILE_BYTES_MAX, type FileKind, InputFile, readBytes, readText } from '../../../host/common/read-file.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
const at = (name: string): string => join(folder, name);
execFileSync('mkfifo', [at('pipe')]);
for (const [link, target] of [
  ['to-pipe', 'pipe'],
  ['to-zero', '/dev/zero'],
  ['to-itself', 'to-itself'],
] as const)
  symlinkSync(target, at(link));

const irregular = 'this is not a regular file. Write its content to a file first.';

describe('a file is refused, without waiting for it,', () => {
  it.each([
    ['if it is a pipe', at('pipe'), irregular],
    ['if it is a link to a pipe', at('to-pipe'), irregular],
    ['if it is a device', '/dev/zero', irregular],
    ['if it is a link to a device', at('to-zero'), irregular],
    ['if it is a terminal', '/dev/ptmx', irregular],
    ['if it is a folder', folder, 'this is a folder; it must be a file.'],
    ['if it does not exist', at('nowhere'), 'no such file.'],
    ['if it is a link to itself', at('to-itself'), 'its symbolic links form a loop.'],
  ])('%s', (_, file, words) => {
    expect(refusalOf(() => readBytes(file, 'yaml')).message).toBe(`${file}: ${words}`);
  });

  it.each(Object.entries(FILE_BYTES_MAX) as [FileKind, number][])('if it is too large: %s', (kind, max) => {
    const file = at('large');
    // Empty blocks take no space on the disk.
    writeFileSync(file, '');
    truncateSync(file, max);
    new InputFile(file, kind).close();
    truncateSync(file, max + 1);
    expect(refusalOf(() => new InputFile(file, kind)).message).toMatch(
      new RegExp(`: the file has ${max + 1} bytes; it must be at most \\d+ [MG]iB\\.$`),
    );
  });

  it('if it is a text that is not UTF-8', () => {
    writeFileSync(at('latin1'), Buffer.from([0xb0]));
    expect(refusalOf(() => readText(at('latin1'), 'yaml')).message).toBe(
      `${at('latin1')}:1:1: this character is not UTF-8. Save it as UTF-8.`,
    );
  });
});

describe('a regular file', () => {
  it('is read as a whole', () => {
    writeFileSync(at('text'), 'häufig');
    expect(readText(at('text'), 'yaml')).toBe('häufig');
  });

  it('has an end, even if it grows while it is read', () => {
    writeFileSync(at('growing'), 'abc');
    const file = new InputFile(at('growing'), 'yaml');
    const block = Buffer.alloc(2);
    const read: string[] = [];
    for (let got = file.read(block); got > 0; got = file.read(block)) {
      read.push(block.toString('utf8', 0, got));
      appendFileSync(at('growing'), 'xyz');
    }
    expect(read).toEqual(['ab', 'c']);
    expect([file.readAt(2, block), file.readAt(3, block)]).toEqual([1, 0]);
    file.close();
  });

  it('that is cut off while it is read ends there', () => {
    writeFileSync(at('shrinking'), 'abc');
    const file = new InputFile(at('shrinking'), 'yaml');
    truncateSync(at('shrinking'), 1);
    expect(file.read(Buffer.alloc(3))).toBe(1);
    expect(file.read(Buffer.alloc(3))).toBe(0);
    file.close();
  });
});
