import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { CHIP_NAMES } from '../../host/chip/chips.js';
import { isChipMissing } from '../support/chip-tools.js';
import { latchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { argumentsOf, PICTURES, SLOW_COMMANDS, SLOW_PICTURES } from '../support/readme.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

describe('long commands of the README', () => {
  const areChipsMissing = CHIP_NAMES.map(isChipMissing).includes(true);
  const commands = SLOW_COMMANDS.filter((line) => !areChipsMissing || !line.startsWith('npx latchbench chip'));

  it('are there', () => expect(commands.length).toBeGreaterThanOrEqual(4));

  it.each(commands)('%s', async (line) => {
    const { status, err } = await latchbench(...argumentsOf(line));
    expect([status, err]).toEqual([0, '']);
  });
});

describe('pictures of the README that take long', () => {
  it.each(PICTURES.filter(({ picture }) => SLOW_PICTURES.includes(picture)))('$picture is up to date', async ({ picture, argv }) => {
    const file = join(folder, picture);
    expect((await latchbench(...argv, file)).status).toBe(0);
    expect(readFileSync(file, 'utf8')).toBe(readFileSync(join(PROJECT.root, 'vectors/pictures', picture), 'utf8'));
  });
});
