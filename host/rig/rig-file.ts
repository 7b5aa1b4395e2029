import { dirname, parse, resolve } from 'node:path';
import { ROWS_MAX } from '../../shared/limits.js';
import { CHIP_NAMES, type ChipName } from '../chip/chips.js';
import { InputError } from '../common/input-error.js';
import { LINE, TEXT } from '../common/text-schema.js';
import { readYaml, type YamlFile } from '../common/yaml-file.js';
import type { Harm, RelayOptions } from './board.js';

/** Where a board is, as `rig.yaml` says it: exactly one of port, tcp, udp, program and chip. */
interface WrittenBoard {
  readonly port?: string;
  readonly baud?: number;
  readonly maxBaud?: number;
  readonly tcp?: string;
  readonly udp?: string;
  readonly program?: string;
  readonly arguments?: readonly string[];
  readonly chip?: ChipName;
  readonly controller?: string;
  readonly rows: number;
  readonly firstRow?: number;
  readonly contract?: string;
  readonly relay?: RelayOptions;
}

/** When a link is too bad to judge a free run over it. */
export interface LinkLimits {
  /** Steps that held their inputs because their own did not come in time, percent. */
  readonly heldPercentMax: number;
  /** Longest time without new inputs, ms. */
  readonly holdMsMax: number;
  /** Steps whose reports are lost for good, percent. */
  readonly lostPercentMax: number;
}

/** Commands that switch a rig's supply: a program and its arguments. */
export interface SupplySwitch {
  readonly on: readonly string[];
  readonly off: readonly string[];
}

interface RigFile {
  readonly title: string;
  readonly note?: string;
  readonly pressurised?: boolean;
  readonly boards: Readonly<Record<string, WrittenBoard>>;
  readonly supply?: SupplySwitch;
  readonly run?: { readonly vectors?: readonly string[]; readonly scenarios?: readonly string[] };
  readonly limits?: Partial<LinkLimits>;
}

/** Where a board of a rig is. Paths are absolute, or as the port's name is. */
export type BoardPlace =
  | { readonly kind: 'port'; readonly path: string; readonly baud: number; readonly maxBaud?: number | undefined }
  | { readonly kind: 'tcp' | 'udp'; readonly host: string; readonly port: number }
  | { readonly kind: 'program'; readonly program: string; readonly words: readonly string[] }
  | { readonly kind: 'chip'; readonly chip: ChipName; readonly controller: string | undefined };

/** A board of a rig. */
export interface RigBoard {
  readonly name: string;
  readonly place: BoardPlace;
  /** Rows of the machine that it has, counted from 1: `rows` of them from `firstRow` on. */
  readonly rows: number;
  readonly firstRow: number;
  /** Hash of the contract that its firmware must have, if that is not the hash of the controller in use. */
  readonly contract: string | undefined;
  /** Harm that a relay does to its link, to try out a bad one. */
  readonly relay: RelayOptions | undefined;
}

/** A bench with hardware in the loop, as `rig.yaml` describes it. */
export interface Rig {
  readonly name: string;
  readonly file: string;
  readonly title: string;
  /** Whether its hydraulics are under pressure: it then starts only with a confirmation. */
  readonly pressurised: boolean;
  readonly boards: readonly RigBoard[];
  readonly supply: SupplySwitch | undefined;
  /** What commands run without names. */
  readonly vectors: readonly string[];
  readonly scenarios: readonly string[];
  readonly limits: LinkLimits;
}

export const LINK_LIMITS: LinkLimits = { heldPercentMax: 1, holdMsMax: 50, lostPercentMax: 0.1 };

const BOARDS_MAX = 16;
const WORD = { ...LINE, maxLength: 500 };
const WORDS = { type: 'array', items: WORD, maxItems: 50 };
const COMMAND = { ...WORDS, minItems: 1 };
const SHARE = { type: 'number', minimum: 0, maximum: 1 };
const DELAY_MS_MAX = 10_000;
const MS = { type: 'number', minimum: 0, maximum: DELAY_MS_MAX, unit: 'ms' };
const PERCENT = { type: 'number', minimum: 0, maximum: 100, unit: '%' };
const BAUD = { type: 'integer', minimum: 1200, maximum: 12_000_000, unit: 'Bd' };
const ADDRESS = { ...WORD, pattern: '^[\\w.-]+:\\d{1,5}$', title: 'an address and a port: 192.168.7.2:4000' };

const harmSchema = (description: string) => ({
  type: 'object',
  additionalProperties: false,
  description,
  properties: {
    lose: { ...SHARE, description: 'Share that is lost' },
    double: { ...SHARE, description: 'Share that arrives twice' },
    damage: { ...SHARE, description: 'Share of which a bit is changed' },
    delayMs: {
      type: 'array',
      items: MS,
      minItems: 2,
      maxItems: 2,
      title: 'two numbers, from 0 to 10000',
      description: 'Minimum and maximum delay, ms',
    },
    reorder: { ...SHARE, description: 'Share that is overtaken by what follows' },
    reorderMs: { ...MS, description: 'How late that comes at most' },
  },
});

const RELAY_SCHEMA = {
  type: 'object',
  additionalProperties: false,
  required: ['seed'],
  description: 'Harm that is done to the link on purpose, to see what a bad one does',
  properties: {
    seed: { type: 'integer', minimum: 0, maximum: 2 ** 32 - 1, description: 'The same seed does the same harm' },
    toBoard: harmSchema('On the way to the board'),
    fromBoard: harmSchema('On the way back'),
    unit: { enum: ['frame', 'byte'], default: 'frame', description: 'What is harmed: whole frames, or single bytes' },
    cuts: {
      type: 'array',
      maxItems: 100,
      items: {
        type: 'array',
        items: { type: 'number', minimum: 0, maximum: 1e7 },
        minItems: 2,
        maxItems: 2,
        title: 'start and end, ms since the connection was opened',
      },
      description: 'Times in which nothing passes, ms since the connection was opened',
    },
  },
};

const BOARD_SCHEMA = {
  type: 'object',
  additionalProperties: false,
  required: ['rows'],
  description: 'A board by its name: where it is (exactly one of port, tcp, udp, program and chip), and which rows it has',
  properties: {
    port: { ...WORD, description: 'Serial port: raw, eight bits, no parity' },
    baud: { ...BAUD, default: 115_200, description: 'Baud rate of the serial port' },
    maxBaud: { ...BAUD, description: 'Faster rate to change to once the board has answered' },
    tcp: { ...ADDRESS, description: 'Address and port of a board that listens for a TCP connection' },
    udp: { ...ADDRESS, description: 'Address and port of a board that listens for UDP datagrams' },
    program: {
      ...WORD,
      description: 'Program in the role of a board, its link on standard input and output; a path is relative to this file',
    },
    arguments: { ...WORDS, description: 'Arguments of the program' },
    chip: { enum: CHIP_NAMES, description: 'Build the firmware for this chip, and run it on its emulator, or as a program if native' },
    controller: {
      ...WORD,
      description: "Controller binary to build the chip's firmware from, relative to this file (default: the working tree)",
    },
    rows: { type: 'integer', minimum: 1, maximum: ROWS_MAX, description: 'Rows of the machine that it has' },
    firstRow: { type: 'integer', minimum: 1, maximum: ROWS_MAX, default: 1, description: 'First of these rows' },
    contract: {
      ...WORD,
      pattern: '^[0-9a-f]{16}$',
      title: '16 hexadecimal digits',
      description: "Hash of the contract that its firmware must have (default: the controller's)",
    },
    relay: RELAY_SCHEMA,
  },
};

/** JSON Schema of `rig.yaml`. */
export const RIG_SCHEMA = {
  type: 'object',
  additionalProperties: false,
  required: ['title', 'boards'],
  properties: {
    title: { ...LINE, maxLength: 100, description: 'Name of the rig; a confirmation asks for it' },
    note: { ...TEXT, description: 'What others should know about it' },
    pressurised: {
      type: 'boolean',
      default: false,
      description: 'Whether its hydraulics can be under pressure: it then starts only with --pressurised and a typed confirmation',
    },
    boards: {
      type: 'object',
      minProperties: 1,
      maxProperties: BOARDS_MAX,
      propertyNames: { pattern: '^[a-z0-9][a-z0-9-]{0,30}$' },
      additionalProperties: BOARD_SCHEMA,
      description: 'Boards by their names',
    },
    supply: {
      type: 'object',
      additionalProperties: false,
      required: ['on', 'off'],
      description: "Switch of the rig's supply, if a program can switch it",
      properties: {
        on: { ...COMMAND, description: 'Program and arguments that switch it on, before the boards are greeted' },
        off: { ...COMMAND, description: 'Program and arguments that switch it off, at the end and after an emergency stop' },
      },
    },
    run: {
      type: 'object',
      additionalProperties: false,
      description: 'What commands run without names',
      properties: {
        vectors: { ...WORDS, description: 'Vectors for `latchbench rig replay`' },
        scenarios: { ...WORDS, description: 'Scenarios for `latchbench rig simulate`' },
      },
    },
    limits: {
      type: 'object',
      additionalProperties: false,
      description: 'When a link is too bad to judge a free run over it',
      properties: {
        heldPercentMax: { ...PERCENT, default: LINK_LIMITS.heldPercentMax, description: 'Steps without their own inputs' },
        holdMsMax: { ...MS, default: LINK_LIMITS.holdMsMax, description: 'Longest time without new inputs' },
        lostPercentMax: { ...PERCENT, default: LINK_LIMITS.lostPercentMax, description: 'Steps whose reports are lost' },
      },
    },
  },
};

const PLACES = ['port', 'tcp', 'udp', 'program', 'chip'] as const;
const BAUD_DEFAULT = 115_200;
const PORT_MAX = 65_535;

/** Which keys belong to which place. */
const KEYS_OF_PLACE = { baud: 'port', maxBaud: 'port', arguments: 'program', controller: 'chip' } as const;

/** @throws InputError at a board without a place, with two, or with a key of another one */
function checkPlace(file: YamlFile<RigFile>, name: string): (typeof PLACES)[number] {
  const board = file.value.boards[name] as WrittenBoard;
  const [first, second] = PLACES.filter((key) => board[key] !== undefined);
  if (first === undefined)
    throw file.errorAt(['boards', name], { problem: `board ${name} has none of ${PLACES.join(', ')}, so it is nowhere` });
  if (second !== undefined)
    throw file.errorAt(['boards', name, second], { problem: `board ${name} has both ${first} and ${second}; it can be in one place only` });
  const stray = (Object.keys(KEYS_OF_PLACE) as (keyof typeof KEYS_OF_PLACE)[]).find(
    (key) => board[key] !== undefined && KEYS_OF_PLACE[key] !== first,
  );
  if (stray === undefined) return first;
  throw file.errorAt(['boards', name, stray], {
    problem: `${stray} has a meaning only with ${KEYS_OF_PLACE[stray]}, and board ${name} has ${first}`,
  });
}

function networkPlace(file: YamlFile<RigFile>, name: string, kind: 'tcp' | 'udp', address: string): BoardPlace {
  const [host = '', port = ''] = address.split(':');
  if (Number(port) >= 1 && Number(port) <= PORT_MAX) return { kind, host, port: Number(port) };
  throw file.errorAt(['boards', name, kind], { problem: `the port in ${address} is ${port}`, allowed: `between 1 and ${PORT_MAX}` });
}

/** A program's path, if it is one: a bare name is looked up by the system. */
const programPath = (file: string, program: string): string => (/[/\\]/.test(program) ? resolve(dirname(file), program) : program);

function placeOf(file: YamlFile<RigFile>, name: string): BoardPlace {
  const board = file.value.boards[name] as WrittenBoard;
  const kind = checkPlace(file, name);
  const { baud = BAUD_DEFAULT, maxBaud, controller } = board;
  switch (kind) {
    case 'port':
      return { kind, path: board.port ?? '', baud, maxBaud };
    case 'program':
      return { kind, program: programPath(file.file, board.program ?? ''), words: board.arguments ?? [] };
    case 'chip':
      return {
        kind,
        chip: board.chip as ChipName,
        controller: controller === undefined ? undefined : resolve(dirname(file.file), controller),
      };
    default:
      return networkPlace(file, name, kind, board[kind] ?? '');
  }
}

/** @throws InputError at a relay whose two numbers are in the wrong order */
function checkRelay(file: YamlFile<RigFile>, name: string, relay: RelayOptions | undefined): void {
  for (const way of ['toBoard', 'fromBoard'] as const) {
    const [min = 0, max = 0]: Harm['delayMs'] | readonly [] = relay?.[way]?.delayMs ?? [];
    if (min > max)
      throw file.errorAt(['boards', name, 'relay', way, 'delayMs'], {
        problem: `delayMs is ${min} to ${max}`,
        hint: 'The minimum comes first',
      });
  }
  for (const [index, [from, to]] of (relay?.cuts ?? []).entries())
    if (from >= to)
      throw file.errorAt(['boards', name, 'relay', 'cuts', index], {
        problem: `the cut is from ${from} to ${to} ms`,
        hint: 'The start comes first',
      });
}

function boardOf(file: YamlFile<RigFile>, name: string): RigBoard {
  const { rows, firstRow = 1, contract, relay } = file.value.boards[name] as WrittenBoard;
  checkRelay(file, name, relay);
  return { name, place: placeOf(file, name), rows, firstRow, contract, relay };
}

/** @throws InputError at a board that has a row of another one, or is where another one is */
function checkApart(file: YamlFile<RigFile>, boards: readonly RigBoard[]): void {
  for (const [index, one] of boards.entries()) {
    const before = boards.slice(0, index);
    const overlaps = before.find(({ firstRow, rows }) => one.firstRow < firstRow + rows && firstRow < one.firstRow + one.rows);
    if (overlaps !== undefined)
      throw file.errorAt(['boards', one.name, 'rows'], {
        problem: `boards ${overlaps.name} and ${one.name} both have row ${Math.max(one.firstRow, overlaps.firstRow)}`,
      });
    const isExternal = one.place.kind === 'port' || one.place.kind === 'tcp' || one.place.kind === 'udp';
    const twin = before.find(({ place }) => isExternal && JSON.stringify(place) === JSON.stringify(one.place));
    if (twin !== undefined)
      throw file.errorAt(['boards', one.name, one.place.kind], { problem: `boards ${twin.name} and ${one.name} are in the same place` });
  }
}

/** Reads `rig.yaml`. @throws InputError with line and column */
export function readRig(path: string): Rig {
  const file = readYaml<RigFile>(path, RIG_SCHEMA);
  const { title, pressurised = false, supply, run = {}, limits = {} } = file.value;
  const boards = Object.keys(file.value.boards).map((name) => boardOf(file, name));
  checkApart(file, boards);
  return {
    name: parse(path).name,
    file: path,
    title,
    pressurised,
    boards,
    supply,
    vectors: run.vectors ?? [],
    scenarios: run.scenarios ?? [],
    limits: { ...LINK_LIMITS, ...limits },
  };
}

/**
 * Returns the named boards of a rig, or all.
 * @throws InputError for a name that it does not have
 */
export function boardsNamed({ file, boards }: Rig, names: readonly string[] | undefined): readonly RigBoard[] {
  if (names === undefined) return boards;
  return names.map((name) => {
    const found = boards.find((one) => one.name === name);
    if (found !== undefined) return found;
    throw new InputError({ file, problem: `the rig has no board ${name}`, value: name, allowed: boards.map((one) => one.name) });
  });
}

/** Where a board is, in words: `/dev/ttyUSB0, 115200 Bd`. */
export function placeText(place: BoardPlace): string {
  switch (place.kind) {
    case 'port':
      return `${place.path}, ${place.baud} Bd`;
    case 'tcp':
    case 'udp':
      return `${place.kind} ${place.host}:${place.port}`;
    case 'program':
      return place.program;
    case 'chip':
      return place.chip === 'native' ? 'native firmware' : `emulated ${place.chip}`;
  }
}
