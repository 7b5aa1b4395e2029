import type { RowView } from '../replay/show.js';
import { openSpans, type Span, spansOf } from '../replay/spans.js';
import { displayOf, rangeOf, type Series } from '../replay/trace.js';
import { escapeXml } from './junit.js';
import { brief } from './text-plot.js';

const WIDTH = 960;
const LEFT = 64;
const RIGHT = 28;
const PLOT = WIDTH - LEFT - RIGHT;
const PANE = 120;
const LANE = 14;
const GAP = 26;

/** Inks that stay apart for colour-blind readers (after the Okabe–Ito set), light and dark. */
const STYLE = `
  .ground { fill: #fcfcfa } .ink { fill: #33363b } .faint { fill: #777b82 } .rule { stroke: #d9d9d3; stroke-width: 1 }
  .s0 { stroke: #0b6fa4 } .s1 { stroke: #b6bcc4 } .s2 { stroke: #c2560a } .s3 { stroke: #00805e } .s4 { stroke: #9b5a86 }
  .b0 { fill: #0b6fa4 } .b1 { fill: #b6bcc4 } .b2 { fill: #c2560a } .b3 { fill: #00805e } .b4 { fill: #9b5a86 }
  .line { fill: none; stroke-width: 1.1; stroke-linejoin: round } .band { stroke: none; opacity: .45 }
  .raise { fill: #0b6fa4 } .lower { fill: #c2560a } .bad { fill: #b3261e } .mode { fill: #e7e7e1 }
  text { font: 11px system-ui, sans-serif } .title { font-size: 14px }
  @media (prefers-color-scheme: dark) {
    .ground { fill: #17191c } .ink { fill: #dfe2e6 } .faint { fill: #949aa3 } .rule { stroke: #33373d } .mode { fill: #2a2e33 }
    .s0 { stroke: #56b4e9 } .s1 { stroke: #5d646d } .s2 { stroke: #e69f00 } .s3 { stroke: #2cc79d } .s4 { stroke: #cc79a7 }
    .b0 { fill: #56b4e9 } .b1 { fill: #5d646d } .b2 { fill: #e69f00 } .b3 { fill: #2cc79d } .b4 { fill: #cc79a7 }
    .raise { fill: #56b4e9 } .lower { fill: #e69f00 } .bad { fill: #ff8a80 }
  }`;

const round = (value: number): string => String(Math.round(value * 10) / 10);

/** A step near a round number that divides a range into four to eight parts. */
export function roundStep(range: number): number {
  const raw = range / 6;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].find((factor) => factor * power >= raw) ?? 10;
  return step * power;
}

function ticksBetween(least: number, most: number): number[] {
  const step = roundStep(most - least || 1);
  const first = Math.ceil(least / step);
  return Array.from({ length: Math.max(0, Math.floor(most / step) - first + 1) }, (_, index) => (first + index) * step);
}

/** A series as a band from least to most where it is wide, and a line through its means. */
function drawSeries(series: Series, index: number, x: (at: number) => number, y: (value: number) => number): string {
  const { least, most, mean } = series;
  const isThere = (at: number): boolean => Number.isFinite(least[at] ?? Number.NaN);
  const places = [...mean.keys()].filter(isThere);
  const point = (at: number, values: Float64Array): string => `${round(x(at))},${round(y(values[at] ?? 0))}`;
  const ink = index % 5;
  const band = [...places.map((at) => point(at, most)), ...places.reverse().map((at) => point(at, least))].join(' ');
  const line = places
    .reverse()
    .map((at) => point(at, mean))
    .join(' ');
  return `<polygon class="band b${ink}" points="${band}"/><polyline class="line s${ink}" points="${line}"/>`;
}

/** Series of one unit in one pane, with grid, legend and their own scale. */
function drawPane(group: readonly Series[], top: number): string {
  const { symbol, factor } = displayOf(group[0]?.signal ?? ({ unit: 'none' } as never));
  const ranges = group.map(rangeOf);
  const least = Math.min(...ranges.map(([low]) => low)) * factor;
  const most = Math.max(...ranges.map(([, high]) => high)) * factor;
  const span = most - least || 1;
  const y = (value: number): number => top + PANE - ((value * factor - least) / span) * PANE;
  const length = group[0]?.mean.length ?? 1;
  const x = (at: number): number => LEFT + ((at + 0.5) / length) * PLOT;
  const grid = ticksBetween(least, most).map((value) => {
    const at = round(top + PANE - ((value - least) / span) * PANE);
    return `<line class="rule" x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${at}" y2="${at}"/><text class="faint" x="${LEFT - 6}" y="${at}" dy="4" text-anchor="end">${brief(value)}</text>`;
  });
  const legend = group.map(({ signal }, index) => `<tspan class="b${index % 5}">■</tspan> ${escapeXml(signal.name)}  `).join('');
  const lines = group.map((series, index) => drawSeries(series, index, x, y));
  return [
    ...grid,
    ...lines,
    `<text class="ink" x="${LEFT}" y="${top - 6}">${legend}</text>`,
    `<text class="faint" x="${LEFT - 6}" y="${top - 6}" text-anchor="end">${escapeXml(symbol)}</text>`,
  ].join('\n');
}

function drawLane(name: string, spans: readonly Span[], kind: string, top: number, ticks: number, isNamed: boolean): string {
  const x = (tick: number): number => LEFT + (tick / ticks) * PLOT;
  const marks = spans.map(({ begin, end, value }, index) => {
    const width = Math.max(1, x(end) - x(begin));
    const label =
      isNamed && width > value.length * 6 + 8
        ? `<text class="ink" x="${round(x(begin) + 4)}" y="${top + 10}">${escapeXml(value)}</text>`
        : '';
    const shade = isNamed && index % 2 === 1 ? ' opacity=".45"' : '';
    return `<rect class="${kind}"${shade} x="${round(x(begin))}" y="${top}" width="${round(width)}" height="${LANE - 3}"><title>${escapeXml(value)}</title></rect>${label}`;
  });
  return [`<text class="faint" x="${LEFT - 6}" y="${top + 10}" text-anchor="end">${name}</text>`, ...marks].join('');
}

function drawLanes(view: RowView, top: number): { text: string; height: number } {
  const { changes, ticks, row } = view;
  if (changes.length === 0) return { text: '', height: 0 };
  const spans = spansOf(changes, ticks);
  const faults = spans.filter((span) => span.signal === 'faults' && span.value !== 'none' && (span.row === 0 || span.row === row));
  const lanes: [string, readonly Span[], string, boolean][] = [
    ['mode', spans.filter((span) => span.signal === 'mode' && span.row === row), 'mode', true],
    ['raised', openSpans(changes, ticks, row, 'supplyOrder'), 'raise', false],
    ['lowered', openSpans(changes, ticks, row, 'returnOrder'), 'lower', false],
    ['faults', faults, 'bad', false],
  ];
  const text = lanes.map(([name, of, kind, isNamed], index) => drawLane(name, of, kind, top + index * LANE, ticks, isNamed)).join('\n');
  return { text, height: lanes.length * LANE };
}

function drawTime(ticks: number, tickHz: number, top: number): string {
  return ticksBetween(0, ticks / tickHz)
    .map(
      (second) =>
        `<text class="faint" x="${round(LEFT + ((second * tickHz) / ticks) * PLOT)}" y="${top}" text-anchor="middle">${brief(second)} s</text>`,
    )
    .join('');
}

/** A row's signals as an SVG picture: one pane for each unit, lanes for mode, pulses and faults, one time axis. */
export function viewSvg(view: RowView): string {
  const units = [...new Set(view.series.map(({ signal }) => signal.unit))];
  let top = 50;
  const panes = units.map((unit) => {
    const group = view.series.filter(({ signal }) => signal.unit === unit);
    const text = drawPane(group, top);
    top += PANE + GAP;
    return text;
  });
  const lanes = drawLanes(view, top - 14);
  const axis = top - 14 + lanes.height + 12;
  const height = axis + 10;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${height}" width="${WIDTH}" height="${height}" role="img">`,
    `<title>${escapeXml(view.title)}</title><style>${STYLE}</style><rect class="ground" width="${WIDTH}" height="${height}"/>`,
    `<text class="ink title" x="${LEFT}" y="22">${escapeXml(view.title)}</text><text class="faint" x="${WIDTH - RIGHT}" y="22" text-anchor="end">row ${view.row} of ${view.rows}</text>`,
    ...panes,
    lanes.text,
    drawTime(view.ticks, view.tickHz, axis),
    '</svg>',
    '',
  ].join('\n');
}
