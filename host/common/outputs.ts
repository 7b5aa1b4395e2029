import { accessSync, constants, lstatSync, realpathSync, type Stats, statSync } from 'node:fs';
import { dirname } from 'node:path';
import { asFileError, InputError } from './input-error.js';

/** @throws a system error other than that there is no such path */
function statOf(path: string): Stats | undefined {
  try {
    return statSync(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined;
    throw error;
  }
}

/** Checks that something can be created in a folder. @throws InputError, Error */
function checkFolder(folder: string, target: string): void {
  const found = statOf(folder);
  if (found === undefined) throw new InputError({ file: target, problem: 'its folder does not exist' });
  if (!found.isDirectory()) throw Object.assign(new Error(folder), { code: 'ENOTDIR' });
  accessSync(folder, constants.W_OK);
}

function check(target: string, work: (found: Stats | undefined) => void): void {
  try {
    work(statOf(target));
  } catch (error) {
    throw asFileError(error, target, 'write');
  }
}

/**
 * Checks that a file can be written, before anything is computed: its folder exists, and it is no folder, pipe or device.
 * @throws InputError
 */
export function checkOutputFile(target: string): void {
  check(target, (found) => {
    const isFolder = found?.isDirectory() === true || /[/\\]$/.test(target);
    if (isFolder) throw new InputError({ file: target, problem: 'this is a folder', allowed: 'a file' });
    const isDangling = found === undefined && lstatSync(target, { throwIfNoEntry: false }) !== undefined;
    if (found?.isFile() === false || isDangling) throw new InputError({ file: target, problem: 'this is not a regular file' });
    // Where the file is that a link names, the new one is written.
    checkFolder(dirname(found === undefined ? target : realpathSync(target)), target);
  });
}

/**
 * Checks that files can be written to a folder, which is created if only itself is missing.
 * @throws InputError
 */
export function checkOutputFolder(target: string): void {
  check(target, (found) => {
    if (found?.isDirectory() === false) throw new InputError({ file: target, problem: 'this is a file', allowed: 'a folder' });
    checkFolder(found === undefined ? dirname(target) : target, target);
  });
}
