import { describe } from 'vitest';
import { testLocating, testPairs } from '../support/locate-bugs.js';
import { MORE_BUGS, SAMPLE_BUGS, type SeededBug } from '../support/seeded-bugs.js';

describe('a review finds tick, signal and line of more one-line bugs', () => testLocating(MORE_BUGS));

/** The bug that puts this text in the place of another. */
function bugWith(text: string): SeededBug {
  const found = [...SAMPLE_BUGS, ...MORE_BUGS].filter(({ replace }) => replace.includes(text));
  if (found.length !== 1 || found[0] === undefined) throw new Error(`${found.length} bugs with ${text}`);
  return found[0];
}

/** In some the second shows only once the first is put back, in others both show in configure(), in the last ones on other vectors. */
const PAIRS: readonly (readonly [string, string])[] = [
  ['WARM_C: f32 = 41', 'residualStepKpa = 1'],
  ['BAND_3_HZ: f32 = 2.1', 'isPushing = (unlimitedKpa - loop.setPointKpa) * errorN >= 0'],
  ['unitAtZero = atTenPercent - (atNinetyPercent - atTenPercent) / 9', 'strokeTicks + 1'],
  ['state.meteredKpa += probe.returnStepKpa', 'changeKpa * stepKpaPerTick'],
  ['1 / (1 + g * (g - k))', 'valve.belief = Belief.Closed'],
  ['ticks + 2', 'gainForgetting - spread * expectedKpa'],
  ['isLowered ? BankMode.Lifted', 'distanceN + distanceN'],
  ['cleanTicks < 3', 'loadRawN + zero.firstN'],
  ['Check.Range : Check.Range', 'timer.ticks <= limit'],
  ['spreadN >= p.zeroSpreadN', 'channel.value + probe.zeroN'],
  ['c.band2Weight * (d', 'p.loadTrend2Weight * probe.loadTrend1N'],
  ['cusumDownKpa + evidenceKpa', 'noVelocityTicks !== 0 && detector'],
  ['driftKpa - coolingKpa', '2 * low + state.second'],
  ['flowMlPerMs + c.tickMs', 'p.deadbandMode !== 0'],
  ['if (!hasPulsed)', 'probe.loadN - bank.targetLoadN'],
  ['highestKpa < pressureKpa', 'loop.setPointKpa + p.loadProportionalKpaPerN'],
  ['sqrt<f32>(dropKpa);', 'bank.lowered === 0 ?'],
  ['storedMj + <f32>strokesInFlight', 'probe.closesNeeded !== 0'],
  ['RowFault.ANY_HOLD) === 0', 'unitPerCount - setting.unitAtZero'],
  ['assert(valve.request === Order.None)', 'const openSlots = slots;'],
];

describe('a review names both bugs of a change', () => testPairs(PAIRS.map(([one, other]) => [bugWith(one), bugWith(other)] as const)));
