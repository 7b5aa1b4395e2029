import { chipOf, installCommand, toolsOf } from '../../host/chip/chips.js';
import { missingTool } from './missing-tool.js';

/** Whether something that a chip needs is not installed. Reports every tool that is missing; with REQUIRE_ALL=1 it throws. */
export function isChipMissing(name: string): boolean {
  const chip = chipOf(name);
  return toolsOf(chip)
    .map((tool) => missingTool(tool, installCommand([chip])))
    .includes(true);
}
