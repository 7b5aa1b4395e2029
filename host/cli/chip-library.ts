import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, text } from './answer.js';
import { askedChips, rowCount } from './chip-flags.js';

interface Flags {
  readonly chip?: string;
  readonly rows: number;
  readonly output: string;
  readonly json?: boolean;
}

async function chipLibrary(this: Context, flags: Flags): Promise<void> {
  await answer(this, flags, async () => {
    const [{ binaryFor }, { writeLibraryFolder }, { requireTools }, { chipOf }, { InputError }] = await Promise.all([
      import('../chip/binaries.js'),
      import('../chip/library.js'),
      import('../chip/build.js'),
      import('../chip/chips.js'),
      import('../common/input-error.js'),
    ]);
    const [chip, another] = flags.chip === undefined ? [] : await askedChips(flags.chip);
    if (another !== undefined) throw new InputError({ file: '--chip', what: 'several chips', value: flags.chip, allowed: 'one' });
    requireTools(chip ?? chipOf('native'));
    const files = writeLibraryFolder(flags.output, await binaryFor(flags.rows), chip);
    return { text: `${files.map((file) => `${flags.output}/${file}`).join('\n')}\n`, json: { folder: flags.output, files }, holds: true };
  });
}

export const chipLibraryCommand = buildCommand({
  docs: {
    brief: 'The controller as C sources and header, to take into a firmware that exists already',
    fullDescription:
      'Writes the translated controller, the header of its records, parameters and faults, and what to know, into a new folder; with ' +
      '--chip also compiled, as an archive. Exit code 2: bad input.',
  },
  parameters: {
    flags: {
      chip: {
        kind: 'parsed',
        parse: text,
        brief: 'Compile it for this chip too: native, cortex-m4f, cortex-m0plus or rv32imafc',
        optional: true,
        placeholder: 'name',
      },
      rows: { kind: 'parsed', parse: rowCount, brief: 'Rows that it has room for', default: '48', placeholder: 'count' },
      output: { kind: 'parsed', parse: text, brief: 'New folder to write it into', placeholder: 'folder' },
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: chipLibrary,
});
