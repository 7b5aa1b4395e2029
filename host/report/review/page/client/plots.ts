import type uPlot from 'uplot';
import { columnsOf, currentInks, digits, inSeconds, isStepped, LEFT_PX, type Range, RIGHT_PX, scaleOf, valueText, within } from './axes.js';
import { drawDifferences } from './differences.js';
import { drawLanes } from './lanes.js';
import { writeEqualValues } from './states.js';
import type { PlotData, PlotPart, PlotTrack } from './unpack.js';

/** The plotting library, which an earlier script of the page defines. */
declare const window: Window & { readonly uPlot: typeof uPlot };

const PLOT_PX = 104;
/** Height of the time axis, below the last plot. */
const AXIS_PX = 22;
const FONT = '11px system-ui, sans-serif';
const DASHES = [5, 3];
/** Factor by which a key or button changes the width of the visible range, and share of it by which it moves the range. */
const ZOOM = 0.5;
const PAN = 0.2;
/** Ticks before and after the one that a jump shows. */
const JUMP_TICKS = 60;

/** Draws a label right of a position, or left of it if there is no room. */
function drawLabel(ctx: CanvasRenderingContext2D, label: string, x: number, y: number, end: number): void {
  const gap = 4 * window.uPlot.pxRatio;
  ctx.font = `${11 * window.uPlot.pxRatio}px system-ui, sans-serif`;
  const { ink, ground } = currentInks();
  const isLeft = x + gap + ctx.measureText(label).width > end;
  ctx.textAlign = isLeft ? 'right' : 'left';
  ctx.textBaseline = 'alphabetic';
  // An outline in the background colour keeps it legible across a curve.
  ctx.setLineDash([]);
  ctx.lineJoin = 'round';
  ctx.lineWidth = gap;
  ctx.strokeStyle = ground;
  ctx.strokeText(label, isLeft ? x - gap : x + gap, y);
  ctx.fillStyle = ink;
  ctx.fillText(label, isLeft ? x - gap : x + gap, y);
}

export type Mode = 'whole' | 'around';

/** All plots and lanes of one run, with a common visible range. */
export class RunPlots {
  private readonly section: HTMLElement;
  private readonly data: PlotData;
  private readonly strip: HTMLElement;
  private readonly hosts: readonly HTMLElement[];
  private readonly lanes: HTMLElement | null;
  private plots: readonly uPlot[] = [];
  private mode: Mode = 'whole';
  private range: Range;
  /** What was visible before printing. */
  private before: { readonly mode: Mode; readonly range: Range } | undefined;
  private width = 0;

  constructor(section: HTMLElement, strip: HTMLElement, data: PlotData) {
    this.section = section;
    this.strip = strip;
    this.data = data;
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

  private get part(): PlotPart {
    return this.mode === 'whole' ? this.data.overview : this.data.around;
  }

  /** The widest visible range. */
  private get whole(): Range {
    return { min: this.part.first, max: this.part.first + this.part.ticks };
  }

  /** Writes the values that are equal on both sides. */
  writeEqual(): void {
    writeEqualValues(this.section, this.data.packed);
  }

  /** Draws everything, if nothing is drawn yet or the width has changed. */
  draw(width = this.strip.clientWidth): void {
    if (width < LEFT_PX + RIGHT_PX + 20) return;
    const isNew = this.plots.length === 0;
    if (!isNew && width === this.width) return;
    this.width = width;
    if (isNew) this.make();
    else for (const plot of this.plots) plot.setSize({ width, height: plot.height });
    this.zoom(this.range);
  }

  /** Redraws with the current colours. */
  repaint(): void {
    for (const plot of this.plots) plot.redraw(false);
  }

  /** Shows the whole run, or the ticks around the first difference. */
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

  /** Shows the widest range. Returns null, as the plotting library expects. */
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
    else if (what === 'output') this.jump(this.data.packed.marks.find(({ label }) => label === 'first output')?.tick ?? min, false);
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

  /** Shows a range in all plots and lanes. */
  private zoom(range: Range): void {
    this.range = within(range, this.whole);
    for (const plot of this.plots) plot.setScale('x', { ...this.range });
    if (this.width > 0) this.drawApart();
    if (this.lanes !== null && this.width > 0) drawLanes(this.lanes, this.data.packed, this.range, this.width);
    const { tickHz } = this.data.packed;
    const [from, to] = [Math.floor(this.range.min), Math.ceil(this.range.max)];
    const label = this.section.querySelector('.range');
    if (label !== null) label.textContent = `visible: ticks ${from} to ${to}, ${inSeconds(from, tickHz)} to ${inSeconds(to, tickHz)}`;
  }

  /** The track of the visible part that a plot shows. */
  private trackOf(index: number): PlotTrack | undefined {
    const caption = this.data.overview.tracks[index];
    return this.part.tracks.find(({ signal, row }) => signal === caption?.signal && row === caption.row);
  }

  private drawApart(): void {
    for (const [index, host] of this.hosts.entries()) {
      const [lane, track] = [host.parentElement?.querySelector<HTMLElement>('.apart'), this.trackOf(index)];
      if (lane != null && track !== undefined) drawDifferences(lane, track, this.part, this.range, this.width);
    }
  }

  /** Shows the ticks around a tick, such as that of a stroke. @param isFar whether the plots may be out of view */
  jump(tick: number, isFar = true): void {
    const { first, ticks } = this.data.around;
    this.show(tick >= first && tick < first + ticks ? 'around' : 'whole');
    this.zoom({ min: tick - JUMP_TICKS, max: tick + JUMP_TICKS });
    if (!isFar) return;
    this.strip.scrollIntoView({ block: 'start' });
    this.strip.focus({ preventScroll: true });
  }

  /** Draws the whole run at the width of paper. */
  enterPaper(width: number): void {
    this.before = { mode: this.mode, range: this.range };
    this.show('whole');
    this.draw(width);
  }

  leavePaper(): void {
    this.draw();
    if (this.before === undefined) return;
    this.show(this.before.mode);
    this.zoom(this.before.range);
    this.before = undefined;
  }

  private make(): void {
    for (const plot of this.plots) plot.destroy();
    this.plots = this.hosts.flatMap((host, index) => {
      const track = this.trackOf(index);
      return track === undefined ? [] : [this.makePlot(host, track, index === this.hosts.length - 1)];
    });
  }

  private makePlot(host: HTMLElement, track: PlotTrack, isLast: boolean): uPlot {
    const part = this.part;
    const options: uPlot.Options = {
      width: this.width,
      height: PLOT_PX + (isLast ? AXIS_PX : 0),
      padding: [4, RIGHT_PX, isLast ? 0 : 4, 0],
      legend: { show: false },
      scales: { x: { time: false, range: (_, min, max) => [min, max] }, y: { range: scaleOf(track) } },
      axes: [this.timeAxis(isLast), this.valueAxis(track)],
      series: [{}, ...this.lines(track, part)],
      bands: [
        { series: [2, 1], fill: () => currentInks().baseband, dir: -1 },
        { series: [4, 3], fill: () => currentInks().headband, dir: -1 },
      ],
      cursor: {
        y: false,
        points: { show: false },
        drag: { x: true, y: false, setScale: false },
        // Only the cursor is synchronised here; `zoom` applies a selection to the other plots.
        sync: { key: this.section.id, setSeries: false, filters: { pub: (type) => type === 'mousemove' || type === 'mouseleave' } },
        bind: { dblclick: () => () => this.showAll() },
      },
      hooks: {
        setSelect: [(plot) => this.takeSelection(plot)],
        setScale: [(plot, key) => key === 'x' && this.exposeRange(host, plot)],
        setCursor: [(plot) => this.showValues(host, plot, track)],
        draw: [(plot) => this.drawMarks(plot, host === this.hosts[0])],
      },
    };
    return new window.uPlot(options, columnsOf(track, part) as uPlot.AlignedData, host);
  }

  /** Minimum and maximum of each side; base is dashed and below head. */
  private lines(track: PlotTrack, part: PlotPart): uPlot.Series[] {
    const stepped = isStepped(track, part) ? window.uPlot.paths.stepped?.({ align: 1 }) : undefined;
    const paths = stepped ?? window.uPlot.paths.linear?.();
    const line = (ink: 'base' | 'head', dash: number[]): uPlot.Series => ({
      stroke: () => currentInks()[ink],
      width: 1.25,
      dash,
      points: { show: false },
      ...(paths === undefined ? {} : { paths }),
    });
    return [line('base', DASHES), line('base', DASHES), line('head', []), line('head', [])];
  }

  private timeAxis(isLast: boolean): uPlot.Axis {
    const { tickHz } = this.data.packed;
    const isWhole = this.mode === 'whole';
    const tickLabel = (tick: number, at: number): string => (isWhole ? inSeconds(tick, tickHz) : at === 0 ? `tick ${tick}` : String(tick));
    return {
      size: isLast ? AXIS_PX : 0,
      gap: 3,
      font: FONT,
      stroke: () => currentInks().faint,
      grid: { stroke: () => currentInks().rule, width: 1 },
      ticks: { show: false },
      space: 80,
      incrs: [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 1e4, 2e4, 5e4, 1e5, 2e5, 5e5, 1e6, 2e6, 5e6, 1e7],
      values: (_, splits) => splits.map((tick, at) => (isLast ? tickLabel(tick, at) : '')),
    };
  }

  private valueAxis({ words }: PlotTrack): uPlot.Axis {
    const axis: uPlot.Axis = {
      size: LEFT_PX,
      gap: 4,
      font: FONT,
      stroke: () => currentInks().faint,
      grid: { stroke: () => currentInks().rule, width: 1 },
      ticks: { show: false },
      space: 24,
      values: (_, splits) => splits.map((value) => digits(value, 6)),
    };
    if (words === undefined) return axis;
    // Every word has a grid line; if they are too close together, only some have a label.
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

  /** Writes the visible range to attributes, for tests. */
  private exposeRange(host: HTMLElement, plot: uPlot): void {
    host.dataset.from = String(plot.scales.x?.min);
    host.dataset.to = String(plot.scales.x?.max);
  }

  /** Shows both values under the cursor instead of the summary. */
  private showValues(host: HTMLElement, plot: uPlot, { words, base, head }: PlotTrack): void {
    const readout = host.parentElement?.querySelector<HTMLElement>('.readout');
    if (readout == null) return;
    readout.dataset.summary ??= readout.textContent ?? '';
    const { idx, left = -1 } = plot.cursor;
    if (idx == null || left < 0) {
      readout.textContent = readout.dataset.summary;
      return;
    }
    const { tickHz } = this.data.packed;
    const tick = Math.floor(plot.data[0][idx] ?? 0);
    const value = (at: number, isThere: boolean): string => {
      const [min, max] = [plot.data[at]?.[idx] ?? null, plot.data[at + 1]?.[idx] ?? null];
      if (!isThere || min === null || max === null) return '–';
      return min === max ? valueText(min, words) : `${valueText(min, words)} … ${valueText(max, words)}`;
    };
    readout.textContent = `tick ${tick}, ${inSeconds(tick, tickHz)}: base ${value(1, base !== undefined)}, head ${value(3, head !== undefined)}`;
  }

  /** Vertical lines at the first difference and at stops; the first plot labels them. */
  private drawMarks(plot: uPlot, isFirst: boolean): void {
    const { ctx, bbox } = plot;
    const ratio = window.uPlot.pxRatio;
    for (const [index, { tick, label }] of this.data.packed.marks.entries()) {
      if (tick < this.range.min || tick > this.range.max) continue;
      const x = Math.round(plot.valToPos(tick, 'x', true)) + 0.5;
      ctx.save();
      ctx.strokeStyle = currentInks().ink;
      ctx.lineWidth = ratio;
      ctx.setLineDash([1.5 * ratio, 2.5 * ratio]);
      ctx.beginPath();
      ctx.moveTo(x, bbox.top);
      ctx.lineTo(x, bbox.top + bbox.height);
      ctx.stroke();
      if (isFirst) drawLabel(ctx, label, x, bbox.top + (10 + 12 * index) * ratio, bbox.left + bbox.width);
      ctx.restore();
    }
  }
}
