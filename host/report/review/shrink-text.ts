import type { BuildIdentity, RunIdentity } from '../../contract/run-identity.js';
import { classText } from '../../review/shrink/difference-class.js';
import type { Shrunk } from '../../review/shrink/shrink.js';
import type { Subject } from '../../review/shrink/shrink-vector.js';
import { buildLine, buildName, parametersLine, strategyText } from '../form/run-identity.js';
import { counted, grouped, textTable } from '../form/text-table.js';

/** A share with three digits. */
const percent = (after: number, before: number): string => (before === 0 ? '' : `${Number(((100 * after) / before).toPrecision(3))} %`);

/** The builds, and what both run with. */
interface MadeBy {
  readonly base?: BuildIdentity | undefined;
  readonly head: BuildIdentity;
  readonly ranWith: RunIdentity;
}

/** What shrinking achieved. */
export function shrinkText({ vector, builds, difference }: Subject, { before, after, tries, isMinimal }: Shrunk, made: MadeBy): string {
  const sides = builds.base === undefined ? buildName(builds.head) : `base ${buildName(builds.base)}, head ${buildName(builds.head)}`;
  const where = `tick ${difference.tick}${difference.row === 0 ? '' : ` row ${difference.row}`}`;
  const columns = [
    { title: '' },
    { title: 'before', isNumber: true },
    { title: 'after', isNumber: true },
    { title: 'left', isNumber: true },
  ];
  const line = (what: string, from: number, to: number): string[] => [what, grouped(from), grouped(to), percent(to, from)];
  const table = textTable(columns, [
    line('ticks', before.ticks, after.ticks),
    line('rows', before.rows, after.rows),
    line('signal changes', before.changes, after.changes),
  ]);
  const end = isMinimal ? 'nothing more can be removed' : 'stopped at the limit; --tries COUNT allows more';
  return [
    `${vector.name}: ${classText(difference.class)}`,
    `${sides}; first difference: ${where}`,
    `${strategyText(made.ranWith)}; ${parametersLine(made.ranWith)}`,
    ...[made.base, made.head].flatMap((build) => (build === undefined ? [] : [buildLine(build)])),
    '',
    table,
    `${after.constant} of ${counted(after.signals, 'signal')} are constant; ${counted(tries, 'run')}, ${end}`,
    '',
  ].join('\n');
}
