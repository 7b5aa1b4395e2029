import { relative } from 'node:path';
import { UNITS, type UnitName } from '../../../shared/units.js';
import { METRICS } from '../../assess/metrics.js';
import { InputError } from '../../common/input-error.js';
import type { Project } from '../../common/project.js';
import { describeContract } from '../../contract/contract.js';
import { isSignal } from '../../contract/fields.js';
import { MESSAGES, type MessageName, messageRecords } from '../../contract/messages.js';
import { machineNames, readMachine } from '../../machine/machine.js';
import { counted, textTable } from '../../report/form/text-table.js';
import { readScenario, scenarioNames } from '../../simulate/scenario.js';
import { catalogueNames, readCatalogue } from '../../sizing/search/catalogue.js';
import { readVector, vectorNames } from '../../vector/vector.js';
import { command, type Job } from '../context.js';
import { LIST_KINDS, type ListKind } from '../list-kinds.js';

/** One line of a list: values by column. The name comes first. */
type Item = Readonly<Record<string, string | number>> & { readonly name: string };

/** How a kind is listed. */
interface Kind {
  /** Folder of the project that its files are in; without one it comes with latchbench. */
  readonly folder?: (project: Project) => string;
  readonly about: string;
  readonly items: (project: Project) => Item[];
}

/** What `read` returns about each file; a file that is not valid has its problem instead of a title. */
const ofFiles = (names: readonly string[], read: (name: string) => Omit<Item, 'name'>): Item[] =>
  names.map((name) => {
    try {
      return { name, ...read(name) };
    } catch (error) {
      if (error instanceof InputError) return { name, title: `not valid: ${error.message}` };
      throw error;
    }
  });

const symbolOf = (unit: UnitName): string => UNITS[unit].symbol;

const vectors = (project: Project): Item[] =>
  ofFiles(vectorNames(project), (name) => {
    const { title, rows } = readVector(project, name);
    return { rows, title };
  });

const scenarios = (project: Project): Item[] =>
  ofFiles(scenarioNames(project), (name) => {
    const { title, rows, seconds, machine } = readScenario(project, name);
    return { rows, seconds, machine: machine.name, title };
  });

const machines = (project: Project): Item[] => ofFiles(machineNames(project), (name) => ({ title: readMachine(project, name).title }));

const catalogues = (project: Project): Item[] =>
  ofFiles(catalogueNames(project), (name) => {
    const { choices, title } = readCatalogue(project, name, 1);
    return { choices: choices.length, title };
  });

const parameters = (): Item[] =>
  describeContract().parameters.map(({ name, group, unit, default: byDefault, choices, help }) => ({
    name,
    group,
    default: choices?.[byDefault] ?? byDefault,
    unit: symbolOf(unit),
    title: help,
  }));

/** Signals of every message, of the bank and then of a row. */
function signals(): Item[] {
  const contract = describeContract();
  return (Object.keys(MESSAGES) as MessageName[]).flatMap((message) => {
    const { bank, row } = messageRecords(contract, message);
    return [
      { of: 'bank', fields: bank.fields },
      { of: 'row', fields: row.fields },
    ].flatMap(({ of, fields }) =>
      fields.filter(isSignal).map(({ name, unit, help }) => ({ name, message, of, unit: symbolOf(unit), title: help })),
    );
  });
}

const metrics = (): Item[] => METRICS.map(({ name, scope, unit, help }) => ({ name, of: scope, unit: symbolOf(unit), title: help }));

const faults = (): Item[] =>
  describeContract().faults.map(({ name, scope, reaction, fmi, help }) => ({ name, of: scope, reaction, fmi, title: help }));

const KINDS: Readonly<Record<ListKind, Kind>> = {
  vectors: { folder: (project) => project.vectors, about: 'recorded inputs with accepted outputs, for replay', items: vectors },
  scenarios: { folder: (project) => project.scenarios, about: 'field, machine and drive, for simulate', items: scenarios },
  machines: { folder: (project) => project.machines, about: 'hydraulics, sensors and wiring, for size and scenarios', items: machines },
  catalogues: { folder: (project) => project.catalogues, about: 'parts to choose from, for size --search', items: catalogues },
  parameters: { about: 'settings of the controller, for --set and parameter files', items: parameters },
  signals: { about: 'what recordings hold, for show, plot and export', items: signals },
  metrics: { about: 'what a run is judged by, for requirements', items: metrics },
  faults: { about: 'what the controller detects', items: faults },
};

/** Where a kind comes from, for people: the folder in the project, or latchbench. */
const sourceOf = ({ folder }: Kind, { project, cwd }: Job): string =>
  folder === undefined ? 'latchbench' : relative(cwd, folder(project)) || '.';

function overview(job: Job) {
  const kinds = LIST_KINDS.map((kind) => {
    const { about, items } = KINDS[kind];
    return { kind, count: items(job.project).length, from: sourceOf(KINDS[kind], job), about };
  });
  const columns = [{ title: 'kind' }, { title: 'count', isNumber: true }, { title: 'from' }, { title: 'what it is' }];
  const table = textTable(
    columns,
    kinds.map(({ kind, count, from, about }) => [kind, String(count), from, about]),
  );
  return {
    text: `${table}\nlatchbench list KIND lists them with titles; latchbench show scenario NAME shows one.\n`,
    json: { kinds },
    passed: true,
  };
}

/** Titles of the columns, in the order of the first item that has them. */
const columnsOf = (items: readonly Item[]): string[] => [...new Set(items.flatMap((item) => Object.keys(item)))];

export default command<{ readonly json?: boolean }, [kind?: ListKind]>((job, _flags, kind) => {
  if (kind === undefined) return overview(job);
  const items = KINDS[kind].items(job.project);
  const from = sourceOf(KINDS[kind], job);
  const names = columnsOf(items).filter((name) => name !== 'title');
  const columns = [...names.map((title) => ({ title, isNumber: typeof items[0]?.[title] === 'number' })), { title: 'title' }];
  const table = textTable(
    columns,
    items.map((item) => columns.map(({ title }) => String(item[title] ?? ''))),
  );
  return { text: `${table}\n${counted(items.length, kind.replace(/s$/, ''))} from ${from}\n`, json: { kind, from, items }, passed: true };
});
