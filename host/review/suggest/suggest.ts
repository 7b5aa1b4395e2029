import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describeContract, type ParameterValues } from '../../contract/contract.js';
import { messageBytes, messageRecords } from '../../contract/messages.js';
import { brokenRule, type WrittenParameters } from '../../contract/parameter-values.js';
import { ClosedLoop, type RunSettings } from '../../simulate/run.js';
import type { Scenario } from '../../simulate/scenario.js';
import type { VectorCase } from '../../vector/vector.js';
import type { Build } from '../builds.js';
import { configOf } from '../review-task.js';
import { inputCopier, makeSide, SideRefused } from '../run-pair.js';
import { firstTicks, type InputBuffer, keepRows, readInputs } from '../shrink/input-buffer.js';
import { type Subject, subjectWith } from '../shrink/shrink-vector.js';
import { Trials } from '../shrink/trial.js';
import { changedInputs, changedParameters, Draw, type Interest } from './mutations.js';

/*
 * Looks for inputs on which two builds differ although no vector shows it: inputs of vectors, and of scenarios in closed loop with
 * base on other random fields, are changed at random together with parameters, and both builds run over them. It ends after a number
 * of ticks and not of seconds, and every draw comes from the seed, so that a search can be repeated.
 */

/** What to look through. */
export interface SuggestInput {
  readonly builds: { readonly base: Build; readonly head: Build };
  /** How much each signal and parameter is worth changing. */
  readonly interest: Interest;
  readonly vectors: readonly VectorCase[];
  readonly scenarios: readonly Scenario[];
  readonly plant: WebAssembly.Module;
  readonly seed: number;
  /** Ticks of all rows to run at most. */
  readonly rowTicks: number;
}

/** What a search has found. */
export interface Found {
  /** What shows the difference, ready to be shrunk; undefined if nothing was found. */
  readonly subject: Subject | undefined;
  /** Inputs that were tried, and ticks of all their rows. */
  readonly tried: number;
  readonly rowTicks: number;
}

/** Inputs with what they come from. */
interface Candidate {
  readonly vector: VectorCase;
  readonly inputs: InputBuffer;
}

/** Share of the candidates that are made from a scenario. */
const SCENARIO_SHARE = 0.1;
/** Rows and ticks of a candidate: enough for what happens after the start, and few enough to try many. */
const ROWS_MAX = 3;
const TICKS = [4000, 8000, 12_000, 30_000] as const;
/** A scenario with more rows takes too long. */
const SCENARIO_ROWS_MAX = 6;
const SEEDS = 1000;
/** Runs for shrinking what was found. */
const SHRINK_TRIES = 3000;

const written = (values: ParameterValues): WrittenParameters => {
  const { parameters } = describeContract();
  return Object.fromEntries(
    Object.entries(values).map(([name, value]) => [name, parameters.find((one) => one.name === name)?.choices?.[value] ?? value]),
  );
};

/** What a scenario's controller gets while base controls. */
function recordScenario(scenario: Scenario, plant: WebAssembly.Module, base: Build, settings: RunSettings, ticks: number): InputBuffer {
  const contract = describeContract();
  const { rows, tickHz, timeline, file } = scenario;
  const side = makeSide(configOf({ build: base }, settings.parameters), rows, file);
  const layout = { ...messageRecords(contract, 'input'), rows, bytes: messageBytes(contract, 'input', rows) };
  const loop = new ClosedLoop(side.runner, plant, scenario, settings, inputCopier(layout, side).copy);
  const count = Math.min(ticks, timeline.ticks);
  const bytes = new Uint8Array(count * layout.bytes);
  for (let tick = 0; tick < count; tick++) {
    loop.stepPlant(tick);
    bytes.set(loop.plant.input, tick * layout.bytes);
    side.runner.tick();
    loop.passOrders();
  }
  return { layout, tickHz, ticks: count, bytes };
}

class Search {
  private readonly draw: Draw;
  private readonly recorded = new Map<VectorCase, InputBuffer>();
  private readonly scenarios: readonly Scenario[];
  private rowTicks = 0;
  private tried = 0;

  constructor(private readonly input: SuggestInput) {
    this.draw = new Draw(xoroshiro128plus(input.seed));
    this.scenarios = input.scenarios.filter(({ rows }) => rows <= SCENARIO_ROWS_MAX);
  }

  run(onTry: (share: number) => void): Found {
    const { rowTicks: max } = this.input;
    let subject: Subject | undefined;
    const isEmpty = this.input.vectors.length === 0 && this.scenarios.length === 0;
    while (subject === undefined && this.rowTicks < max && !isEmpty) {
      onTry(this.rowTicks / max);
      subject = this.attempt();
    }
    return { subject, tried: this.tried, rowTicks: this.rowTicks };
  }

  private attempt(): Subject | undefined {
    const { draw, input } = this;
    const ticks = draw.pick(TICKS);
    const isSimulated = this.scenarios.length > 0 && (input.vectors.length === 0 || draw.share() < SCENARIO_SHARE);
    const from = isSimulated ? this.fromScenario(ticks) : this.fromVector(ticks);
    if (from === undefined) return undefined;
    const values = changedParameters(describeContract().parameters, input.interest, draw);
    const changed = this.fewerRows(changedInputs(from.inputs, input.interest, draw));
    return this.differing({ ...from, inputs: changed }, values);
  }

  private fromVector(ticks: number): Candidate {
    const vector = this.draw.pick(this.input.vectors);
    const inputs = this.recorded.get(vector) ?? readInputs(vector.inputFile, describeContract());
    this.recorded.set(vector, inputs);
    return { vector, inputs: this.fewerRows(firstTicks(inputs, ticks)) };
  }

  private fromScenario(ticks: number): Candidate | undefined {
    const { draw, input } = this;
    const scenario = draw.pick(this.scenarios);
    const seed = 1 + draw.index(SEEDS);
    const { rows, tickHz, title, name, file, parameters } = scenario;
    const settings: RunSettings = { seed, parameters, actuation: 'latching' };
    try {
      const inputs = recordScenario(scenario, input.plant, input.builds.base, settings, ticks);
      this.rowTicks += inputs.ticks * rows;
      const origin = `Simulated: scenario ${name}, seed ${seed}. Invented data.`;
      const files = { caseFile: file, inputFile: file, expectedFile: file };
      const own = Object.fromEntries(Object.entries(parameters).filter(([one]) => one !== 'tickHz'));
      return {
        inputs,
        vector: { name, requested: name, title, why: title, origin, rows, tickHz, values: parameters, parameters: written(own), ...files },
      };
    } catch (error) {
      // Base may stop or refuse: then there is nothing to record.
      if (error instanceof SideRefused || error instanceof WebAssembly.RuntimeError) return undefined;
      throw error;
    }
  }

  private fewerRows(inputs: InputBuffer): InputBuffer {
    const { rows } = inputs.layout;
    if (rows <= ROWS_MAX) return inputs;
    const first = this.draw.index(rows - ROWS_MAX + 1);
    return keepRows(inputs, [first, first + 1, first + 2]);
  }

  /** Runs both builds over a candidate with some other values of parameters. */
  private differing({ vector, inputs }: Candidate, values: Record<string, number>): Subject | undefined {
    const { builds, seed } = this.input;
    const trial = (changed: Record<string, number>) => {
      const all = { ...vector.values, ...changed };
      if (brokenRule(all, describeContract()) !== undefined) return undefined;
      this.rowTicks += inputs.ticks * inputs.layout.rows;
      const config = (build: Build) => configOf({ build }, all);
      try {
        return new Trials({ base: config(builds.base), head: config(builds.head) }, 1).find(inputs);
      } catch (error) {
        if (error instanceof SideRefused) return undefined;
        throw error;
      }
    };
    this.tried += 1;
    const found = trial(values);
    if (found === undefined || (found.class.kind === 'stopped' && found.class.side === 'both')) return undefined;
    // Parameters that are not needed only distract.
    let needed = values;
    for (const name of Object.keys(values)) {
      const { [name]: _, ...fewer } = needed;
      if (trial(fewer) !== undefined) needed = fewer;
    }
    const made: VectorCase = {
      ...vector,
      rows: inputs.layout.rows,
      values: { ...vector.values, ...needed },
      parameters: { ...vector.parameters, ...written(needed) },
      origin: `Inputs of ${vector.name}, changed at random with seed ${seed} until the builds differed. Origin of those: ${vector.origin}`,
    };
    return subjectWith(made, builds, inputs, SHRINK_TRIES);
  }
}

/**
 * Looks for inputs on which two builds differ.
 * @param onTry called before each try with the share of the ticks that are spent
 */
export const suggest = (input: SuggestInput, onTry: (share: number) => void = () => {}): Found => new Search(input).run(onTry);
