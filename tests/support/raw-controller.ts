import type { ParameterValues } from '../../host/contract/contract.js';
import { controller } from './bench.js';
import { Records } from './records.js';

/** The controller's exports without the host's checks: for input that the host would refuse. */
export class RawController {
  readonly records: Records;
  readonly memory: ArrayBuffer;
  readonly configure: (rowCount: number) => number;
  readonly reconfigure: () => number;
  readonly tick: () => void;

  constructor(module: WebAssembly.Module = controller.module) {
    const { exports } = new WebAssembly.Instance(module);
    this.memory = (exports.memory as WebAssembly.Memory).buffer as ArrayBuffer;
    this.configure = exports.configure as (rowCount: number) => number;
    this.reconfigure = exports.reconfigure as () => number;
    this.tick = exports.tick as () => void;
    this.records = new Records(this.memory, controller.description.contract);
  }

  /** Writes every parameter: its value in `values`, or its default. */
  writeParameters(values: ParameterValues = {}): this {
    for (const one of controller.description.contract.parameters)
      this.records.set('parameters', 0, one.name, values[one.name] ?? one.default);
    return this;
  }
}
