import type { PackedLane, PackedViews } from '../pack.js';
import { LEFT_PX, type Range, RIGHT_PX } from './axes.js';
import { cumulativeSum } from './unpack.js';

const LANE_PX = 30;
const BAR_PX = 8;
/** Offsets of base and head bars from a lane's top. The shapes of changed strokes are drawn midway between them. */
const BASE_PX = 3;
const HEAD_PX = 18;
const SHAPE_PX = 3;
const SVG = 'http://www.w3.org/2000/svg';

/** An element of an SVG picture. */
export const svgElement = (name: string, attributes: Readonly<Record<string, string>>, text = ''): SVGElement => {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.textContent = text;
  return made;
};

export const tenth = (value: number): number => Math.round(value * 10) / 10;

/** Horizontal position of a tick. */
type TickX = (tick: number) => number;

/** Openings of a side as one path of boxes, clipped to the range. */
function boxes(edges: readonly number[], { min, max }: Range, x: TickX, top: number): string {
  const ticks = cumulativeSum(edges);
  const parts: string[] = [];
  for (let at = 0; at + 1 < ticks.length; at += 2) {
    const begin = Math.max(ticks[at] ?? 0, min);
    const end = Math.min(ticks[at + 1] ?? 0, max);
    if (begin > max || end < min) continue;
    const left = tenth(x(begin));
    parts.push(`M${left} ${top}h${Math.max(0.8, tenth(x(end) - left))}v${BAR_PX}H${left}z`);
  }
  return parts.join('');
}

/** A shape for each changed stroke: + added, × removed, a triangle in the direction in which it moved. */
function shapes(lane: PackedLane, { min, max }: Range, x: TickX, y: number): { strokes: string; triangles: string } {
  const strokes: string[] = [];
  const triangles: string[] = [];
  const s = SHAPE_PX;
  for (const [base, head] of lane.changes) {
    const tick = head ?? base ?? 0;
    if (tick < min || tick > max) continue;
    const at = tenth(x(tick));
    if (base === null) strokes.push(`M${at - s} ${y}h${2 * s}M${at} ${y - s}v${2 * s}`);
    else if (head === null) strokes.push(`M${at - s} ${y - s}l${2 * s} ${2 * s}M${at - s} ${y + s}l${2 * s} ${-2 * s}`);
    else {
      const half = head > base ? s : -s;
      triangles.push(`M${at - half} ${y - s}L${at + half} ${y}L${at - half} ${y + s}z`);
    }
  }
  return { strokes: strokes.join(''), triangles: triangles.join('') };
}

function drawLane(lane: PackedLane, range: Range, x: TickX, top: number): SVGElement[] {
  const { strokes, triangles } = shapes(lane, range, x, top + (BASE_PX + BAR_PX + HEAD_PX) / 2);
  return [
    svgElement('text', { x: String(LEFT_PX - 8), y: String(top + 18), 'text-anchor': 'end' }, `${lane.row} ${lane.valve}`),
    svgElement('path', { class: 'base', d: boxes(lane.base, range, x, top + BASE_PX + 0.5) }),
    svgElement('path', { class: 'head', d: boxes(lane.head, range, x, top + HEAD_PX) }),
    svgElement('path', { class: 'shapes', d: strokes }),
    svgElement('path', { class: 'shapes full', d: triangles }),
  ];
}

/** Draws the openings of the valves on both sides, aligned with the plots above. */
export function drawLanes(host: HTMLElement, { lanes, marks }: PackedViews, range: Range, width: number): void {
  const height = lanes.length * LANE_PX + 1;
  const inner = Math.max(1, width - LEFT_PX - RIGHT_PX);
  const x: TickX = (tick) => LEFT_PX + ((tick - range.min) / (range.max - range.min)) * inner;
  const svg = svgElement('svg', { viewBox: `0 0 ${width} ${height}`, height: String(height), 'aria-hidden': 'true' });
  for (const [index, lane] of lanes.entries()) {
    const top = index * LANE_PX;
    svg.append(svgElement('path', { class: 'rule', d: `M${LEFT_PX} ${top + 0.5}H${width - RIGHT_PX}` }), ...drawLane(lane, range, x, top));
  }
  for (const { tick } of marks) {
    if (tick < range.min || tick > range.max) continue;
    svg.append(svgElement('path', { class: 'mark', d: `M${tenth(x(tick))} 0V${height}` }));
  }
  host.replaceChildren(svg);
  host.dataset.from = String(range.min);
  host.dataset.to = String(range.max);
}
