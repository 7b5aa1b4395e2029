import { describe, expect, it } from 'vitest';
import { readMachine } from '../../../host/machine/machine.js';
import { type Remedy, remedyText, type WithRemedies } from '../../../host/sizing/remedies.js';
import { draftsOf, sizeMachine } from '../../../host/sizing/size-machine.js';
import { sizesOf } from '../../../host/sizing/sizes.js';
import { sizingInputOf } from '../../../host/sizing/sizing-input.js';
import { PROJECT } from '../../support/project.js';

const LARGER: Remedy = ['use larger valves', '+valves'];
const SMALLER: Remedy = ['use smaller valves', '-valves'];
const slow = (result: WithRemedies['result'] = 'fail'): WithRemedies => ({ name: 'slew', result, remedies: [LARGER, 'use thinner oil'] });
const coarse = (result: WithRemedies['result']): WithRemedies => ({ name: 'pulse', result, remedies: [SMALLER] });

describe('the remedies of a check', () => {
  it('are one sentence', () => {
    expect(remedyText(slow(), [slow()], [])).toBe('Use larger valves, or use thinner oil.');
  });

  it('name the passing checks that they work against', () => {
    expect(remedyText(slow(), [slow(), coarse('pass')], [])).toBe('Use larger valves (watch pulse), or use thinner oil.');
  });

  it.each(['marginal', 'fail'] as const)('do not ask for what makes another one worse that is %s', (result) => {
    const checks = [slow(), coarse(result)];
    expect(remedyText(slow(), checks, [])).toBe('Use thinner oil. Not on its own: use larger valves (worse for pulse).');
    expect(remedyText(coarse(result), checks, [])).toBe('Not on its own: use smaller valves (worse for slew).');
  });

  it('of a passing check only name the others', () => {
    expect(remedyText(slow('pass'), [slow('pass'), coarse('fail')], [])).toBe('Use larger valves (watch pulse), or use thinner oil.');
  });

  it('leave out what the machine does not have', () => {
    expect(remedyText(slow(), [slow()], ['valves'])).toBe('Use thinner oil.');
  });
});

/** Remedies that ask without reserve for opposite changes. */
function contradictions(name: string): string[] {
  const machine = readMachine(PROJECT, name);
  const input = sizingInputOf(machine);
  const drafts = draftsOf(sizesOf(input), input);
  const asked = sizeMachine(machine).checks.flatMap(({ name: check, result, remedy }, index) => {
    if (result === 'pass') return [];
    const [open = ''] = remedy.split('Not on its own: ');
    const changes = drafts[index]?.remedies.flatMap((one) =>
      typeof one !== 'string' && open.toLowerCase().includes(one[0]) ? [one[1]] : [],
    );
    return (changes ?? []).map((change) => ({ check, change }));
  });
  return asked.flatMap(({ check, change }) =>
    asked
      .filter((other) => other.change === `${change.startsWith('+') ? '-' : '+'}${change.slice(1)}`)
      .map((other) => `${check} ${change}, ${other.check} ${other.change}`),
  );
}

describe('the sheet of a machine', () => {
  it.each(['default', 'no-accumulator', 'field-24-row', 'wide-48-row', 'large-valves'])('%s asks for no opposite changes', (name) => {
    expect(contradictions(name)).toEqual([]);
  });
});
