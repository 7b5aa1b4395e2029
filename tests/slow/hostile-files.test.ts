import { execFileSync } from 'node:child_process';
import { mkdirSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { type Outcome, runGuarded } from '../support/guarded-commands.js';
import { elsewhere } from '../support/hostile/elsewhere.js';
import { type HostileFile, SECRET } from '../support/hostile/hostile-file.js';
import { hugeFiles, irregularFiles } from '../support/hostile/no-files.js';
import { slowTexts } from '../support/hostile/slow-texts.js';
import { hostileTexts } from '../support/hostile/texts.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const SECONDS_MAX = 10;
/** After this time on a busy computer, s, it is certain that a command does not end. */
const GIVE_UP_S = 60;
const GROWTH_BYTES_MAX = 500e6;
/** Escapes and marks that must not reach a terminal, and what an unhandled error prints. */
const RAW = /(?![\t\n])[\p{Cc}\p{Bidi_Control}\u200B\u2028\u2029\u{E0000}-\u{E007F}]/u;
const ERROR_LENGTH_MAX = 1200;

const ALL = [...irregularFiles(), ...hugeFiles(), ...hostileTexts(), ...slowTexts(), ...elsewhere()];

function make(path: string, content: NonNullable<HostileFile['files']>[string]): void {
  mkdirSync(dirname(path), { recursive: true });
  if (typeof content === 'string' || content instanceof Uint8Array) writeFileSync(path, content);
  else if ('linkTo' in content) symlinkSync(content.linkTo, path);
  else if ('pipe' in content) execFileSync('mkfifo', [path]);
  else {
    writeFileSync(path, '');
    truncateSync(path, content.emptyBytes);
  }
}

/** Writes the files into a new folder and returns the command. */
function prepare({ argv, files = {} }: HostileFile, at: string): string[] {
  const own = join(at, 'theirs');
  mkdirSync(own, { recursive: true });
  for (const [path, content] of Object.entries(files)) make(join(own, path), content);
  return argv.map((word) => word.replaceAll('%', own));
}

/** What is wrong with an outcome; empty if the attack was held. */
function faultsOf({ statuses = [2] }: HostileFile, { status, out, err, cpuSeconds, rssBytes }: Outcome, baseBytes: number): string[] {
  const shown = out + err;
  return [
    status === undefined ? `did not end in ${GIVE_UP_S} s` : '',
    status !== undefined && !statuses.includes(status) ? `ended with ${status}` : '',
    cpuSeconds > SECONDS_MAX ? `took ${cpuSeconds} s` : '',
    rssBytes - baseBytes > GROWTH_BYTES_MAX ? `took ${Math.round((rssBytes - baseBytes) / 1e6)} MB` : '',
    RAW.test(shown) ? 'shows control characters' : '',
    shown.includes(SECRET) ? 'shows the text of another file' : '',
    err
      .replace(/\nSee '[^\n]*--help'\.\n$/, '')
      .trimEnd()
      .includes('\n')
      ? 'has more than one line'
      : '',
    err.length > ERROR_LENGTH_MAX ? `has an error of ${err.length} characters` : '',
    /Internal error| {4}at /.test(err) ? 'is an internal error' : '',
  ].filter((fault) => fault !== '');
}

describe(`a command ends with an error, in ${SECONDS_MAX} s and ${GROWTH_BYTES_MAX / 1e6} MB, shows nothing raw and writes nothing, on files of a stranger:`, () => {
  it('they are at least 220', () => {
    expect(ALL.length).toBeGreaterThanOrEqual(220);
    expect(new Set(ALL.map(({ group, name }) => `${group} ${name}`)).size).toBe(ALL.length);
  });

  it.each([...new Set(ALL.map(({ group }) => group))])('%s', async (group) => {
    const attacks = ALL.filter((one) => one.group === group);
    const commands = attacks.map((one, index) => prepare(one, join(folder, group, String(index))));
    const before = listOf(group);
    const baseBytes = process.memoryUsage.rss();
    const outcomes = await runGuarded(commands, GIVE_UP_S);
    const found = outcomes.flatMap((outcome, index) => {
      const attack = attacks[index] as HostileFile;
      const faults = faultsOf(attack, outcome, baseBytes);
      return faults.length === 0 ? [] : [`${attack.name}: ${faults.join('; ')}\n  ${outcome.err.slice(0, 300)}`];
    });
    expect(found).toEqual([]);
    expect(listOf(group)).toEqual(before);
  });
});

/** Kind, size, time of the last change and target of every file in a group's folders. */
const listOf = (group: string): string[] =>
  execFileSync('find', [join(folder, group), '-not', '-type', 'd', '-printf', '%P %y %s %T@ %l\\n'], {
    encoding: 'utf8',
    maxBuffer: 1 << 26,
  })
    .split('\n')
    .sort();
