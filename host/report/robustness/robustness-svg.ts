import { GROUPS, type Group } from '../../robustness/case.js';
import type { CaseResult } from '../../robustness/measure.js';
import { AIMS, isBeyond, type Summary } from '../../robustness/summary.js';
import { round, svgPicture, textAt, WIDTH } from '../form/svg.js';
import { escapeXml } from '../form/xml.js';

const LEFT = 300;
const RIGHT = WIDTH - 40;
const HEAD = 76;
const ROW = 15;
/** Random machines have no names in the drawing. */
const RANDOM_ROW = 7;
const GROUP = 26;
const FOOT = 30;
/** Ends of the axis, which is logarithmic; ratios beyond it lie on its ends. */
const MIN = 0.5;
const MAX = 5;
const MARKS = [0.5, 0.7, 1, 1.5, 2, 3, 5];

const STYLE = `
  .dot { fill: currentColor } .other { stroke: currentColor; fill: none; stroke-width: 1.2 }
  .good { color: #1769aa } .beyond { color: #c8321f } .limit { stroke: currentColor; stroke-width: 1.6 } .aim { stroke: #009070; stroke-dasharray: 4 3; fill: none }
  .one { stroke: currentColor; fill: none; stroke-width: 1 }
  @media (prefers-color-scheme: dark) { .good { color: #4fa8ea } .beyond { color: #ff7a66 } .aim { stroke: #2cc79d } }`;

const GROUP_TITLES: Readonly<Record<Group, string>> = {
  nominal: 'The nominal machine and field',
  sensors: 'Sensors',
  hydraulics: 'Oil, gas and valves',
  machine: 'The machine',
  field: 'The field',
  faults: 'Faults; judged are the rows without one',
  random: 'Random machines and fields, in ascending order',
};

const x = (ratio: number): number => {
  const share = Math.log(Math.min(MAX, Math.max(MIN, ratio)) / MIN) / Math.log(MAX / MIN);
  return LEFT + share * (RIGHT - LEFT);
};

/** The judged ratio as a dot, the other one as a ring, and the limit as a short line. An undersized machine has only a ring. */
function drawCase(result: CaseResult, y: number, isNamed: boolean): string {
  const { of, judged, ratios, addedRatio, wanted, undersized, violations, rowsLostPerH } = result;
  const isSized = undersized.length === 0 || isNamed;
  const isBad = (isNamed && isBeyond(result)) || violations.length > 0 || rowsLostPerH > 0;
  const other = judged === addedRatio && isSized ? ratios.loadRmsN : addedRatio;
  const label = `${of.name}: load RMS / nominal ${ratios.loadRmsN.toFixed(2)}, added ${addedRatio.toFixed(2)}`;
  const dot = isSized ? `<circle class="dot" cx="${round(x(judged))}" cy="${round(y)}" r="${isNamed ? 4 : 2.6}"/>` : '';
  const ring = `<circle class="other" cx="${round(x(other))}" cy="${round(y)}" r="${isNamed ? 3 : 2}"/>`;
  const limit = isNamed && of.group !== 'nominal' ? `<path class="limit" d="M${round(x(wanted))} ${round(y - 5)}v10"/>` : '';
  const name = isNamed ? textAt('ink', LEFT - 12, y + 4, of.name, 'end') : '';
  return `<g class="${isBad ? 'beyond' : 'good'}"><title>${escapeXml(label)}</title>${name}${ring}${dot}<g class="faint">${limit}</g></g>`;
}

interface Drawn {
  readonly parts: readonly string[];
  readonly bottom: number;
}

function drawGroup(group: Group, results: readonly CaseResult[], top: number): Drawn {
  const own = results.filter(({ of }) => of.group === group);
  if (own.length === 0) return { parts: [], bottom: top };
  const isRandom = group === 'random';
  const ordered = isRandom ? [...own].sort((a, b) => a.judged - b.judged) : own;
  const step = isRandom ? RANDOM_ROW : ROW;
  const first = top + GROUP;
  const bottom = first + ordered.length * step;
  const aims = isRandom
    ? Object.values(AIMS).map((aim) => `<path class="aim" d="M${round(x(aim))} ${round(first - 8)}V${round(bottom)}"/>`)
    : [];
  return {
    parts: [
      textAt('faint', LEFT - 12, top + GROUP - 10, GROUP_TITLES[group], 'end'),
      ...aims,
      ...ordered.map((one, index) => drawCase(one, first + index * step, !isRandom)),
    ],
    bottom,
  };
}

function drawAxis(bottom: number): string[] {
  const marks = MARKS.map(
    (mark) =>
      `<path class="${mark === 1 ? 'one faint' : 'rule'}" d="M${round(x(mark))} ${HEAD}V${round(bottom)}"/>` +
      textAt('faint', x(mark), HEAD - 6, String(mark), 'middle') +
      textAt('faint', x(mark), bottom + 16, String(mark), 'middle'),
  );
  return marks;
}

/** Draws the ratios of all cases to the nominal one, with their limits, as SVG. */
export function robustnessSvg(results: readonly CaseResult[], { addedRatio }: Summary): string {
  const groups: Drawn[] = [];
  for (const group of GROUPS) groups.push(drawGroup(group, results, groups.at(-1)?.bottom ?? HEAD));
  const bottom = (groups.at(-1)?.bottom ?? HEAD) + 4;
  const title = 'Load RMS error on unkind machines and fields, relative to the nominal one';
  const caption =
    'Dot: the judged ratio; ring: the other of load RMS / nominal and added error / nominal; short line: its limit; ring alone: a machine too small for its job; red: beyond it, a lost row or a broken safety rule';
  const { median, ninthDecile, worst } = addedRatio;
  const aims = Number.isNaN(median)
    ? ''
    : `Random machines, added error: median ${median.toFixed(2)}, ninth decile ${ninthDecile.toFixed(2)}, worst ${worst.toFixed(2)}; dashed: aims ${Object.values(AIMS).join(', ')}`;
  return svgPicture({ title, label: title, description: `${caption}. ${aims}`, height: bottom + FOOT, style: STYLE }, [
    textAt('ink title', 24, 22, title),
    textAt('faint', 24, 38, caption),
    textAt('faint', 24, 53, aims),
    ...drawAxis(bottom),
    ...groups.flatMap(({ parts }) => parts),
  ]);
}
