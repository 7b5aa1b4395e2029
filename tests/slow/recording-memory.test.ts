import { join } from 'node:path';
import { expect, it } from 'vitest';
import { describeContract } from '../../host/contract/contract.js';
import { messageBytes } from '../../host/contract/messages.js';
import { openRecording } from '../../host/recording/reader.js';
import { RecordingWriter } from '../../host/recording/writer.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const ROWS = 24;

it('reading 600,000 messages needs no more memory than reading the first 1,000', () => {
  const contract = describeContract();
  const path = join(temporaryFolder(), 'long.mcap');
  const writer = RecordingWriter.create(path, { contract, rows: ROWS, tickHz: 1000, messages: ['input'] });
  const payload = new Uint8Array(messageBytes(contract, 'input', ROWS)).map((_, at) => (31 + at) >>> 3);
  for (let tick = 0; tick < 600_000; tick++) writer.write('input', tick, payload);
  writer.close();
  let start = 0;
  let maximum = 0;
  for (const { tick } of openRecording(path).messages()) {
    if (tick % 1000 !== 999) continue;
    const { rss } = process.memoryUsage();
    if (start === 0) start = rss;
    maximum = Math.max(maximum, rss);
  }
  // Uncompressed, the messages have 148 MB.
  expect(start).toBeGreaterThan(0);
  expect(maximum - start).toBeLessThan(64e6);
}, 60_000);
