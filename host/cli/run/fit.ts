import { compileFit } from '../../build/controller.js';
import { refuseOverwritingInput } from '../../common/write-atomic.js';
import { describeContract } from '../../contract/contract.js';
import { identifyRun } from '../../contract/run-identity.js';
import { fitRecordings, fittedValues } from '../../fit/fit.js';
import { openRun } from '../../fit/recorded-run.js';
import { writeFitted } from '../../fit/write-fitted.js';
import type { System } from '../../report/form/units.js';
import { fitText } from '../../report/parameters/fit-text.js';
import { identifyBuild, readBuild } from '../../review/builds.js';
import { resolveParameters } from '../../simulate/run-options.js';
import { command } from '../context.js';
import { checkFlags, UNITS_RULE } from '../flag-rules.js';

interface Flags {
  readonly output?: string;
  readonly parameters?: string;
  readonly set?: readonly string[];
  readonly horizonMs: number;
  readonly ridge: number;
  readonly pulses: number;
  readonly units?: System;
  readonly json?: boolean;
}

/** The flags as they are typed. */
function typedFlags({ horizonMs, ridge, pulses, parameters, set = [] }: Flags): string[] {
  const numbers = ['--horizon-ms', horizonMs, '--ridge', ridge, '--pulses', pulses].map(String);
  return [...numbers, ...(parameters === undefined ? [] : ['--parameters', parameters]), ...set.flatMap((one) => ['--set', one])];
}

export default command<Flags, string[]>(async (job, flags, ...files) => {
  checkFlags(flags, [UNITS_RULE]);
  const { output, parameters, horizonMs, ridge, pulses } = flags;
  const ours = describeContract();
  const values = resolveParameters({}, flags, ours);
  if (output !== undefined) refuseOverwritingInput(output, ...files, ...(parameters === undefined ? [] : [parameters]));
  // Inputs first: compiling takes longer.
  for (const one of files) openRun(one, ours);
  const { file } = await compileFit(job.project.root);
  const build = readBuild('.', file);
  const { controller } = build;
  const { contract } = controller.description;
  const onProgress = job.progress.percentOf('fitting');
  const fit = fitRecordings({ controller, files, values, horizonMs, ridge, pulsesPerMin: pulses, onProgress });
  const made = { controller: identifyBuild(build), ranWith: identifyRun(contract, values) };
  const json = { ...made, settings: { horizonMs, ridge, pulsesPerMin: pulses }, ...fit };
  const text = fitText(fit, contract, made, flags.units);
  if (output === undefined || !fit.isBetter) return { text, json, passed: fit.isBetter };
  writeFitted(output, fittedValues(fit, values), contract, files, typedFlags(flags));
  return { text: `${text}\n${output} written\n`, json: { ...json, file: output }, passed: true };
});
