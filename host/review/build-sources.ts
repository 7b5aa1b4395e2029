import { existsSync } from 'node:fs';
import { basename } from 'node:path';
import { type ControllerSources, readControllerSources } from '../build/controller.js';
import { oncePer } from '../common/once.js';
import { TOOL_ROOT } from '../common/project.js';
import { readBytes } from '../common/read-file.js';
import type { Build } from './builds.js';
import { isCompiledFrom, sourcesOfMap } from './trace/traced-build.js';

/** What a build was compiled from, or the reason why its sources are not available. */
export const sourcesOf = oncePer(async ({ file, controller, from }: Build): Promise<ControllerSources | string> => {
  if (from !== undefined) return from;
  const map = `${file}.map`;
  if (!existsSync(map)) return `the sources of ${basename(file)} are missing, because there is no ${basename(map)}`;
  const sources = sourcesOfMap(map);
  if (sources === undefined) return `${basename(map)} is damaged, or contains no sources`;
  const found = { ...readControllerSources(TOOL_ROOT), sources, foreign: { contract: controller.description.contract } };
  const isOwn = await isCompiledFrom(readBytes(file, 'binary'), controller.description, found);
  return isOwn ? found : `${basename(map)} does not belong to the binary, or is incomplete`;
});
