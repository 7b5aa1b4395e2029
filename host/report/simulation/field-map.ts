import { UNITS } from '../../../shared/units.js';
import { type Pass, speedAt, timeAt } from '../../simulate/pass.js';
import { classOf } from '../../simulate/roughness.js';
import type { Scenario } from '../../simulate/scenario.js';
import type { Segment } from '../../simulate/segments.js';
import { counted, textTable } from '../form/text-table.js';

/*
 * A scenario's field as a map in text: one column of characters for a part of the pass, one line for what changes along it.
 */

/** Width of the names of the lines, characters. */
const NAME_WIDTH = 10;
const MIN_WIDTH = 20;
const BARS = [...'▁▂▃▄▅▆▇█'];

/** A value without digits that only come from binary fractions. */
const short = (value: number): string => String(Number(value.toPrecision(4)));

const line = (name: string, cells: string): string => `${name.padEnd(NAME_WIDTH)}${cells}`.trimEnd();

/** Places on a line of characters. */
class Scale {
  constructor(
    readonly passM: number,
    readonly width: number,
  ) {}

  /** The character that a distance falls into. */
  columnOf(atM: number): number {
    return Math.min(this.width - 1, Math.floor((atM / this.passM) * this.width));
  }

  /** The distance in the middle of a character. */
  middleOf(column: number): number {
    return ((column + 0.5) / this.width) * this.passM;
  }

  /** Writes texts at distances; one that would touch the text before is left out. */
  labels(texts: readonly { readonly atM: number; readonly text: string }[]): string {
    let cells = '';
    for (const { atM, text } of texts) {
      const column = Math.min(this.columnOf(atM), Math.max(0, this.width - text.length));
      if (cells.length > 0 && column <= cells.length) continue;
      cells = cells.padEnd(column) + text;
    }
    return cells;
  }

  /** Writes a mark at each distance; several that fall into the same character are a number, above 9 a `+`. */
  marks(places: readonly { readonly atM: number; readonly mark: string }[]): string {
    const cells: string[] = Array.from({ length: this.width }, () => ' ');
    const counts = new Map<number, number>();
    for (const { atM, mark } of places) {
      const column = this.columnOf(atM);
      const count = (counts.get(column) ?? 0) + 1;
      counts.set(column, count);
      cells[column] = count === 1 ? mark : count < 10 ? String(count) : '+';
    }
    return cells.join('');
  }
}

/** Distances with a label: the largest step of 1, 2 or 5 times a power of ten with room for the numbers. */
function axis(scale: Scale): string {
  const fits = (stepM: number): boolean => (stepM / scale.passM) * scale.width >= 8;
  const steps = [...Array(8).keys()].flatMap((power) => [1, 2, 5].map((one) => (one * 10 ** power) / 100));
  const stepM = steps.find(fits) ?? scale.passM;
  const count = Math.floor(scale.passM / stepM) + 1;
  return scale.labels(Array.from({ length: count }, (_, index) => ({ atM: index * stepM, text: short(index * stepM) })));
}

const roughness = ({ roughnessCm3 }: Segment): string => classOf(roughnessCm3) ?? `${short(roughnessCm3)} cm³`;

function segmentLines(segments: readonly Segment[], scale: Scale, isGenerated: boolean): string[] {
  const of = (name: string, text: (one: Segment) => string): string =>
    line(name, scale.labels(segments.map((one) => ({ atM: one.fromM, text: text(one) }))));
  return [
    of('segment', ({ name }) => `|${name}`),
    ...(isGenerated ? [of('class', (one) => `|${roughness(one)}`)] : []),
    ...(segments.some(({ hardnessRatio }) => hardnessRatio !== 1)
      ? [of('hardness', ({ hardnessRatio }) => `|${short(hardnessRatio)}`)]
      : []),
  ];
}

/** Speed as bars from 0 to its maximum. */
function speedLine(pass: Pass, scale: Scale): string {
  const speeds = Array.from({ length: scale.width }, (_, column) => speedAt(pass.motions, scale.middleOf(column)));
  const max = Math.max(...speeds);
  const bars = speeds.map((speed) => BARS[Math.max(0, Math.ceil((speed / max) * BARS.length) - 1)]);
  return line('speed', bars.join(''));
}

function mapLines({ layout, profile, pass }: Scenario, width: number): string[] {
  const scale = new Scale(pass.lengthM, Math.max(MIN_WIDTH, width - NAME_WIDTH));
  const { segments, stones, steps } = layout;
  return [
    line('m', axis(scale)),
    ...(segments.length > 0 ? segmentLines(segments, scale, profile === undefined) : []),
    ...(stones.length > 0 ? [line('stones', scale.marks(stones.map(({ atM }) => ({ atM, mark: 'o' }))))] : []),
    ...(steps.length > 0 ? [line('steps', scale.marks(steps.map(({ atM, heightMm }) => ({ atM, mark: heightMm > 0 ? '/' : '\\' }))))] : []),
    speedLine(pass, scale),
    ...(pass.drive.length > 0 ? [line('drive', scale.marks(pass.drive.map(({ atM }) => ({ atM, mark: 'd' }))))] : []),
    ...(pass.events.length > 0 ? [line('events', scale.marks(pass.events.map(({ atM }) => ({ atM, mark: 'x' }))))] : []),
  ];
}

function segmentsTable(segments: readonly Segment[]): string {
  const columns = [
    { title: 'segment' },
    ...['from m', 'to m', 'class', 'hardness', 'moisture %', 'stiffness', 'damping', 'stone every m'].map((title) => ({
      title,
      isNumber: true,
    })),
  ];
  return textTable(
    columns,
    segments.map((one) => [
      one.name,
      short(one.fromM),
      short(one.toM),
      roughness(one),
      short(one.hardnessRatio),
      one.moisturePercent === undefined ? '' : short(one.moisturePercent),
      short(one.stiffnessRatio),
      short(one.dampingRatio),
      one.stoneEveryM === 0 ? 'none' : short(one.stoneEveryM),
    ]),
  );
}

/** Rows of a stone: `1, 3`, `all`, or `30 % of all`. */
function rowsText(rows: readonly number[], share: number, all: number): string {
  const which = rows.length === all ? 'all rows' : `row ${rows.join(', ')}`;
  return share === 1 ? which : `${short(100 * share)} % of ${which}`;
}

/** Everything at a place, in the order of the places. */
function placesTable({ layout, rows, pass }: Scenario): string {
  const places = [
    ...layout.stones.map(({ atM, heightMm, lengthMm, rows: of, rowShareRatio }) => ({
      atM,
      what: 'stone',
      atS: timeAt(pass.motions, atM),
      text: `${short(heightMm)} mm high, ${short(lengthMm)} mm long, in ${rowsText(of, rowShareRatio, rows)}`,
    })),
    ...layout.steps.map(({ atM, heightMm, overM }) => ({
      atM,
      what: 'step',
      atS: timeAt(pass.motions, atM),
      text: `${short(Math.abs(heightMm))} mm ${heightMm > 0 ? 'up' : 'down'} over ${short(overM)} m`,
    })),
    ...pass.drive.map((one) => ({ ...one, what: 'drive' })),
    ...pass.events.map((one) => ({ ...one, what: 'event' })),
  ].sort((one, other) => one.atS - other.atS);
  if (places.length === 0) return '';
  const columns = [{ title: 'at m', isNumber: true }, { title: 'at s', isNumber: true }, { title: 'what' }, { title: '' }];
  return textTable(
    columns,
    places.map(({ atM, atS, what, text }) => [short(atM), short(atS), what, text]),
  );
}

/** The field where it has no segments, in one line. */
function fieldLine({ field, profile }: Scenario): string {
  const symbol = UNITS.newton.symbol;
  const soil = `soil ${short(field.soilMinN ?? 0)} to ${short(field.soilMaxN ?? 0)} ${symbol} at hardness 1`;
  const cm3 = field.roughnessCm3 ?? 0;
  const ground = profile === undefined ? `class ${classOf(cm3) ?? `${short(cm3)} cm³`}` : 'heights from a file';
  const stones = field.stoneEveryM === 0 ? 'no random stones' : `a random stone every ${short(field.stoneEveryM ?? 0)} m of a row`;
  return `field: ${ground}, ${soil}, ${stones}`;
}

/** Breaks text into lines between words. */
function wrapped(text: string, width: number): string {
  const lines = [''];
  for (const word of text.split(/\s+/)) {
    const last = lines.at(-1) ?? '';
    if (last !== '' && last.length + 1 + word.length > width) lines.push(word);
    else lines[lines.length - 1] = last === '' ? word : `${last} ${word}`;
  }
  return lines.join('\n');
}

/** A scenario's field, drive and events: a map along the pass, and what is where. @param width characters that a line may have */
export function fieldMap(scenario: Scenario, width: number): string {
  const { name, title, story, rows, seconds, seed, machine, layout, pass } = scenario;
  const head = [
    title,
    `scenario ${name}, machine ${machine.name}, ${counted(rows, 'row')}, ${short(seconds)} s, ${short(pass.lengthM)} m, seed ${seed}`,
    wrapped(story, width),
    '',
    fieldLine(scenario),
  ];
  const map = pass.lengthM > 0 ? ['', ...mapLines(scenario, width)] : ['the machine stands still'];
  const segments = layout.segments.length > 0 ? ['', segmentsTable(layout.segments).trimEnd()] : [];
  const places = placesTable(scenario);
  return `${[...head, ...map, ...segments, ...(places === '' ? [] : ['', places.trimEnd()])].join('\n')}\n`;
}
