import type { Curve, RunReview, RunViews, Track, Tracks, ValveLane } from '../../../review/review.js';
import { html, type Markup, NOTHING } from '../../form/markup.js';
import { counted } from '../../form/text-table.js';
import { rowLabel, seconds, short, withUnit } from './labels.js';
import type { Limits } from './limits.js';
import { packViews } from './pack.js';

/** `12 to 34`, `hold … raise`: the range of a side. */
function rangeText(curve: Curve | null, { words }: Track): string {
  if (curve === null) return 'no such signal';
  const min = curve.min.reduce<number>((end, value) => (value === null ? end : Math.min(end, value)), Number.POSITIVE_INFINITY);
  const max = curve.max.reduce<number>((end, value) => (value === null ? end : Math.max(end, value)), Number.NEGATIVE_INFINITY);
  if (min > max) return 'no values';
  const text = (value: number): string => words?.[value] ?? short(value);
  return min === max ? text(min) : `${text(min)} ${words === undefined ? 'to' : '…'} ${text(max)}`;
}

/** Difference of the two sides in each bin; empty if a side does not have the signal. */
function differencesOf({ base, head }: Track): number[] {
  if (base === null || head === null) return [];
  const apart = (before: readonly (number | null)[], after: readonly (number | null)[], bin: number): number =>
    before[bin] == null || after[bin] == null ? 0 : Math.abs(after[bin] - before[bin]);
  return base.min.map((_, bin) => Math.max(apart(base.min, head.min, bin), apart(base.max, head.max, bin)));
}

/** What a plot shows, in words. */
function trackSummary(track: Track, { first, ticks, bins }: Tracks, tickHz: number): string {
  const sides = `base ${rangeText(track.base, track)}; head ${rangeText(track.head, track)}`;
  const differences = differencesOf(track);
  const largest = differences.reduce((end, value) => Math.max(end, value), 0);
  if (largest === 0) return sides;
  const at = (bin: number): string => `at ${seconds(first + Math.floor((bin * ticks) / bins), tickHz)}`;
  if (track.words !== undefined) return `${sides}; first different ${at(differences.findIndex((value) => value > 0))}`;
  return `${sides}; largest difference ${short(largest)} ${at(differences.indexOf(largest))}`;
}

function plot(track: Track, overview: Tracks, tickHz: number): Markup {
  const { signal, row, unit } = track;
  const summary = trackSummary(track, overview, tickHz);
  return html`<figure class="track"><figcaption><b class="signal">${signal}</b> ${withUnit(rowLabel(row), unit === '' ? '' : `· ${unit}`)} <span class="readout faint">${summary}</span></figcaption><div class="plot js"></div><div class="apart js"></div></figure>`;
}

const laneSummary = ({ row, valve, base, head }: ValveLane): string =>
  `${rowLabel(row)} ${valve}, base ${counted(base.length, 'opening')}, head ${head.length}`;

/** Buttons for all plots of a run: action, sign and name. */
const BUTTONS: readonly (readonly [string, string, string])[] = [
  ['in', '+', 'zoom in'],
  ['out', '−', 'zoom out'],
  ['left', '←', 'earlier'],
  ['right', '→', 'later'],
];

function toolbar({ name, first, firstOutput }: RunReview, hint: string): Markup {
  const hasOutput = firstOutput !== undefined && firstOutput.tick !== first?.tick;
  const output = hasOutput ? html`<button type="button" data-act="output">around the first output</button>` : NOTHING;
  const small = BUTTONS.map(
    ([act, sign, label]) => html`<button type="button" data-act="${act}" aria-label="${label}" title="${label}">${sign}</button>`,
  );
  const key = html`<span class="key"><span class="dash base"></span> base <span class="dash head"></span> head <span class="dash mark"></span> first difference</span>`;
  return html`<div class="tools"><div class="js" role="group" aria-label="Range of the plots of ${name}"><button type="button" data-act="whole" aria-pressed="true">whole run</button><button type="button" data-act="around" aria-pressed="false">around the first difference</button>${output}${small}</div>${key}<span class="faint js hint" id="${hint}">drag to zoom, double-click to reset; keys + − ← → 0</span></div>`;
}

/** Plots of both sides over one time axis, with the lanes of the valves. The client code draws them and labels each by its caption. */
export function plotsBlock(run: RunReview, views: RunViews, index: number, limits: Limits): Markup {
  const { overview, lanes } = views;
  const hint = `hint-${index}`;
  const summary = lanes.map(laneSummary).join('; ');
  const valves = html`<figure class="track"><figcaption><b>Open valves</b> base above head; <span class="faint">changed strokes: + added, × removed, ◂ earlier, ▸ later</span></figcaption><div class="lanes js" role="img" aria-label="Openings of the valves: ${summary}"></div><p class="no-js faint">${summary}</p></figure>`;
  const msPerBin = short((overview.ticks / overview.bins / run.tickHz) * 1000);
  const caption = html`<p class="faint">Lowest and highest value in each ${msPerBin} ms; below each curve head − base, to the scale of its largest difference. Each value is in the SI unit beside its name.</p>`;
  return html`<div class="plots"><h3>Over time</h3>${caption}${toolbar(run, hint)}<div class="strip" tabindex="0" role="group" aria-label="Plots of ${run.name}" aria-describedby="${hint}">${overview.tracks.map((track) => plot(track, overview, run.tickHz))}${lanes.length > 0 ? [valves] : []}</div><p class="range faint js" aria-live="polite"></p><script type="text/plain" class="packed">${packViews(run, views, limits)}</script></div>`;
}
