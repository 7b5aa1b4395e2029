import { mkdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { watchFiles } from '../../../host/common/watch-files.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();

describe('watchFiles', () => {
  it('reports several saves in a row once, also those before the call, and ends when closed', async () => {
    let now = 0;
    const watched = join(folder, 'watched');
    mkdirSync(join(watched, 'below'), { recursive: true });
    const files = watchFiles([watched], () => (now += 1));
    expect(files.hasChanged()).toBe(false);
    writeFileSync(join(watched, 'a.ts'), '1');
    writeFileSync(join(watched, 'below', 'b.ts'), '2');
    await new Promise((resolve) => setTimeout(resolve, 400));
    expect(files.hasChanged()).toBe(true);
    const save = await files.next();
    // The time of the last of several events.
    expect(save).toEqual({ atMs: now, deleted: [] });
    expect(now).toBeGreaterThan(1);
    expect(files.hasChanged()).toBe(false);
    const waiting = files.next();
    let isResolved = false;
    void waiting.then(() => {
      isResolved = true;
    });
    await new Promise((resolve) => setTimeout(resolve, 200));
    expect(isResolved).toBe(false);
    files.close();
    expect(await waiting).toBeUndefined();
    expect(await files.next()).toBeUndefined();
  });

  it('names files that were deleted, and not those that an editor replaced', async () => {
    const watched = join(folder, 'edited');
    mkdirSync(watched);
    for (const name of ['a.ts', 'b.ts']) writeFileSync(join(watched, name), '1');
    const files = watchFiles([watched], () => 0);
    rmSync(join(watched, 'a.ts'));
    writeFileSync(join(watched, 'b.ts.new'), '2');
    renameSync(join(watched, 'b.ts.new'), join(watched, 'b.ts'));
    expect((await files.next())?.deleted).toEqual([join(watched, 'a.ts')]);
    files.close();
  });

  it('watches one file of a folder only, if it is named', async () => {
    const file = join(folder, 'one.yaml');
    writeFileSync(file, '1');
    await new Promise((resolve) => setTimeout(resolve, 100));
    const files = watchFiles([file], () => 0);
    writeFileSync(join(folder, 'other.yaml'), '1');
    const first = await Promise.race([files.next(), new Promise((resolve) => setTimeout(() => resolve('nothing'), 300))]);
    expect(first).toBe('nothing');
    files.close();
  });
});
