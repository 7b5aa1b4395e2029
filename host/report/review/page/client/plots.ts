import type uPlot from 'uplot';
import { columnsOf, digits, endsOf, inksNow, inSeconds, isStepped, LEFT_PX, type Range, RIGHT_PX, valueWords, within } from './axes.js';
import { drawLanes } from './lanes.js';
import type { Seen, SeenPart, SeenTrack } from './unpack.js';

/** The plotting library, which the script before this one brings. */
declare const window: Window & { readonly uPlot: typeof uPlot };

const PLOT_PX = 104;
/** Height of the time axis, below the last plot. */
const AXIS_PX = 22;
const FONT = '11px system-ui, sans-serif';
const DASHES = [5, 3];
/** What a key press or a button does to the width of the shown range, and how far it moves it. */
const ZOOM = 0.5;
const PAN = 0.2;

/** Words right of a place, or left of it where there is no room. */
function drawWords(ctx: CanvasRenderingContext2D, words: string, x: number, y: number, end: number): void {
  const gap = 4 * window.uPlot.pxRatio;
  ctx.font = `${11 * window.uPlot.pxRatio}px system-ui, sans-serif`;
  const { ink, ground } = inksNow();
  const isLeft = x + gap + ctx.measureText(words).width > end;
  ctx.textAlign = isLeft ? 'right' : 'left';
  ctx.textBaseline = 'alphabetic';
  // A rim in the colour of the ground, so that they can be read across a curve.
  ctx.setLineDash([]);
  ctx.lineJoin = 'round';
  ctx.lineWidth = gap;
  ctx.strokeStyle = ground;
  ctx.strokeText(words, isLeft ? x - gap : x + gap, y);
  ctx.fillStyle = ink;
  ctx.fillText(words, isLeft ? x - gap : x + gap, y);
}

export type Mode = 'whole' | 'around';

/** All plots and lanes of one run: they share the time that is shown. */
export class RunPlots {
  private readonly section: HTMLElement;
  private readonly seen: Seen;
  private readonly strip: HTMLElement;
  private readonly hosts: readonly HTMLElement[];
  private readonly lanes: HTMLElement | null;
  private plots: readonly uPlot[] = [];
  private mode: Mode = 'whole';
  private range: Range;
  private width = 0;

  constructor(section: HTMLElement, strip: HTMLElement, seen: Seen) {
    this.section = section;
    this.strip = strip;
    this.seen = seen;
    this.hosts = [...strip.querySelectorAll<HTMLElement>('.plot')];
    this.lanes = strip.querySelector<HTMLElement>('.lanes');
    this.range = this.whole;
    this.hosts.at(-1)?.classList.add('last');
    for (const host of this.hosts) {
      host.setAttribute('role', 'img');
      host.setAttribute('aria-label', host.parentElement?.querySelector('figcaption')?.textContent ?? '');
    }
    strip.addEventListener('keydown', (event) => this.press(event));
    this.lanes?.addEventListener('dblclick', () => this.showAll());
    for (const button of section.querySelectorAll<HTMLButtonElement>('[data-act]')) {
      button.addEventListener('click', () => this.act(button.dataset.act ?? ''));
    }
  }

  private get part(): SeenPart {
    return this.mode === 'whole' ? this.seen.overview : this.seen.around;
  }

  /** All the time that there is to see. */
  private get whole(): Range {
    return { min: this.part.first, max: this.part.first + this.part.ticks };
  }

  /** Draws everything where nothing is drawn yet, or for another width. */
  draw(width = this.strip.clientWidth): void {
    if (width < LEFT_PX + RIGHT_PX + 20) return;
    const isNew = this.plots.length === 0;
    if (!isNew && width === this.width) return;
    this.width = width;
    if (isNew) this.make();
    else for (const plot of this.plots) plot.setSize({ width, height: plot.height });
    this.zoom(this.range);
  }

  /** Draws in the colours of now. */
  repaint(): void {
    for (const plot of this.plots) plot.redraw(false);
  }

  /** Shows the whole run, or the ticks around the parting. */
  show(mode: Mode): void {
    const isOther = mode !== this.mode;
    this.mode = mode;
    this.range = this.whole;
    for (const button of this.section.querySelectorAll('[aria-pressed]')) {
      button.setAttribute('aria-pressed', String(button instanceof HTMLElement && button.dataset.act === mode));
    }
    if (isOther && this.plots.length > 0) this.make();
    this.zoom(this.range);
  }

  /** The whole of what can be shown now; null is what the plotting library wants to hear. */
  private showAll(): null {
    this.show(this.mode);
    return null;
  }

  private act(what: string): void {
    const { min, max } = this.range;
    const size = max - min;
    const by = (change: number, shift: number): void =>
      this.zoom({ min: min - (size * change) / 2 + size * shift, max: max + (size * change) / 2 + size * shift });
    if (what === 'whole' || what === 'around') this.show(what);
    else if (what === 'in') by(ZOOM - 1, 0);
    else if (what === 'out') by(1 / ZOOM - 1, 0);
    else if (what === 'left') by(0, -PAN);
    else if (what === 'right') by(0, PAN);
  }

  private press(event: KeyboardEvent): void {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const acts: Readonly<Record<string, string>> = {
      '+': 'in',
      '=': 'in',
      '-': 'out',
      '−': 'out',
      ArrowLeft: 'left',
      ArrowRight: 'right',
      '0': this.mode,
    };
    const act = acts[event.key];
    if (act === undefined) return;
    event.preventDefault();
    this.act(act);
  }

  /** Brings all plots and lanes to a range. */
  private zoom(wanted: Range): void {
    const whole = this.whole;
    this.range = within(wanted, whole);
    for (const plot of this.plots) plot.setScale('x', { ...this.range });
    if (this.lanes !== null && this.width > 0) drawLanes(this.lanes, this.seen.packed, this.range, this.width);
    const { tickHz } = this.seen.packed;
    const [from, to] = [Math.floor(this.range.min), Math.ceil(this.range.max)];
    const said = this.section.querySelector('.range');
    if (said !== null) said.textContent = `shown: ticks ${from} to ${to}, ${inSeconds(from, tickHz)} to ${inSeconds(to, tickHz)}`;
  }

  private make(): void {
    for (const plot of this.plots) plot.destroy();
    this.plots = this.hosts.flatMap((host, index) => {
      const wanted = this.seen.overview.tracks[index];
      const track = this.part.tracks.find(({ signal, row }) => signal === wanted?.signal && row === wanted.row);
      return track === undefined ? [] : [this.makePlot(host, track, index === this.hosts.length - 1)];
    });
  }

  private makePlot(host: HTMLElement, track: SeenTrack, isLast: boolean): uPlot {
    const part = this.part;
    const options: uPlot.Options = {
      width: this.width,
      height: PLOT_PX + (isLast ? AXIS_PX : 0),
      padding: [4, RIGHT_PX, isLast ? 0 : 4, 0],
      legend: { show: false },
      scales: { x: { time: false, range: (_, min, max) => [min, max] }, y: { range: endsOf(track) } },
      axes: [this.timeAxis(isLast), this.valueAxis(track)],
      series: [{}, ...this.lines(track, part)],
      bands: [
        { series: [2, 1], fill: () => inksNow().oldband, dir: -1 },
        { series: [4, 3], fill: () => inksNow().newband, dir: -1 },
      ],
      cursor: {
        y: false,
        points: { show: false },
        drag: { x: true, y: false, setScale: false },
        // Only the cursor goes along with the other plots; what a drag selects is told to them by `zoom`.
        sync: { key: this.section.id, setSeries: false, filters: { pub: (type) => type === 'mousemove' || type === 'mouseleave' } },
        bind: { dblclick: () => () => this.showAll() },
      },
      hooks: {
        setSelect: [(plot) => this.takeSelection(plot)],
        setScale: [(plot, key) => key === 'x' && this.tell(host, plot)],
        setCursor: [(plot) => this.readOut(host, plot, track)],
        draw: [(plot) => this.drawMarks(plot, host === this.hosts[0])],
      },
    };
    return new window.uPlot(options, columnsOf(track, part) as uPlot.AlignedData, host);
  }

  /** The least and the most of each side; old ones dashed, and below. */
  private lines(track: SeenTrack, part: SeenPart): uPlot.Series[] {
    const stepped = isStepped(track, part) ? window.uPlot.paths.stepped?.({ align: 1 }) : undefined;
    const paths = stepped ?? window.uPlot.paths.linear?.();
    const line = (ink: 'old' | 'new', dash: number[]): uPlot.Series => ({
      stroke: () => inksNow()[ink],
      width: 1.25,
      dash,
      points: { show: false },
      ...(paths === undefined ? {} : { paths }),
    });
    return [line('old', DASHES), line('old', DASHES), line('new', []), line('new', [])];
  }

  private timeAxis(isLast: boolean): uPlot.Axis {
    const { tickHz } = this.seen.packed;
    const isWhole = this.mode === 'whole';
    const tickLabel = (tick: number, at: number): string => (isWhole ? inSeconds(tick, tickHz) : at === 0 ? `tick ${tick}` : String(tick));
    return {
      size: isLast ? AXIS_PX : 0,
      gap: 3,
      font: FONT,
      stroke: () => inksNow().faint,
      grid: { stroke: () => inksNow().rule, width: 1 },
      ticks: { show: false },
      space: 80,
      incrs: [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 1e4, 2e4, 5e4, 1e5, 2e5, 5e5, 1e6, 2e6, 5e6, 1e7],
      values: (_, splits) => splits.map((tick, at) => (isLast ? tickLabel(tick, at) : '')),
    };
  }

  private valueAxis({ words }: SeenTrack): uPlot.Axis {
    const axis: uPlot.Axis = {
      size: LEFT_PX,
      gap: 4,
      font: FONT,
      stroke: () => inksNow().faint,
      grid: { stroke: () => inksNow().rule, width: 1 },
      ticks: { show: false },
      space: 24,
      values: (_, splits) => splits.map((value) => digits(value, 6)),
    };
    if (words === undefined) return axis;
    // Every word has its line; where they stand too close to be read, only some are written.
    const every = Math.ceil((words.length * 13) / PLOT_PX);
    const wordAt = (value: number): string => (value % every === 0 ? (words[value] ?? '') : '');
    return { ...axis, splits: () => words.map((_, value) => value), values: (_, splits) => splits.map(wordAt) };
  }

  private takeSelection(plot: uPlot): void {
    const { left, width } = plot.select;
    if (width < 3) return;
    plot.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
    this.zoom({ min: plot.posToVal(left, 'x'), max: plot.posToVal(left + width, 'x') });
  }

  /** Leaves the shown range where tests, and whoever looks into the page, can read it. */
  private tell(host: HTMLElement, plot: uPlot): void {
    host.dataset.from = String(plot.scales.x?.min);
    host.dataset.to = String(plot.scales.x?.max);
  }

  /** Says both values under the cursor, instead of the summary. */
  private readOut(host: HTMLElement, plot: uPlot, { words, old, now }: SeenTrack): void {
    const said = host.parentElement?.querySelector<HTMLElement>('.said');
    if (said == null) return;
    said.dataset.summary ??= said.textContent ?? '';
    const { idx, left = -1 } = plot.cursor;
    if (idx == null || left < 0) {
      said.textContent = said.dataset.summary;
      return;
    }
    const { tickHz } = this.seen.packed;
    const tick = Math.floor(plot.data[0][idx] ?? 0);
    const value = (at: number, isThere: boolean): string => {
      const [least, most] = [plot.data[at]?.[idx] ?? null, plot.data[at + 1]?.[idx] ?? null];
      if (!isThere || least === null || most === null) return '–';
      return least === most ? valueWords(least, words) : `${valueWords(least, words)} … ${valueWords(most, words)}`;
    };
    said.textContent = `tick ${tick}, ${inSeconds(tick, tickHz)}: old ${value(1, old !== undefined)}, new ${value(3, now !== undefined)}`;
  }

  /** Upright lines where the sides part, or stop; the first plot says which is which. */
  private drawMarks(plot: uPlot, isFirst: boolean): void {
    const { ctx, bbox } = plot;
    const ratio = window.uPlot.pxRatio;
    for (const [index, { tick, words }] of this.seen.packed.marks.entries()) {
      if (tick < this.range.min || tick > this.range.max) continue;
      const x = Math.round(plot.valToPos(tick, 'x', true)) + 0.5;
      ctx.save();
      ctx.strokeStyle = inksNow().ink;
      ctx.lineWidth = ratio;
      ctx.setLineDash([1.5 * ratio, 2.5 * ratio]);
      ctx.beginPath();
      ctx.moveTo(x, bbox.top);
      ctx.lineTo(x, bbox.top + bbox.height);
      ctx.stroke();
      if (isFirst) drawWords(ctx, words, x, bbox.top + (10 + 12 * index) * ratio, bbox.left + bbox.width);
      ctx.restore();
    }
  }
}
