import { expect, it } from 'vitest';
import { readScenario, scenarioNames } from '../../host/simulate/scenario.js';
import { latchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';

const names = scenarioNames(PROJECT);

it.each(names)('%s requires something', (name) => expect(readScenario(PROJECT, name).requirements.length).toBeGreaterThan(0));

it('latchbench simulate runs every scenario of the checkout, and all pass', async () => {
  const { status, out } = await latchbench('simulate');
  const lines = out.split('\n');
  for (const name of names) expect(lines.find((line) => line.startsWith(`${name} `))).toMatch(/ met$/);
  expect(out).toContain(`${names.length} scenarios: ${names.length} met, 0 not met; `);
  expect(status).toBe(0);
}, 600_000);
