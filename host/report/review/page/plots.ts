import type { Curve, RunReview, Sight, Track, Tracks, ValveLane } from '../../../review/review.js';
import { html, type Markup } from '../../form/markup.js';
import { counted } from '../../form/text-table.js';
import { packSight } from './pack.js';
import type { Room } from './room.js';
import { rowWords, seconds, short, withUnit } from './words.js';

/** From the least to the most value of a side, as words or numbers. */
function rangeWords(curve: Curve | null, { words }: Track): string {
  if (curve === null) return 'no such signal';
  const least = curve.least.reduce<number>((end, value) => (value === null ? end : Math.min(end, value)), Number.POSITIVE_INFINITY);
  const most = curve.most.reduce<number>((end, value) => (value === null ? end : Math.max(end, value)), Number.NEGATIVE_INFINITY);
  if (least > most) return 'no values';
  const say = (value: number): string => words?.[value] ?? short(value);
  return least === most ? say(least) : words === undefined ? `${say(least)} to ${say(most)}` : `${say(least)} … ${say(most)}`;
}

/** Stretch in which both sides are farthest from each other, with the distance. */
function farthest({ old, new: now }: Track): { at: number; by: number } | undefined {
  if (old === null || now === null) return undefined;
  const apart = (before: readonly (number | null)[], after: readonly (number | null)[], at: number): number =>
    Math.abs((after[at] ?? 0) - (before[at] ?? 0)) * (before[at] === null || after[at] === null ? 0 : 1);
  const by = old.least.map((_, at) => Math.max(apart(old.least, now.least, at), apart(old.most, now.most, at)));
  const most = by.reduce((end, value) => Math.max(end, value), 0);
  return most > 0 ? { at: by.indexOf(most), by: most } : undefined;
}

/** What a plot shows, in words. */
function trackSummary(track: Track, { first, ticks, stretches }: Tracks, tickHz: number): string {
  const sides = `old ${rangeWords(track.old, track)}; new ${rangeWords(track.new, track)}`;
  const most = farthest(track);
  if (most === undefined) return sides;
  const tick = first + Math.floor((most.at * ticks) / stretches);
  const by = track.words === undefined ? ` by ${short(most.by)}` : '';
  return `${sides}; farthest apart${by} at ${seconds(tick, tickHz)}`;
}

function plot(track: Track, overview: Tracks, tickHz: number): Markup {
  const { signal, row, unit } = track;
  const summary = trackSummary(track, overview, tickHz);
  return html`<figure class="track"><figcaption><b class="signal">${signal}</b> ${withUnit(rowWords(row), unit === '' ? '' : `· ${unit}`)} <span class="said faint">${summary}</span></figcaption><div class="plot js"></div></figure>`;
}

const laneSummary = ({ row, valve, old, new: now }: ValveLane): string =>
  `${rowWords(row)} ${valve}, old ${counted(old.length, 'opening')}, new ${now.length}`;

/** What buttons do to all plots of a run, and how they look. */
const BUTTONS: readonly (readonly [string, string, string])[] = [
  ['in', '+', 'zoom in'],
  ['out', '−', 'zoom out'],
  ['left', '←', 'earlier'],
  ['right', '→', 'later'],
];

function toolbar(name: string, hint: string): Markup {
  const small = BUTTONS.map(
    ([act, sign, words]) => html`<button type="button" data-act="${act}" aria-label="${words}" title="${words}">${sign}</button>`,
  );
  const key = html`<span class="key"><span class="dash old"></span> old <span class="dash new"></span> new <span class="dash mark"></span> parting</span>`;
  return html`<div class="tools"><div class="js" role="group" aria-label="What the plots of ${name} show"><button type="button" data-act="whole" aria-pressed="true">whole run</button><button type="button" data-act="around" aria-pressed="false">around the parting</button>${small}</div>${key}<span class="faint js hint" id="${hint}">drag to zoom, double click for all; keys + − ← → 0</span></div>`;
}

/** Plots of both sides over one time axis, with the lanes of the valves. The page's own code draws them, and names each by its caption. */
export function plotsBlock(run: RunReview, sight: Sight, index: number, room: Room): Markup {
  const { overview, lanes } = sight;
  const hint = `hint-${index}`;
  const valves = html`<figure class="track"><figcaption><b>Open valves</b> old above new; <span class="faint">changed strokes: + added, × removed, ◂ earlier, ▸ later</span></figcaption><div class="lanes js" role="img" aria-label="When valves were open: ${lanes.map(laneSummary).join('; ')}"></div><p class="no-js faint">${lanes.map(laneSummary).join('; ')}</p></figure>`;
  return html`<div class="plots"><h3>Over time</h3>${toolbar(run.name, hint)}<div class="strip" tabindex="0" role="group" aria-label="Plots of ${run.name}" aria-describedby="${hint}">${overview.tracks.map((track) => plot(track, overview, run.tickHz))}${lanes.length > 0 ? [valves] : []}</div><p class="range faint js" aria-live="polite"></p><script type="text/plain" class="packed">${packSight(run, sight, room)}</script></div>`;
}
