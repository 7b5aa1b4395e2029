import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../../host/contract/contract.js';
import { writeField } from '../../../../host/contract/fields.js';
import { type MessageName, messageBytes, messageRecords } from '../../../../host/contract/messages.js';
import { RecordingWriter } from '../../../../host/recording/writer.js';
import { type View, type ViewOptions, viewRecording } from '../../../../host/replay/view.js';
import { PLOT_COLUMNS, plotSvg } from '../../../../host/report/vector/plot-svg.js';
import { refusalOf } from '../../../support/refusal.js';
import { temporaryFolder } from '../../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();
const ROWS = 5;
let files = 0;

type Values = Readonly<Record<string, number>>;
/** Values of the fields of the bank and of every row in the messages of a tick. */
type Fill = (tick: number) => Partial<Record<MessageName, { readonly bank?: Values; readonly row?: (row: number) => Values }>>;

/** Makes a recording; fields that are not filled in are 0. */
function record(ticks: number, tickHz: number, fill: Fill, title = 'Made up'): string {
  const file = join(folder, `${++files}.mcap`);
  const messages = Object.keys(fill(0)) as MessageName[];
  const writer = RecordingWriter.create(file, { contract, rows: ROWS, tickHz, messages, about: { title } });
  for (let tick = 0; tick < ticks; tick++) {
    for (const [message, { bank = {}, row = () => ({}) }] of Object.entries(fill(tick)) as [
      MessageName,
      ReturnType<Fill>['input'] & {},
    ][]) {
      const payload = new Uint8Array(messageBytes(contract, message, ROWS));
      const records = messageRecords(contract, message);
      const put = (at: number, record: typeof records.bank, values: Values): void => {
        for (const [name, value] of Object.entries(values)) {
          const field = record.fields.find((one) => one.name === name);
          if (field === undefined) throw new Error(`no field ${name}`);
          writeField(new DataView(payload.buffer), at, field, value);
        }
      };
      put(0, records.bank, bank);
      for (let one = 1; one <= ROWS; one++) put(records.bank.size + (one - 1) * records.row.size, records.row, row(one));
      writer.write(message, tick, payload);
    }
  }
  writer.close();
  return file;
}

const view = (file: string, look: Partial<ViewOptions> = {}): View => viewRecording(file, { row: 1, bins: PLOT_COLUMNS, ...look });
const picture = (file: string, look: Partial<ViewOptions> = {}): string => plotSvg(view(file, look));

/** A hash as repeatable noise, 0 to 1. */
const noise = (tick: number): number => (Math.imul(tick + 1, 2654435761) >>> 8) / 2 ** 24;

describe('a picture of an hour', () => {
  const TICKS = 36_000;
  const SPIKE = 12_345;
  const file = record(TICKS, 10, (tick) => ({
    input: { row: (row) => ({ loadCounts: row === 2 && tick === SPIKE ? 4000 : 1000 }) },
    output: {
      row: (row) => ({ faults: row === 2 && tick === SPIKE ? 1 : 0, supplyOrder: tick === SPIKE ? 1 : tick === SPIKE + 1 ? 2 : 0 }),
    },
  }));

  const svg = picture(file, { panes: [['loadCounts[2]']] });

  it('shows a spike of one tick as a vertical line in its column', () => {
    // Tick 12,345 of 36,000 lies in column 294 of 860; the line is in the middle of it, after a margin of 82 px. The pane has
    // 110 px; minimum and maximum are 5 % of their distance from its edges: 110 / 1.1 = 100 px apart.
    const [, from = '', to = ''] = /<path class="band" d="M376\.5 ([\d.]+)V([\d.]+)"\/>/.exec(svg) ?? [];
    expect(Number(from) - Number(to)).toBeCloseTo(100, 1);
  });

  it('shows a fault and an open valve of one tick', () => {
    expect(svg).toMatch(/<rect class="bad" x="376" y="\d+" width="1" height="11"><title>loadShort<\/title>/);
    expect(svg).toMatch(/<path class="open" d="M376 \d+v-3H377v3z"\/>/);
  });

  it('has a time axis in minutes', () => {
    expect(svg).toMatch(/>10 min<.*>60 min</);
  });

  it('has at most one column per pixel, and one per tick for a shorter time', () => {
    expect(view(file).panes[0]?.[0]?.mean).toHaveLength(860);
    expect(view(file, { toTick: 99 }).panes[0]?.[0]?.mean).toHaveLength(100);
  });
});

describe('a picture', () => {
  const file = record(
    4000,
    1000,
    (tick) => ({
      probe: {
        bank: { targetLoadN: 450 },
        row: (row) => ({
          loadN: row * 100 + 50 * noise(tick),
          loadRawN: 900 * noise(tick * 7),
          setPointKpa: 3500,
          pressureKpa: 3000 + tick,
        }),
      },
      truth: {
        row: (row) => ({ wheelN: row * 100 + 800 * noise(tick + row), chamberKpa: 4000 * noise(tick), groundMm: 5, travelMm: Number.NaN }),
      },
      input: { bank: { targetLoadN: 500 }, row: () => ({ loadCounts: 2000 }) },
    }),
    'A <pass> & more',
  );

  it('shows the truth beside what is measured if no signals are given', () => {
    const names = view(file).panes.map((pane) => pane.map(({ signal }) => signal.name));
    expect(names).toEqual([
      ['targetLoadN', 'wheelN', 'loadN'],
      ['chamberKpa', 'setPointKpa', 'pressureKpa'],
      ['groundMm', 'travelMm'],
    ]);
  });

  it('omits default signals that a recording does not hold', () => {
    const truth = record(10, 1000, () => ({ truth: {} }));
    expect(view(truth).panes.map((pane) => pane.map(({ signal }) => signal.name))).toEqual([
      ['wheelN'],
      ['chamberKpa'],
      ['groundMm', 'travelMm'],
    ]);
  });

  it('interrupts a line where there are no values', () => {
    const gap = record(100, 1000, (tick) => ({ probe: { row: () => ({ loadN: tick > 40 && tick < 60 ? Number.NaN : tick }) } }));
    expect(
      picture(gap, { panes: [['loadN']] })
        .match(/class="line" d="([^"]+)"/)?.[1]
        ?.match(/M/g),
    ).toHaveLength(2);
  });

  it('dashes lines if a pane has more signals than colours', () => {
    const names = [1, 2, 3, 4, 5].map((row) => `loadN[${row}]`);
    const svg = picture(file, { panes: [[...names, 'loadRawN[1]', 'loadRawN[2]']] });
    // The seventh signal, loadRawN[2], is noise: a band and a line.
    expect(svg.match(/<g class="i0 again">/g)).toHaveLength(2);
  });

  it('names the row of each signal if it shows several rows', () => {
    expect(picture(file, { panes: [['loadN', 'loadN[2]', 'targetLoadN']] })).toContain('<desc>loadN[1], loadN[2], targetLoadN in N, ');
    expect(picture(file, { panes: [['loadN', 'targetLoadN']] })).toContain('<desc>loadN, targetLoadN in N, ');
  });

  it('draws switches and enums as steps, and labels the enum values', () => {
    const steps = record(4, 1000, (tick) => ({ probe: { row: () => ({ wish: tick === 2 ? 1 : 0 }) } }));
    const svg = picture(steps, { panes: [['wish']] });
    // 4 ticks of 215 px after a margin of 82 px; raise is 1.
    expect(svg).toMatch(/class="line" d="M82 ([\d.]+)H512V([\d.]+)H727V\1H942"/);
    expect(svg).toMatch(/>hold<.*\n.*>raise<.*\n.*>lower</);
    const input = record(4, 1000, (tick) => ({ input: { bank: { lowered: tick === 2 ? 1 : 0 } } }));
    expect([...picture(input, { panes: [['lowered']] }).matchAll(/x="75" [^>]+>([^<]+)<\/text>/g)].map(([, mark]) => mark)).toEqual(
      expect.arrayContaining(['0', '1']),
    );
    expect(picture(input, { panes: [['lowered']] })).not.toContain('>0.5<');
  });

  it('treats values that differ only by rounding as constant', () => {
    // Neighbouring 32-bit numbers are 2.4e-7 apart here.
    const speeds = record(100, 1000, (tick) => ({ truth: { bank: { speedMps: tick % 2 === 0 ? 3.1 : 3.1000003 } } }));
    const marks = [...picture(speeds, { panes: [['speedMps']] }).matchAll(/x="75" [^>]+>([\d.]+)<\/text>/g)];
    expect(marks.map(([, mark]) => mark)).toEqual(['2.8', '3.0', '3.2', '3.4']);
  });

  it('shows pressures in kPa, as their names say', () => {
    const svg = picture(file, { panes: [['pressureKpa']] });
    // 3000 to 6999 kPa: these are the steps of 1000 kPa inside the range.
    const labels = [...svg.matchAll(/<text class="faint" x="75" y="[\d.]+" text-anchor="end">([^<]*)<\/text>/g)].map(([, text]) => text);
    expect(labels).toEqual(['kPa', '3000', '4000', '5000', '6000', '7000']);
  });

  it('finds signals by the column names of an export', () => {
    const [pane = []] = view(file, { row: 4, panes: [['loadN', 'loadN[3]', 'input.targetLoadN', 'probe.targetLoadN']] }).panes;
    expect(pane.map(({ signal: { message, row } }) => [message, row])).toEqual([
      ['probe', 4],
      ['probe', 3],
      ['input', 0],
      ['probe', 0],
    ]);
    expect(pane.slice(2).map(({ mean }) => mean[0])).toEqual([500, 450]);
  });

  it('describes its content in words, and marks a signal without values', () => {
    const svg = picture(file);
    expect(svg).toContain('<title>A &lt;pass&gt; &amp; more</title>');
    expect(svg).toContain('role="img" aria-label="A &lt;pass&gt; &amp; more: targetLoadN, wheelN, loadN, chamberKpa');
    expect(svg).toContain(
      '<desc>targetLoadN, wheelN, loadN in N; chamberKpa, setPointKpa, pressureKpa in kPa; groundMm, travelMm in mm, from 0 s to 4 s',
    );
    expect(svg).toContain('>travelMm (no values)<');
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  });

  it('is small, has legible text and colours for dark mode', () => {
    const svg = picture(file, { panes: [['wheelN[1]', 'wheelN[2]', 'wheelN[3]', 'loadRawN'], ['chamberKpa'], ['loadN']] });
    expect(svg.length).toBeLessThan(300_000);
    for (const [, size] of svg.matchAll(/font(?:-size)?: (\d+)px/g)) expect(Number(size)).toBeGreaterThanOrEqual(11);
    expect(svg).toContain('@media (prefers-color-scheme: dark)');
  });

  it('of a part has the time of that part', () => {
    const svg = picture(file, { fromTick: 1000, toTick: 1400 });
    expect(svg).toMatch(/>1\.00 s<.*>1\.40 s</);
    expect(svg).toContain('from 1 s to 1.401 s, 401 ticks at 1000 Hz');
  });

  it.each([
    [
      'different units in one pane',
      { panes: [['loadN', 'pressureKpa']] },
      /one pane mixes units: loadN in N, pressureKpa in kPa\. Give each unit its own --signal\./,
    ],
    ['an unknown signal', { panes: [['loadNewton']] }, /there is no signal loadNewton; it must be one of .*loadN/],
    ['a message that the recording does not hold', { panes: [['output.mode']] }, /there is no signal output\.mode/],
    ['a row that the bank does not have', { panes: [['loadN[6]']] }, /the row of loadN is 6; it must be between 1 and 5/],
    [
      'a signal of the bank with a row',
      { panes: [['targetLoadN[2]']] },
      /targetLoadN\[2\] names a row, but targetLoadN is a signal of the bank/,
    ],
    ['a part after the end', { fromTick: 4000 }, /--from is tick 4000 \([\d.]+ s\); it must be before the end at tick 4000 /],
    ['an end before the start', { fromTick: 20, toTick: 19 }, /--to is tick 19 \([\d.]+ s\); it must be at or after --from, tick 20 /],
    ['too many panes', { panes: Array.from({ length: 25 }, () => ['loadN']) }, /the number of panes is 25; it must be at most 24/],
    [
      'too many signals in one pane',
      { panes: [Array.from({ length: 13 }, () => 'loadN')] },
      /the number of signals in one pane is 13; it must be at most 12/,
    ],
  ])('refuses %s', (_, look, words) => {
    expect(refusalOf(() => view(file, look)).message).toMatch(words);
  });
});

describe('lanes', () => {
  const file = record(1000, 1000, () => ({
    input: { row: () => ({ loadCounts: 2000 }) },
    output: { bank: { mode: 4 }, row: () => ({ mode: 3 }) },
  }));
  const lanes = (svg: string): string[] => [...svg.matchAll(/>(bank|row \d)<\/text>/g)].map(([, name = '']) => name);

  it('are those of the bank and of each named row', () => {
    const svg = picture(file, { panes: [['loadCounts[5]', 'loadCounts[2]']] });
    expect(lanes(svg)).toEqual(['bank', 'row 2', 'row 5']);
    expect(svg).toContain('>rows 2, 5 of 5<');
  });

  it('are those of at most four rows, and the picture says so', () => {
    const svg = picture(file, { panes: [1, 2, 3, 4, 5].map((row) => [`loadCounts[${row}]`]) });
    expect(lanes(svg)).toEqual(['bank', 'row 1', 'row 2', 'row 3', 'row 4']);
    expect(svg).toContain('>rows 1, 2, 3, 4, 5 of 5; lanes of 1, 2, 3, 4<');
  });

  it('are missing if a recording holds no outputs', () => {
    const inputs = record(10, 1000, () => ({ input: {} }));
    expect(lanes(picture(inputs))).toEqual([]);
  });
});
