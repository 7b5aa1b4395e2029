import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { loadController } from '../../../host/runner/wasm-runner.js';
import { loadPlant } from '../../../host/simulate/plant.js';
import { runScenario } from '../../../host/simulate/run.js';
import { readScenario } from '../../../host/simulate/scenario.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const file = join(temporaryFolder(), 'parts.yaml');

it('metrics of segments add up to those of the whole run', () => {
  writeFileSync(
    file,
    `title: Three parts\nstory: Invented.\nrows: 1\nseconds: 8\nfield:\n  class: D\n  segments: [{ toM: 3 }, { name: soft, toM: 12, hardnessRatio: 0.5 }, {}]\n`,
  );
  const { metrics } = runScenario(loadController(PROJECT.controllerWasm), loadPlant(), readScenario(PROJECT, file));
  const segments = metrics.segments ?? [];
  expect(segments.map(({ name, fromM, toM }) => [name, fromM, toM])).toEqual([
    ['segment 1', 0, 3],
    ['soft', 3, 12],
    ['segment 3', 12, 24],
  ]);
  // 3 m/s: the first second, in which nothing is assessed yet; then 2 to 4 s and 4 to 8 s.
  expect(segments.map(({ assessedS }) => Math.round(10 * assessedS) / 10)).toEqual([0, 2, 4]);
  expect(segments[0]?.over.loadRmsN?.mean).toBeNaN();
  const total = (of: (index: number) => number): number => segments.slice(1).reduce((sum, _, index) => sum + of(index + 1), 0);
  const assessedS = total((index) => segments[index]?.assessedS ?? 0);
  const value = (index: number, name: 'loadRmsN' | 'inBandPercent'): number => segments[index]?.over[name]?.mean ?? 0;
  expect(total((index) => (segments[index]?.assessedS ?? 0) * value(index, 'inBandPercent')) / assessedS).toBeCloseTo(
    metrics.over.inBandPercent.mean,
    9,
  );
  // Mean squares, weighted with time.
  expect(Math.sqrt(total((index) => (segments[index]?.assessedS ?? 0) * value(index, 'loadRmsN') ** 2) / assessedS)).toBeCloseTo(
    metrics.over.loadRmsN.mean,
    9,
  );
});
