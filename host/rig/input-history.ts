/** Steps whose inputs are kept: what a board may still report as used, far beyond the delay of any link that can be judged. */
const STEPS_KEPT = 1 << 14;

/** Inputs by the step that they are stamped for, with when they were sent. */
export class InputHistory {
  private readonly inputs: Uint8Array;
  private readonly steps = new Float64Array(STEPS_KEPT).fill(-1);
  private readonly sentTicks = new Float64Array(STEPS_KEPT);

  /** @param inputBytes size of the inputs of a step */
  constructor(readonly inputBytes: number) {
    this.inputs = new Uint8Array(STEPS_KEPT * inputBytes);
  }

  /** Keeps the inputs of a step. @param sentTick of the board's timer, with fractions, when they are sent */
  put(step: number, inputs: Uint8Array, sentTick: number): void {
    const slot = step % STEPS_KEPT;
    this.steps[slot] = step;
    this.sentTicks[slot] = sentTick;
    this.inputs.set(inputs, slot * this.inputBytes);
  }

  /** The inputs of a step; undefined if none were sent for it, or too long ago. A view that is valid until the next `put`. */
  get(step: number): Uint8Array | undefined {
    const slot = step % STEPS_KEPT;
    return this.steps[slot] === step ? this.inputs.subarray(slot * this.inputBytes, (slot + 1) * this.inputBytes) : undefined;
  }

  /** Tick of the board's timer at which they were sent. */
  sentAt(step: number): number | undefined {
    const slot = step % STEPS_KEPT;
    return this.steps[slot] === step ? this.sentTicks[slot] : undefined;
  }
}
