import { classText } from '../../review/shrink/difference-class.js';
import type { Shrunk } from '../../review/shrink/shrink.js';
import type { Subject } from '../../review/shrink/shrink-case.js';
import { counted, grouped, textTable } from '../form/text-table.js';

/** Three digits of a share. */
const percent = (after: number, before: number): string => (before === 0 ? '' : `${Number(((100 * after) / before).toPrecision(3))} %`);

/** What shrinking came to. */
export function shrinkText({ one, builds, shown }: Subject, { before, after, tries, isDone }: Shrunk): string {
  const sides = builds.old === undefined ? builds.new.asked : `old ${builds.old.asked}, new ${builds.new.asked}`;
  const where = `tick ${grouped(shown.tick)}${shown.row === 0 ? '' : ` row ${shown.row}`}`;
  const columns = [{ title: '' }, { title: 'before', isNumber: true }, { title: 'after', isNumber: true }, { title: '', isNumber: true }];
  const line = (what: string, old: number, now: number): string[] => [what, grouped(old), grouped(now), percent(now, old)];
  const table = textTable(columns, [
    line('ticks', before.ticks, after.ticks),
    line('rows', before.rows, after.rows),
    line('changes of a signal', before.changes, after.changes),
  ]);
  const spent = isDone ? 'nothing more was found to leave out' : 'more might go: --tries COUNT';
  return [
    `${one.name}: ${classText(shown.class)}`,
    `${sides}; first at ${where}`,
    '',
    table,
    `${after.constant} of ${counted(after.signals, 'signal')} hold one value; ${counted(tries, 'run')}, ${spent}`,
    '',
  ].join('\n');
}
