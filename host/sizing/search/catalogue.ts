import { existsSync } from 'node:fs';
import { dirname, parse, resolve } from 'node:path';
import { MACHINE, type Quantity } from '../../../shared/machine.js';
import { SIZING } from '../../../shared/sizing.js';
import { UNITS } from '../../../shared/units.js';
import type { Project } from '../../common/project.js';
import { LINE, TEXT } from '../../common/text-schema.js';
import { readYaml, type YamlFile, type YamlPath } from '../../common/yaml-file.js';
import { PARAMETERS } from '../../contract/tables.js';
import { allNames, findNamedFile, isPath, namesIn, resolveNamedFile } from '../../machine/named-file.js';
import { quantityProperties, readQuantities, readQuantity, type WrittenQuantity } from '../../machine/quantities.js';
import { SIZING_INPUT_NAMES, type SizingInputName } from '../sizing-input.js';

/** Quantities that a design changes, in the units that their names end in. */
export type Changes = Readonly<Partial<Record<SizingInputName, number>>>;

/** One option of a choice. */
export interface Option {
  /** Its name for people; the machine's own option is `baseline`. */
  readonly name: string;
  /** Price for the whole machine, in points that are only meaningful relative to each other. */
  readonly cost: number;
  readonly changes: Changes;
}

/** A part of the design with several options; the first is that of the machine. */
export interface Choice {
  readonly name: string;
  readonly options: readonly Option[];
}

/** The choices of a search. */
export interface Catalogue {
  readonly name: string;
  readonly title: string;
  readonly note: string;
  readonly file: string;
  /** The scenario on which finalists are simulated. */
  readonly scenario: string;
  readonly choices: readonly Choice[];
}

interface WrittenChoice {
  readonly each: 'row' | 'machine';
  readonly cost?: number;
  readonly options?: readonly (Readonly<Record<string, WrittenQuantity>> & { readonly name?: string; readonly cost: number })[];
  readonly quantity?: string;
  readonly from?: WrittenQuantity;
  readonly to?: WrittenQuantity;
  readonly step?: WrittenQuantity;
}

interface CatalogueFile {
  readonly title: string;
  readonly note?: string;
  readonly scenario: string;
  readonly choices: Readonly<Record<string, WrittenChoice>>;
}

/** Requirements on the machine, which a design cannot change. */
const REQUIREMENTS: readonly string[] = ['work', 'climate', 'service', 'consumers', 'tractor'];

const CHOOSABLE: readonly Quantity[] = [
  ...[...MACHINE, ...SIZING].filter(({ name }) => !REQUIREMENTS.includes(name)).flatMap(({ quantities }) => quantities),
  ...PARAMETERS,
].filter(({ name }, index, all) => SIZING_INPUT_NAMES.some((one) => one === name) && all.findIndex((one) => one.name === name) === index);

/** Maximum number of options per choice. */
const OPTIONS_MAX = 200;

const COST = { description: 'Price in points', type: 'number', minimum: 0, maximum: 1e9 } as const;
const EACH = { description: 'Whether there is one per row or one per machine', type: 'string', enum: ['row', 'machine'] } as const;
const QUANTITY = { type: ['number', 'string'] } as const;

/** JSON Schema of a catalogue. */
export const CATALOGUE_SCHEMA = {
  type: 'object',
  required: ['title', 'scenario', 'choices'],
  additionalProperties: false,
  properties: {
    title: { ...LINE, description: 'What it is, for lists' },
    note: { ...TEXT, description: 'Where prices and values are from' },
    scenario: { ...TEXT, description: 'Scenario on which the best designs are simulated, by its name or by a path relative to this file' },
    choices: {
      description: 'What a design chooses, by a name of your choice',
      type: 'object',
      minProperties: 1,
      maxProperties: 40,
      additionalProperties: {
        type: 'object',
        required: ['each'],
        additionalProperties: false,
        properties: {
          each: EACH,
          cost: { ...COST, description: 'Price of what the machine has' },
          options: {
            description: 'Parts to choose from, besides what the machine has; each changes one quantity or several',
            type: 'array',
            minItems: 1,
            maxItems: OPTIONS_MAX,
            items: {
              type: 'object',
              required: ['cost'],
              additionalProperties: false,
              properties: {
                name: { ...LINE, description: 'Name in results; by default what it changes' },
                cost: COST,
                ...quantityProperties(CHOOSABLE, false),
              },
            },
          },
          quantity: {
            description: 'Instead of options: a quantity that is changed in steps',
            title: 'a key of an option',
            type: 'string',
            enum: CHOOSABLE.map(({ name }) => name),
          },
          from: { ...QUANTITY, description: 'Its first value' },
          to: { ...QUANTITY, description: 'Its last value' },
          step: { ...QUANTITY, description: 'The step from one to the next' },
        },
      },
    },
  },
};

/** The name of an option that has none in the file: `valveFlowLpm 6`. */
const nameOf = (changes: Changes): string =>
  Object.entries(changes)
    .map(([name, value]) => `${name} ${value}`)
    .join(', ');

/** Returns the options of a quantity in steps. @throws InputError if they are incomplete or too many */
function steps(choice: WrittenChoice, file: YamlFile<CatalogueFile>, path: YamlPath): Option[] {
  const found = CHOOSABLE.find(({ name }) => name === choice.quantity);
  const missing = (['quantity', 'from', 'to', 'step'] as const).find((one) => choice[one] === undefined);
  if (missing !== undefined || found === undefined)
    throw file.errorAt(path, {
      problem: `choice ${path.at(-1)} has no options and no complete range`,
      hint: 'Write a list of options, or quantity, from, to and step',
    });
  const at = (end: 'from' | 'to'): number => readQuantity(found, choice[end] ?? 0, file, [...path, end]);
  const [from, to] = [at('from'), at('to')];
  const step = readQuantity({ ...found, name: 'step', min: 0, max: found.max - found.min }, choice.step ?? 0, file, [...path, 'step']);
  const count = Math.floor((to - from) / step + 1e-9) + 1;
  if (!(to > from)) throw file.errorAt([...path, 'to'], { allowed: `greater than from, ${from} ${UNITS[found.unit].symbol}`.trimEnd() });
  if (!(count <= OPTIONS_MAX))
    throw file.errorAt([...path, 'step'], {
      allowed: `large enough for at most ${OPTIONS_MAX} steps from ${from} to ${to} ${UNITS[found.unit].symbol}`.trimEnd(),
    });
  return Array.from({ length: count }, (_, index) => {
    // Decimal steps: three times 0.1 is 0.3.
    const changes = { [found.name]: Number((from + index * step).toPrecision(12)) };
    return { name: nameOf(changes), cost: choice.cost ?? 0, changes };
  });
}

/** Returns the options of a list. @throws InputError if one changes nothing */
function listed(choice: WrittenChoice, file: YamlFile<CatalogueFile>, path: YamlPath): Option[] {
  const both = (['quantity', 'from', 'to', 'step'] as const).find((one) => choice[one] !== undefined);
  if (both !== undefined) throw file.errorAt([...path, both], { problem: `${both} cannot be combined with options` });
  return (choice.options ?? []).map(({ name, cost, ...written }, index) => {
    const changes: Changes = readQuantities(CHOOSABLE, written, file, [...path, 'options', index]);
    if (Object.keys(changes).length === 0) throw file.errorAt([...path, 'options', index], { problem: 'the option changes no quantity' });
    return { name: name ?? nameOf(changes), cost, changes };
  });
}

/** @throws InputError if two choices change the same quantity */
function checkOverlap(choices: readonly Choice[], file: YamlFile<CatalogueFile>): void {
  const taken = new Map<string, string>();
  for (const { name, options } of choices) {
    for (const quantity of new Set(options.flatMap(({ changes }) => Object.keys(changes)))) {
      const other = taken.get(quantity);
      if (other !== undefined) throw file.errorAt(['choices', name], { problem: `${quantity} is already changed by choice ${other}` });
      taken.set(quantity, name);
    }
  }
}

/** Returns the names of all catalogues in vectors/catalogues, in alphabetical order. */
export const catalogueNames = ({ catalogues }: Project): string[] => namesIn(catalogues);

/**
 * Reads a catalogue: a name in vectors/catalogues, or a path.
 * @param rows rows of the machine, which multiply the price of what each row has
 * @throws InputError with line and column, or with the names to choose from
 */
export function readCatalogue(project: Project, nameOrPath: string, rows: number): Catalogue {
  const path = resolveNamedFile(nameOrPath, project.catalogues, 'catalogue');
  const file = readYaml<CatalogueFile>(path, CATALOGUE_SCHEMA);
  const { title, note = '', scenario, choices: written } = file.value;
  const place = isPath(scenario) ? resolve(dirname(path), scenario) : findNamedFile(scenario, project.scenarios);
  if (place === undefined || !existsSync(place))
    throw file.errorAt(['scenario'], { allowed: [...allNames(project.scenarios), 'a path relative to this file'] });
  const choices = Object.entries(written).map(([name, choice]): Choice => {
    const at = ['choices', name];
    const options = choice.options === undefined ? steps(choice, file, at) : listed(choice, file, at);
    const factor = choice.each === 'row' ? rows : 1;
    const baseline: Option = { name: 'baseline', cost: choice.cost ?? 0, changes: {} };
    return { name, options: [baseline, ...options].map((one) => ({ ...one, cost: one.cost * factor })) };
  });
  checkOverlap(choices, file);
  return { name: parse(path).name, title, note, file: path, scenario: place, choices };
}
