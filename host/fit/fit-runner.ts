import type { ParameterValues } from '../contract/contract.js';
import { type Controller, type ControllerExports, instantiateController, type WasmRunner } from '../runner/wasm-runner.js';

interface FitExports extends ControllerExports {
  setOrder(valve: number, order: number): void;
}

/** Runs the controller under recorded orders: see assembly/fit. */
export interface FitRunner extends WasmRunner {
  /** Sets the recorded order of the next tick. `valve`: supply, then return valve of each row; `order`: an Order. */
  setOrder(valve: number, order: number): void;
}

/** @param fit the controller with its entry for fitting; throws as `createWasmRunner` does */
export function createFitRunner(fit: Controller, rows: number, values: ParameterValues): FitRunner {
  const { runner, exports } = instantiateController<FitExports>(fit, rows, values);
  return { ...runner, setOrder: exports.setOrder };
}
