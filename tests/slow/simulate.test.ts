import { expect, it } from 'vitest';
import { scenarioNames } from '../../host/simulate/scenario.js';
import { latchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';

it('latchbench simulate runs every scenario of the checkout, and all pass', async () => {
  const { status, out } = await latchbench('simulate');
  const lines = out.split('\n');
  const names = scenarioNames(PROJECT);
  for (const name of names) expect(lines.find((line) => line.startsWith(`${name} `))).toMatch(/ met$/);
  expect(out).toContain(`${names.length} scenarios: ${names.length} met, 0 not met; `);
  expect(status).toBe(0);
});
