import { Assessor } from '../assess/assessor.js';
import { BANK_FIGURES, type Figure, ROW_FIGURES } from '../assess/metrics.js';
import { InputError } from '../common/input-error.js';
import { describeContract } from '../contract/contract.js';
import { messageBytes, messageRecords } from '../contract/messages.js';
import { ClosedLoop, type RunChoice } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import { type Drive, inputCopier, makeSides, messageCopier, type Side, type SideChoice, sameLayout } from './drive.js';
import { figureChange, worstFirst } from './replay-figures.js';
import type { FigureChange } from './review.js';

/** A side with a machine and a field of its own. */
interface Loop {
  readonly side: Side;
  readonly loop: ClosedLoop;
  readonly assessor: Assessor;
  /** Inputs that it does not get. */
  readonly lacking: readonly string[];
  /** Figures that it does not give. */
  readonly missing: readonly string[];
  /** After a tick: puts its probes where the assessor reads them. */
  readonly show: () => void;
}

/** Figures that are made from a probe of the controller. */
const FIGURE_OF: Readonly<Record<string, string>> = { waitTicks: 'longestWaitMs', closeWaitTicks: 'longestCloseWaitMs' };

function beginLoop(side: Side, plant: WebAssembly.Module, scenario: Scenario, run: RunChoice): Loop {
  const { rows, tickHz, file } = scenario;
  const theirs = side.controller.description.contract;
  // Plant and assessor know this checkout's contract only.
  const contract = describeContract();
  const [out, ours] = [messageRecords(theirs, 'output'), messageRecords(contract, 'output')];
  if (!sameLayout(out.bank, ours.bank) || !sameLayout(out.row, ours.row)) {
    const allowed = 'a build with this checkout’s outputs; vectors are compared whatever the layouts';
    throw new InputError({ file, what: 'build whose orders the simulated machine cannot read', allowed });
  }
  const inputs = inputCopier(messageRecords(contract, 'input'), side);
  const loop = new ClosedLoop(side.target, plant, scenario, run, inputs.copy);
  const probe = new Uint8Array(messageBytes(contract, 'probe', rows));
  const probes = messageCopier(messageRecords(theirs, 'probe'), messageRecords(contract, 'probe'), rows, probe);
  return {
    side,
    loop,
    assessor: new Assessor({ contract, rows, tickHz, views: { ...loop.views, input: loop.plant.input, probe } }),
    lacking: inputs.lacking,
    missing: probes.lacking.flatMap((name) => FIGURE_OF[name] ?? []),
    show: () => probes.copy(side.target.probe),
  };
}

/** Figures of the machine's truth on both sides. */
function figureChanges(loops: { readonly old: Loop; readonly new: Loop }): FigureChange[] {
  const [old, fresh] = [loops.old.assessor.finish(), loops.new.assessor.finish()];
  const found = ({ missing }: Loop, name: string, value: number): number => (missing.includes(name) ? Number.NaN : value);
  const change = (figure: Figure, a: number, b: number): FigureChange =>
    figureChange(figure, found(loops.old, figure.name, a), found(loops.new, figure.name, b));
  const rows = ROW_FIGURES.map((figure) => change(figure, old.over[figure.name][figure.over], fresh.over[figure.name][figure.over]));
  return worstFirst([...rows, ...BANK_FIGURES.map((figure) => change(figure, old.bank[figure.name], fresh.bank[figure.name]))]);
}

/**
 * Each side in a closed loop with a machine of its own, on the same field, seed and faults: inputs are the same until the first
 * order that is not.
 * @throws InputError when a build's outputs are laid out otherwise than this checkout's, or a side refuses the run
 */
export function driveByScenario(scenario: Scenario, plant: WebAssembly.Module, run: RunChoice, old: SideChoice, fresh: SideChoice): Drive {
  const sides = makeSides({ old, new: fresh }, scenario, scenario.file);
  const loops = { old: beginLoop(sides.old, plant, scenario, run), new: beginLoop(sides.new, plant, scenario, run) };
  const both = [loops.old, loops.new];
  const { rows, tickHz, timeline } = scenario;
  let tick = 0;
  return {
    rows,
    tickHz,
    ticks: timeline.ticks,
    old: loops.old.side,
    new: loops.new.side,
    notes: (['old', 'new'] as const).flatMap((side) => loops[side].lacking.map((name) => `input ${name} of ${side} is not simulated: 0`)),
    feed(at) {
      tick = at;
      for (const { loop } of both) loop.feed(at);
    },
    obey() {
      for (const { loop, assessor, show } of both) {
        loop.obey();
        show();
        assessor.take(tick);
      }
    },
    close: () => {},
    // A controller that stops in its first tick has no figures.
    figures: () => (tick === 0 ? [] : figureChanges(loops)),
  };
}
