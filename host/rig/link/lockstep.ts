import { parameterBytes } from '../../chip/chip-runner.js';
import type { ParameterValues } from '../../contract/contract.js';
import type { BuildDescription } from '../../contract/embed.js';
import { messageBytes } from '../../contract/messages.js';
import { ParameterRefused, RestartNeeded } from '../../runner/runner.js';
import type { Greeting, LockstepRun, TicksResult } from '../board.js';
import type { Link } from './link.js';

/** @throws ParameterRefused or RestartNeeded for the result of lb_reconfigure(), as latchbench-chip.h describes it */
export function requireReconfigured({ contract }: BuildDescription, result: number): void {
  const name = contract.parameters[Math.abs(result) - 1]?.name ?? `number ${Math.abs(result)}`;
  if (result > 0) throw new ParameterRefused(name);
  if (result < 0) throw new RestartNeeded(name);
}

/** Drives a configured board in lockstep. */
export class LinkLockstep implements LockstepRun {
  readonly ticksMax: number;
  readonly window: number;
  private readonly inputBytes: number;
  private readonly outputBytes: number;

  constructor(
    private readonly link: Link,
    private readonly description: BuildDescription,
    private readonly greeting: Greeting,
    readonly rows: number,
  ) {
    this.inputBytes = messageBytes(description.contract, 'input', rows);
    this.outputBytes = messageBytes(description.contract, 'output', rows);
    this.ticksMax = Math.floor(greeting.requestBytes / this.inputBytes);
    this.window = greeting.window;
  }

  async runTicks(inputs: Uint8Array): Promise<TicksResult> {
    const ticks = inputs.length / this.inputBytes;
    const answer = await this.link.request('ticks', Uint8Array.from(inputs));
    const { countCost } = this.greeting;
    const [chain, total, max] = [0, 4, 8].map((at) => answer.getUint32(this.outputBytes + at, true));
    return {
      output: new Uint8Array(answer.buffer, answer.byteOffset, this.outputBytes),
      chain: chain ?? 0,
      counts: { total: (total ?? 0) - ticks * countCost, max: (max ?? 0) - countCost },
    };
  }

  async stateHash(): Promise<number> {
    return (await this.link.request('hash')).getUint32(0, true);
  }

  async reconfigure(values: ParameterValues): Promise<void> {
    const answer = await this.link.request('reconfigure', parameterBytes(this.description, values));
    requireReconfigured(this.description, answer.getInt32(0, true));
  }

  async end(): Promise<void> {
    await this.link.request('endRun');
    this.link.run = undefined;
  }
}
