import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../host/common/input-error.js';
import { describeContract } from '../../host/contract/contract.js';
import { messageBytes } from '../../host/contract/messages.js';
import { readParameterFile } from '../../host/contract/parameter-values.js';
import { parseContract } from '../../host/contract/read-contract.js';
import { readMachineFile } from '../../host/machine/machine.js';
import { readNumber } from '../../host/recording/csv/csv-clock.js';
import { CsvFile } from '../../host/recording/csv/csv-file.js';
import { readCsvMapping } from '../../host/recording/csv/csv-mapping.js';
import { openRecording } from '../../host/recording/reader.js';
import { RecordingWriter } from '../../host/recording/writer.js';
import { outputSignals } from '../../host/replay/change.js';
import { readScenario } from '../../host/simulate/scenario.js';
import { readCatalogue } from '../../host/sizing/search/catalogue.js';
import { readTuning } from '../../host/tune/tuning-file.js';
import { readExpected } from '../../host/vector/expected.js';
import { readVectorFolder } from '../../host/vector/vector.js';
import { BadBinary } from '../../host/wasm/bytes.js';
import { mutations } from '../support/hostile/mutations.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const SEED = 17;
/** Time for one input, ms; the longest takes a few, and a loaded computer may stop for a while. */
const LONGEST_MS = 2000;

const folder = temporaryFolder();
const contract = describeContract();
const signals = outputSignals(contract);
const vector = join(PROJECT.vectors, 'relatch-at-rest');
/** The start of a file of the project, up to the end of a line. */
const startOf = (path: string, length: number): string => {
  const text = readFileSync(path, 'utf8');
  return text.slice(0, text.indexOf('\n', length) + 1 || undefined);
};

function recording(): Buffer {
  const file = join(folder, 'small.mcap');
  const writer = RecordingWriter.create(file, { contract, rows: 1, tickHz: 1000, messages: ['input'], about: { title: 'A', source: 'B' } });
  for (let tick = 0; tick < 20; tick++) writer.write('input', tick, new Uint8Array(messageBytes(contract, 'input', 1)).fill(tick));
  writer.close();
  return readFileSync(file);
}

function readLog(file: string): void {
  const csv = new CsvFile(file);
  try {
    for (const row of csv.rows()) readNumber(csv, row, 1);
  } finally {
    csv.close();
  }
}

function readMessages(file: string): void {
  for (const message of openRecording(file, contract).messages()) expect(message.payload.length).toBeGreaterThan(0);
}

const drain = (all: Iterable<unknown>): void => {
  for (const _ of all);
};

/** A reader of files, the text of a valid one, and the number of inputs to try. */
type Case = readonly [name: string, file: string, valid: string | Uint8Array, runs: number, read: (file: string) => unknown];

const CASES: readonly Case[] = [
  ['machines', 'machine.yaml', startOf(join(PROJECT.machines, 'default.yaml'), 300), 1500, (file) => readMachineFile(file)],
  [
    'scenarios',
    'scenario.yaml',
    'title: A\nstory: B\nrows: 2\nseconds: 1\nfield: { class: D }\nevents: [{ what: rail-loss, atS: 0.5, forS: 0.1 }]\nrequirements: []\n',
    1500,
    (file) => readScenario(PROJECT, file),
  ],
  [
    'mappings',
    'map.yaml',
    'rows: 2\ntime: { column: t, unit: ms }\nsignals:\n  - { signal: targetLoadN, value: 450, unit: N }\n  - { signal: loadCounts, row: all, column: a, scale: 9.81 }\n',
    2000,
    (file) => readCsvMapping(file, contract),
  ],
  [
    'parameters',
    'parameters.yaml',
    startOf(join(PROJECT.root, 'vectors/parameters/cascade.yaml'), 200),
    2000,
    (file) => readParameterFile(file, contract),
  ],
  ['vectors', 'case.yaml', startOf(join(vector, 'case.yaml'), 400), 1500, () => readVectorFolder(folder)],
  [
    'catalogues',
    'catalogue.yaml',
    'title: A\nscenario: target-step\nchoices:\n  hose:\n    each: row\n    options: [{ cost: 52, valveFlowLpm: 4 L/min }]\n',
    1000,
    (file) => readCatalogue(PROJECT, file, 2),
  ],
  [
    'tuning files',
    'tuning.yaml',
    'title: A\nscenarios: [target-step]\nseeds: { first: 1, count: 2, fresh: 3 }\nparameters:\n  deadbandN: { min: 5, max: 130, scale: log }\nevaluations: 9\n',
    500,
    (file) => readTuning(PROJECT, file),
  ],
  ['logs', 'log.csv', 't,load\n0,1200\n0.01,"1201"\n0.02,1202e1\n', 10_000, readLog],
  ['recordings', 'recording.mcap', recording(), 10_000, readMessages],
  ['recordings of vectors', 'input.mcap', readFileSync(join(vector, 'input.mcap')), 300, readMessages],
  ['accepted outputs', 'expected.csv', startOf(join(vector, 'expected.csv'), 400), 10_000, (file) => drain(readExpected(file, 4, signals))],
  ['contracts', 'contract.json', JSON.stringify(contract), 10_000, (file) => parseContract(readFileSync(file))],
];

describe('a file with a few changes is read or refused, quickly, and never breaks the program:', () => {
  mkdirSync(folder, { recursive: true });

  it.each(CASES)('%s', (_, name, valid, runs, read) => {
    const file = join(folder, name);
    writeFileSync(file, valid);
    read(file);
    let refused = 0;
    fc.assert(
      fc.property(mutations(Buffer.from(valid)), (bytes) => {
        writeFileSync(file, bytes);
        const start = performance.now();
        try {
          read(file);
        } catch (error) {
          if (!(error instanceof InputError || error instanceof BadBinary)) throw error;
          refused += 1;
          expect(error.message.length).toBeLessThan(1000);
        }
        expect(performance.now() - start).toBeLessThan(LONGEST_MS);
      }),
      { numRuns: runs, seed: SEED, interruptAfterTimeLimit: 150_000, markInterruptAsFailure: true },
    );
    // Most changes do damage; if none did, nothing was tried.
    expect(refused).toBeGreaterThan(runs / 4);
  });
});
