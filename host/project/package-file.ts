import { createHash } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { InputError } from '../common/input-error.js';
import { TOOL_ROOT } from '../common/project.js';
import { readBytes } from '../common/read-file.js';
import { toolVersion } from '../common/version.js';

/** The package of this program as a file. */
export interface PackageFile {
  /** Name of the file. */
  readonly name: string;
  readonly bytes: Uint8Array;
  /** As package-lock.json has it. */
  readonly integrity: string;
}

const UNPACKED_BYTES_MAX = 1 << 28;
const BLOCK_BYTES = 512;

/** The text of a file in a tar archive (POSIX.1-2001, ustar: name at 0, size in octal at 124 of a header of 512 bytes); undefined if it has none. */
function fileInTar(tar: Buffer, wanted: string): string | undefined {
  for (let at = 0; at + BLOCK_BYTES <= tar.length; ) {
    const [name] = tar.toString('latin1', at, at + 100).split('\0');
    const size = Number.parseInt(tar.toString('latin1', at + 124, at + 136), 8);
    if (name === wanted) return tar.toString('utf8', at + BLOCK_BYTES, at + BLOCK_BYTES + size);
    at += BLOCK_BYTES * (1 + Math.ceil((Number.isNaN(size) ? 0 : size) / BLOCK_BYTES));
  }
  return undefined;
}

/** Returns `name version` of a package. @throws an error of JSON or gzip if it is none */
function identityOf(bytes: Uint8Array): string {
  const text = fileInTar(gunzipSync(bytes, { maxOutputLength: UNPACKED_BYTES_MAX }), 'package/package.json') ?? '';
  const { name, version } = JSON.parse(text) as { name?: unknown; version?: unknown };
  return `${name} ${version}`;
}

/** Reads a package that a project is to be installed with. @throws InputError unless it is this program in its present version */
export function readPackageFile(file: string): PackageFile {
  const bytes = readBytes(file, 'binary');
  const expected = `latchbench ${toolVersion()}`;
  let found: string;
  try {
    found = identityOf(bytes);
  } catch {
    throw new InputError({ file, problem: 'this is not a package', allowed: 'what `npm pack` has made' });
  }
  if (found !== expected) throw new InputError({ file, problem: `this is ${found}`, value: found, allowed: `${expected}, as is running` });
  return { name: basename(file), bytes, integrity: `sha512-${createHash('sha512').update(bytes).digest('base64')}` };
}

/** Returns the file that this program was installed from, if npm noted one and it is still there. */
export function installedFrom(): string | undefined {
  const modules = dirname(TOOL_ROOT);
  const lock = join(modules, '.package-lock.json');
  if (basename(modules) !== 'node_modules' || !existsSync(lock)) return undefined;
  const { packages } = JSON.parse(readFileSync(lock, 'utf8')) as { packages?: Record<string, { resolved?: string }> };
  const resolved = packages?.['node_modules/latchbench']?.resolved;
  if (resolved === undefined || !/^file:.*\.tgz$/.test(resolved)) return undefined;
  const file = resolve(dirname(modules), resolved.slice('file:'.length));
  return existsSync(file) ? file : undefined;
}
