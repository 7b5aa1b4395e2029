import type { RowView } from '../replay/show.js';
import { openSpans, type Span, spansOf } from '../replay/spans.js';
import { rangeOf, type Series } from '../replay/trace.js';
import { brief, unitOf } from './text-plot.js';
import { escapeXml } from './xml.js';

const WIDTH = 960;
const LEFT = 64;
const RIGHT = 28;
const PLOT = WIDTH - LEFT - RIGHT;
const PANE = 120;
const LANE = 14;
const GAP = 26;
const INKS = 7;

/** Inks that stay apart for colour-blind readers (after the Okabe–Ito set), light and dark. */
const STYLE = `
  .ground { fill: #fcfcfa } .ink { fill: #33363b } .faint { fill: #777b82 } .rule { stroke: #d9d9d3; stroke-width: 1 }
  .s0 { stroke: #0b6fa4 } .s1 { stroke: #a9b0b9 } .s2 { stroke: #c2560a } .s3 { stroke: #00805e } .s4 { stroke: #9b5a86 }
  .s5 { stroke: #8a6d00 } .s6 { stroke: #4d5560 }
  .b0 { fill: #0b6fa4 } .b1 { fill: #a9b0b9 } .b2 { fill: #c2560a } .b3 { fill: #00805e } .b4 { fill: #9b5a86 }
  .b5 { fill: #8a6d00 } .b6 { fill: #4d5560 }
  .line { fill: none; stroke-width: 1.1; stroke-linejoin: round } .band { stroke: none; opacity: .45 }
  .supply, .return { fill: #33363b } .bad { fill: #e9a39b } .mode { fill: #e7e7e1 }
  text { font: 11px system-ui, sans-serif } .title { font-size: 14px }
  @media (prefers-color-scheme: dark) {
    .ground { fill: #17191c } .ink { fill: #dfe2e6 } .faint { fill: #949aa3 } .rule { stroke: #33373d } .mode { fill: #2a2e33 }
    .s0 { stroke: #56b4e9 } .s1 { stroke: #5d646d } .s2 { stroke: #e69f00 } .s3 { stroke: #2cc79d } .s4 { stroke: #cc79a7 }
    .s5 { stroke: #f0e442 } .s6 { stroke: #b4bcc6 }
    .b0 { fill: #56b4e9 } .b1 { fill: #5d646d } .b2 { fill: #e69f00 } .b3 { fill: #2cc79d } .b4 { fill: #cc79a7 }
    .b5 { fill: #f0e442 } .b6 { fill: #b4bcc6 }
    .supply, .return { fill: #dfe2e6 } .bad { fill: #7d2b24 }
  }`;

const round = (value: number): string => String(Math.round(value * 10) / 10);

/** A step near a round number that divides a range into four to eight parts. */
function roundStep(range: number): number {
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

/** A series with its ink: no two series of a picture share one. */
interface Inked {
  readonly series: Series;
  readonly ink: number;
}

/** A series as a band from least to most where it is wide, and a line through its means. */
function drawSeries({ series, ink }: Inked, x: (at: number) => number, y: (value: number) => number): string {
  const { least, most, mean } = series;
  const isThere = (at: number): boolean => Number.isFinite(least[at] ?? Number.NaN);
  const places = [...mean.keys()].filter(isThere);
  const point = (at: number, values: Float64Array): string => `${round(x(at))},${round(y(values[at] ?? 0))}`;
  const band = [...places.map((at) => point(at, most)), ...places.reverse().map((at) => point(at, least))].join(' ');
  const line = places
    .reverse()
    .map((at) => point(at, mean))
    .join(' ');
  return `<polygon class="band b${ink}" points="${band}"/><polyline class="line s${ink}" points="${line}"/>`;
}

/** Series of one unit in one pane, with grid, legend and their own scale. */
function drawPane(group: readonly Inked[], top: number): string {
  const ranges = group.map(({ series }) => rangeOf(series));
  const least = Math.min(...ranges.map(([low]) => low));
  const most = Math.max(...ranges.map(([, high]) => high));
  const y = (value: number): number => top + PANE - ((value - least) / (most - least || 1)) * PANE;
  const length = group[0]?.series.mean.length ?? 1;
  const x = (at: number): number => LEFT + ((at + 0.5) / length) * PLOT;
  const grid = ticksBetween(least, most).map((value) => {
    const at = round(y(value));
    return `<line class="rule" x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${at}" y2="${at}"/><text class="faint" x="${LEFT - 6}" y="${at}" dy="4" text-anchor="end">${brief(value)}</text>`;
  });
  const legend = group.map(({ series, ink }) => `<tspan class="b${ink}">■</tspan> ${escapeXml(series.signal.name)}  `).join('');
  return [
    ...grid,
    ...group.map((one) => drawSeries(one, x, y)),
    `<text class="ink" x="${LEFT}" y="${top - 6}">${legend}</text>`,
    `<text class="faint" x="${LEFT - 6}" y="${top - 6}" text-anchor="end">${escapeXml(group[0] === undefined ? '' : unitOf(group[0].series))}</text>`,
  ].join('\n');
}

/** Spans in one line, each with its value where it is wide enough, and on pointing at it. */
function drawLane(name: string, spans: readonly Span[], kind: string, top: number, ticks: number): string {
  const x = (tick: number): number => LEFT + (tick / ticks) * PLOT;
  const marks = spans.map(({ begin, end, value }) => {
    const width = Math.max(1, x(end) - x(begin));
    const isWide = kind !== 'supply' && kind !== 'return' && width > value.length * 6 + 8;
    const label = isWide ? `<text class="ink" x="${round(x(begin) + 4)}" y="${top + 10}">${escapeXml(value)}</text>` : '';
    return `<rect class="${kind}" x="${round(x(begin))}" y="${top}" width="${round(Math.max(1, width - 1))}" height="${LANE - 3}"><title>${escapeXml(value)}</title></rect>${label}`;
  });
  return [`<text class="faint" x="${LEFT - 6}" y="${top + 10}" text-anchor="end">${name}</text>`, ...marks].join('');
}

function drawLanes(view: RowView, top: number): { text: string; height: number } {
  const { changes, ticks, row } = view;
  if (changes.length === 0) return { text: '', height: 0 };
  const spans = spansOf(changes, ticks);
  const of = (signal: string, at: number): Span[] =>
    spans.filter((span) => span.signal === signal && span.row === at && span.value !== 'none');
  const lanes: [string, readonly Span[], string][] = [
    ['bank', of('mode', 0), 'mode'],
    [`row ${row}`, of('mode', row), 'mode'],
    ['supply', openSpans(changes, ticks, row, 'supplyOrder'), 'supply'],
    ['return', openSpans(changes, ticks, row, 'returnOrder'), 'return'],
    ['faults', [...of('faults', 0), ...of('faults', row)], 'bad'],
  ];
  const text = lanes.map(([name, those, kind], index) => drawLane(name, those, kind, top + index * LANE, ticks)).join('\n');
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

/** A row's signals as an SVG picture: one pane for each unit, lanes for modes, open valves and faults, one time axis. */
export function viewSvg(view: RowView): string {
  const inked = view.series.map((series, index) => ({ series, ink: index % INKS }));
  const units = [...new Set(inked.map(({ series }) => series.signal.unit))];
  let top = 50;
  const panes = units.map((unit) => {
    const text = drawPane(
      inked.filter(({ series }) => series.signal.unit === unit),
      top,
    );
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
