import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { watchFiles } from '../../../host/common/watch-files.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();

describe('watchFiles', () => {
  it('reports several saves in a row once, also those before the call, and ends when closed', async () => {
    const watched = join(folder, 'watched');
    mkdirSync(join(watched, 'below'), { recursive: true });
    const files = watchFiles([watched]);
    writeFileSync(join(watched, 'a.ts'), '1');
    writeFileSync(join(watched, 'below', 'b.ts'), '2');
    await new Promise((resolve) => setTimeout(resolve, 400));
    expect(await files.next()).toBe(true);
    const waiting = files.next();
    let isResolved = false;
    void waiting.then(() => {
      isResolved = true;
    });
    await new Promise((resolve) => setTimeout(resolve, 200));
    expect(isResolved).toBe(false);
    files.close();
    expect(await waiting).toBe(false);
    expect(await files.next()).toBe(false);
  });

  it('watches one file of a folder only, if it is named', async () => {
    const file = join(folder, 'one.yaml');
    writeFileSync(file, '1');
    await new Promise((resolve) => setTimeout(resolve, 100));
    const files = watchFiles([file]);
    writeFileSync(join(folder, 'other.yaml'), '1');
    const first = await Promise.race([files.next(), new Promise((resolve) => setTimeout(() => resolve('nothing'), 300))]);
    expect(first).toBe('nothing');
    files.close();
  });
});
