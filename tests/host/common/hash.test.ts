import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { hashFile, Sha256, sha256, shortHash } from '../../../host/common/hash.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
// FIPS 180-4, example "abc".
const ABC = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad';

it('hashes with SHA-256: text, parts and files alike', () => {
  expect(sha256('abc')).toBe(ABC);
  expect(shortHash('abc')).toBe('ba7816bf8f01cfea');
  expect(new Sha256().update('a').update('bc').digest()).toBe(ABC);
  expect(new Sha256().update('abc').shortDigest()).toBe('ba7816bf8f01cfea');
  const file = join(folder, 'abc.txt');
  writeFileSync(file, 'abc');
  expect(hashFile(file, 'csv')).toBe(ABC);
});

it('hashes a file that is longer than one block', () => {
  const file = join(folder, 'long.txt');
  const text = 'x'.repeat(200_000);
  writeFileSync(file, text);
  expect(hashFile(file, 'csv')).toBe(sha256(text));
});

it('names a missing file', () => {
  expect(refusalOf(() => hashFile(join(folder, 'absent.txt'), 'csv')).message).toBe(`${join(folder, 'absent.txt')}: no such file.`);
});
