import { Valve } from './generated/enums';
import {
  BandState,
  ChannelState,
  ContactState,
  channelState,
  contactState,
  DetectorState,
  detector,
  FaultState,
  FaultTimer,
  inertiaBand,
  LoopState,
  loadBand,
  loadLowPass,
  loadMedian,
  loopState,
  lugNotch,
  MedianState,
  MotionState,
  motion,
  motionBand,
  OffsetState,
  offsetState,
  PairState,
  PredictorState,
  PreviewState,
  pairState,
  predictor,
  pressureBand,
  pressureLowPass,
  pressureMedian,
  preview,
  RowInput,
  RowOutput,
  RowProbe,
  rowFaults,
  rowFaultTimer,
  rowInput,
  rowOutput,
  rowProbe,
  SecondOrderState,
  ValveState,
  valveState,
  ZeroState,
  zeroState,
} from './generated/records';

/**
 * A row of the bank, as a handle: the handle is the row's index, its properties are the row's records. It occupies no memory.
 */
@unmanaged
@final
export class Row {
  /** Counted from 0. */
  get index(): i32 {
    return <i32>changetype<usize>(this);
  }
  get input(): RowInput {
    return rowInput(this.index);
  }
  get output(): RowOutput {
    return rowOutput(this.index);
  }
  get probe(): RowProbe {
    return rowProbe(this.index);
  }
  /** `which`: a Channel of a row. */
  channel(which: u8): ChannelState {
    return channelState(this.index, which);
  }
  get zero(): ZeroState {
    return zeroState(this.index);
  }
  get contact(): ContactState {
    return contactState(this.index);
  }
  get offset(): OffsetState {
    return offsetState(this.index);
  }
  get loadMedian(): MedianState {
    return loadMedian(this.index);
  }
  get lugNotch(): SecondOrderState {
    return lugNotch(this.index);
  }
  get loadLowPass(): SecondOrderState {
    return loadLowPass(this.index);
  }
  get pressureMedian(): MedianState {
    return pressureMedian(this.index);
  }
  get pressureLowPass(): SecondOrderState {
    return pressureLowPass(this.index);
  }
  get loop(): LoopState {
    return loopState(this.index);
  }
  get predictor(): PredictorState {
    return predictor(this.index);
  }
  get preview(): PreviewState {
    return preview(this.index);
  }
  get motion(): MotionState {
    return motion(this.index);
  }
  get motionBand(): BandState {
    return motionBand(this.index);
  }
  get pressureBand(): BandState {
    return pressureBand(this.index);
  }
  get inertiaBand(): BandState {
    return inertiaBand(this.index);
  }
  get loadBand(): BandState {
    return loadBand(this.index);
  }
  get detector(): DetectorState {
    return detector(this.index);
  }
  get pair(): PairState {
    return pairState(this.index);
  }
  /** `which`: a Valve. */
  valve(which: u8): ValveState {
    return valveState(this.index, which);
  }
  get supply(): ValveState {
    return this.valve(Valve.Supply);
  }
  get returnValve(): ValveState {
    return this.valve(Valve.Return);
  }
  get faults(): FaultState {
    return rowFaults(this.index);
  }
  /** Of the fault of bit 0; the others follow. */
  get firstFaultTimer(): FaultTimer {
    return rowFaultTimer(this.index, 0);
  }
  /** Faults that are set, and conditions that may become faults: what restricts the row now. */
  get activeFaults(): u32 {
    return this.probe.conditions | this.faults.faults;
  }
}

/** The row of this index, from 0. */
export function rowAt(index: i32): Row {
  return changetype<Row>(<usize>index);
}
