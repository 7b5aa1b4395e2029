import { type ChipName, chipOf, installCommand } from '../../host/chip/chips.js';
import { missingTool } from './missing-tool.js';

/** Whether something that a chip needs is not installed: says what is not run, or with REQUIRE_ALL=1 fails. */
export function isChipMissing(name: ChipName): boolean {
  const chip = chipOf(name);
  const tools = ['wasm2c', `${chip.tools}gcc`, ...(chip.emulator?.slice(0, 1) ?? [])];
  return tools.map((tool) => missingTool(tool, installCommand([chip]))).includes(true);
}
