import { existsSync } from 'node:fs';
import { dirname, join, parse, resolve } from 'node:path';
import { MACHINE, type Quantity } from '../../../shared/machine.js';
import { PARAMETERS } from '../../../shared/parameters.js';
import { SIZING } from '../../../shared/sizing.js';
import { ROOT } from '../../common/project.js';
import { readYaml, type YamlFile, type YamlPath } from '../../common/yaml-file.js';
import { fileOf, isPath, namesIn } from '../../machine/named-file.js';
import { quantityProperties, readQuantities, readQuantity, type Written } from '../../machine/quantities.js';
import { scenarioNames } from '../../simulate/scenario.js';
import { GIVEN_NAMES, type GivenName } from '../given.js';

export const CATALOGUES = join(ROOT, 'vectors', 'catalogues');

/** Quantities that a design has otherwise than the machine, in the units that their names say. */
export type Changes = Readonly<Partial<Record<GivenName, number>>>;

/** One way to build something. */
export interface Option {
  /** As people call it; the option that the machine has already is `as it is`. */
  readonly name: string;
  /** Price over all the machine, in points that mean something against each other only. */
  readonly cost: number;
  readonly changes: Changes;
}

/** Something that there are several ways to build; the first is as the machine has it. */
export interface Choice {
  readonly name: string;
  readonly options: readonly Option[];
}

/** What a search may choose from. */
export interface Catalogue {
  readonly name: string;
  readonly title: string;
  readonly note: string;
  readonly file: string;
  /** Scenario on which finalists are simulated. */
  readonly scenario: string;
  readonly choices: readonly Choice[];
}

interface WrittenChoice {
  readonly each: 'row' | 'machine';
  readonly cost?: number;
  readonly options?: readonly (Readonly<Record<string, Written>> & { readonly name?: string; readonly cost: number })[];
  readonly quantity?: string;
  readonly from?: Written;
  readonly to?: Written;
  readonly step?: Written;
}

interface CatalogueFile {
  readonly title: string;
  readonly note?: string;
  readonly scenario: string;
  readonly choices: Readonly<Record<string, WrittenChoice>>;
}

/** What a machine is for is given and no choice. */
const NO_CHOICE: readonly string[] = ['work', 'climate', 'service', 'consumers', 'tractor'];

const CHOOSABLE: readonly Quantity[] = [
  ...[...MACHINE, ...SIZING].filter(({ name }) => !NO_CHOICE.includes(name)).flatMap(({ quantities }) => quantities),
  ...PARAMETERS,
].filter(({ name }, index, all) => GIVEN_NAMES.some((one) => one === name) && all.findIndex((one) => one.name === name) === index);

/** More options of one choice than this are no catalogue. */
const OPTIONS_MOST = 200;

const WORDS = { type: 'string', minLength: 1, maxLength: 2000 } as const;
const COST = { description: 'Price in points', type: 'number', minimum: 0, maximum: 1e9 } as const;
const EACH = { description: 'Whether every row has one, or the machine', type: 'string', enum: ['row', 'machine'] } as const;
const QUANTITY = { type: ['number', 'string'] } as const;

const SCHEMA = {
  type: 'object',
  required: ['title', 'scenario', 'choices'],
  additionalProperties: false,
  properties: {
    title: WORDS,
    note: WORDS,
    scenario: WORDS,
    choices: {
      type: 'object',
      minProperties: 1,
      maxProperties: 40,
      additionalProperties: {
        type: 'object',
        required: ['each'],
        additionalProperties: false,
        properties: {
          each: EACH,
          cost: { ...COST, description: 'Price of what the machine has already' },
          options: {
            type: 'array',
            minItems: 1,
            maxItems: OPTIONS_MOST,
            items: {
              type: 'object',
              required: ['cost'],
              additionalProperties: false,
              properties: { name: WORDS, cost: COST, ...quantityProperties(CHOOSABLE) },
            },
          },
          quantity: { type: 'string', enum: CHOOSABLE.map(({ name }) => name) },
          from: QUANTITY,
          to: QUANTITY,
          step: QUANTITY,
        },
      },
    },
  },
};

/** `valveFlowLpm 6`, as far as an option has no name of its own. */
const nameOf = (changes: Changes): string =>
  Object.entries(changes)
    .map(([name, value]) => `${name} ${value}`)
    .join(', ');

/** @throws InputError where the steps are none */
function steps(choice: WrittenChoice, file: YamlFile<CatalogueFile>, path: YamlPath): Option[] {
  const found = CHOOSABLE.find(({ name }) => name === choice.quantity);
  const missing = (['quantity', 'from', 'to', 'step'] as const).find((one) => choice[one] === undefined);
  if (missing !== undefined || found === undefined)
    throw file.wrong(path, `${path.at(-1)}`, 'a list of options; or quantity, from, to and step');
  const at = (end: 'from' | 'to'): number => readQuantity(found, choice[end] ?? 0, file, [...path, end]);
  const [from, to] = [at('from'), at('to')];
  const step = readQuantity({ ...found, name: 'step', min: 0, max: found.max - found.min }, choice.step ?? 0, file, [...path, 'step']);
  const count = Math.floor((to - from) / step + 1e-9) + 1;
  if (!(to > from)) throw file.wrong([...path, 'to'], 'to', `above from, which is ${from}`);
  if (!(count <= OPTIONS_MOST)) throw file.wrong([...path, 'step'], 'step', `at most ${OPTIONS_MOST} steps from ${from} to ${to}`);
  return Array.from({ length: count }, (_, index) => {
    // Decimal steps as a person would write them: 0.1 three times is 0.3.
    const changes = { [found.name]: Number((from + index * step).toPrecision(12)) };
    return { name: nameOf(changes), cost: choice.cost ?? 0, changes };
  });
}

function listed(choice: WrittenChoice, file: YamlFile<CatalogueFile>, path: YamlPath): Option[] {
  const both = (['quantity', 'from', 'to', 'step'] as const).find((one) => choice[one] !== undefined);
  if (both !== undefined) throw file.wrong([...path, both], `${both} besides options`, 'one of the two');
  return (choice.options ?? []).map(({ name, cost, ...written }, index) => {
    const changes: Changes = readQuantities(CHOOSABLE, written, file, [...path, 'options', index]);
    if (Object.keys(changes).length === 0) throw file.wrong([...path, 'options', index], 'option', 'some quantity that it is about');
    return { name: name ?? nameOf(changes), cost, changes };
  });
}

/** @throws InputError where two choices are about one quantity */
function checkApart(choices: readonly Choice[], file: YamlFile<CatalogueFile>): void {
  const taken = new Map<string, string>();
  for (const { name, options } of choices) {
    for (const quantity of new Set(options.flatMap(({ changes }) => Object.keys(changes)))) {
      const other = taken.get(quantity);
      if (other !== undefined) throw file.wrong(['choices', name], `${quantity} in two choices`, `it is in ${other} already`);
      taken.set(quantity, name);
    }
  }
}

/** Names of all catalogues in vectors/catalogues, in alphabetical order. */
export const catalogueNames = (): string[] => namesIn(CATALOGUES);

/**
 * Reads a catalogue: a name in vectors/catalogues, or a path.
 * @param rows of the machine: what each row has costs so many times as much
 * @throws InputError with line and column, or with the names there are
 */
export function readCatalogue(nameOrPath: string, rows: number): Catalogue {
  const path = fileOf(nameOrPath, CATALOGUES, 'catalogue');
  const file = readYaml<CatalogueFile>(path, SCHEMA);
  const { title, note = '', scenario, choices: written } = file.value;
  const place = isPath(scenario) ? resolve(dirname(path), scenario) : scenario;
  if (isPath(scenario) ? !existsSync(place) : !scenarioNames().includes(scenario))
    throw file.wrong(['scenario'], 'scenario', [...scenarioNames(), 'a path from this file']);
  const choices = Object.entries(written).map(([name, choice]): Choice => {
    const at = ['choices', name];
    const options = choice.options === undefined ? steps(choice, file, at) : listed(choice, file, at);
    const times = choice.each === 'row' ? rows : 1;
    const present: Option = { name: 'as it is', cost: choice.cost ?? 0, changes: {} };
    return { name, options: [present, ...options].map((one) => ({ ...one, cost: one.cost * times })) };
  });
  checkApart(choices, file);
  return { name: parse(path).name, title, note, file: path, scenario: place, choices };
}
