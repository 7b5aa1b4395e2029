import { expect } from 'vitest';
import { CONTROLLER, type ControllerBuild, compileController, readControllerSources } from '../../host/build/controller.js';
import type { SourceTree } from '../../host/build/sources.js';
import { type Build, readBuild } from '../../host/review/builds.js';
import { PROJECT } from './project.js';

/** An edit of one of the controller's sources. */
export interface SourceEdit {
  /** Below assembly/controller. */
  readonly file: string;
  /** Text that occurs in the file once. */
  readonly find: string;
  readonly replace: string;
}

const FROM = readControllerSources(PROJECT.root);

/** The text with one occurrence replaced. It must occur once. */
export function replaceOnce(text: string, find: string, replace: string, where: string): string {
  const parts = text.split(find);
  expect(parts.length - 1, `occurrences of “${find}” in ${where}`).toBe(1);
  return parts.join(replace);
}

/** The controller's sources with edits applied in order. */
export function patchSources(edits: readonly SourceEdit[], sources: SourceTree = FROM.sources): SourceTree {
  const patched = new Map(sources);
  for (const { file, find, replace } of edits) {
    const path = `${CONTROLLER}/${file}`;
    patched.set(path, replaceOnce(patched.get(path) ?? '', find, replace, file));
  }
  return patched;
}

/** Line, from 1, on which a text starts that occurs once in a file of the controller. */
export const lineOf = (sources: SourceTree, file: string, text: string): number =>
  sources.get(`${CONTROLLER}/${file}`)?.split(text)[0]?.split('\n').length ?? 0;

/** Compiles the controller from other sources, quickly by default. */
export async function buildFrom(sources: SourceTree, how: ControllerBuild = { optimisation: 'quick' }): Promise<Build> {
  const from = { ...FROM, sources };
  const { file } = await compileController(from, how);
  return readBuild(file, file, { from });
}

/** The controller with edits applied. */
export const buildPatched = (...edits: readonly SourceEdit[]): Promise<Build> => buildFrom(patchSources(edits));
