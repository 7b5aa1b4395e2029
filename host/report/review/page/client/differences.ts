import { digits, LEFT_PX, type Range, RIGHT_PX } from './axes.js';
import { svgElement, tenth } from './lanes.js';
import type { PlotPart, PlotTrack } from './unpack.js';

/** Height of a lane of differences, px; zero is in its middle. */
const APART_PX = 26;

/** Head minus base in each bin: of the minima or of the maxima, whichever is larger; null where a side has no number. */
export function differencesIn({ base, head }: PlotTrack): (number | null)[] {
  if (base === undefined || head === undefined) return [];
  return base.min.map((_, bin) => {
    const [min, max] = [
      (head.min[bin] ?? Number.NaN) - (base.min[bin] ?? Number.NaN),
      (head.max[bin] ?? Number.NaN) - (base.max[bin] ?? Number.NaN),
    ];
    const larger = Math.abs(min) > Math.abs(max) ? min : max;
    return Number.isFinite(larger) ? larger : null;
  });
}

/** Draws what head minus base is below a plot, on the same time axis. The scale is that of the largest difference of the part. */
export function drawDifferences(host: HTMLElement, track: PlotTrack, part: PlotPart, { min, max }: Range, width: number): void {
  const values = differencesIn(track);
  const largest = values.reduce<number>((end, value) => Math.max(end, Math.abs(value ?? 0)), 0);
  const inner = Math.max(1, width - LEFT_PX - RIGHT_PX);
  const middle = APART_PX / 2;
  const binTicks = part.ticks / part.bins;
  const x = (tick: number): number => LEFT_PX + ((Math.min(max, Math.max(min, tick)) - min) / (max - min)) * inner;
  const bars = values.flatMap((value, bin): string[] => {
    const from = part.first + bin * binTicks;
    if (value === null || value === 0 || from + binTicks < min || from > max) return [];
    const size = track.words === undefined ? (value / largest) * (middle - 2) : Math.sign(value) * (middle - 2);
    return [`M${tenth(x(from))} ${middle}V${tenth(middle - size)}H${tenth(Math.max(x(from) + 0.8, x(from + binTicks)))}V${middle}z`];
  });
  const label = largest === 0 ? 'no difference' : track.words === undefined ? `± ${digits(largest, 3)}` : '≠';
  const svg = svgElement('svg', { viewBox: `0 0 ${width} ${APART_PX}`, height: String(APART_PX), 'aria-hidden': 'true' });
  svg.append(
    svgElement('path', { class: 'rule', d: `M${LEFT_PX} ${middle}H${width - RIGHT_PX}` }),
    svgElement('path', { class: 'apart', d: bars.join('') }),
    svgElement('text', { x: String(LEFT_PX - 8), y: String(middle + 4), 'text-anchor': 'end' }, label),
  );
  host.replaceChildren(svg);
}
