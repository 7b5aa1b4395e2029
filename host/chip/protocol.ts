import { constantCase } from '../contract/generate/assemblyscript.js';

/*
 * Numbers of the link between host and chip, for both sides: the host uses these tables, and the firmware gets them as protocol.h.
 * Bodies are little-endian. How they are used: firmware/README.md, "The link".
 */

export const LINK_VERSION = 3;

/** Flag in the kind of an answer. */
export const ANSWER = 0x80;
/** Kind of the answer to a request that is refused: u8 kind of the request, u8 why: index in REFUSED_WHY. */
export const REFUSED = 0xff;
export const REFUSED_WHY = ['not possible in this state, or malformed', 'no hello since the start'] as const;

/** Lengths of the texts in a greeting. */
export const CONTRACT_CHARACTERS = 16;
export const NAME_CHARACTERS = 16;

/** Step of the inputs in use before the first ones have arrived. */
export const NO_INPUTS = 0xffffffff;

interface Message {
  readonly kind: number;
  readonly body: string;
}

export const REQUESTS = {
  hello: {
    kind: 1,
    body:
      'u8 version, u8 0, u16 0, u32 session, contract hash[16] -> u8 version, u8 accepted, u8 state, u8 start cause, u32 start reason,' +
      ' u32 session before this hello, u32 arithmetic, u16 rows the build has room for, u16 rows wired, u32 rate of the counter, u32 cost' +
      ' of reading it, u32 timer ticks per second, u32 bytes of the records, u32 longest body of a request, u16 window, u16 input slots,' +
      ' u32 bytes that can wait to be received, u32 bytes of the journal, u32 oldest offset kept, u32 end of the journal, u32 steps,' +
      ' u8 watches, u8 pieces per watch, u8 request expected next, u8 0, contract hash[16], name[16]',
  },
  configure: {
    kind: 2,
    body:
      'u16 rows, u8 mode, u8 journal (1: everything; 0: coils and events only), u16 input period in steps, u16 0, parameters' +
      ' -> i32 result, u32 timer tick of step 0',
  },
  ticks: {
    kind: 3,
    body: 'inputs of one tick or more -> outputs of the last, u32 chain of hashes, u32 counts in all, u32 in one tick at most; lockstep only',
  },
  inputs: { kind: 4, body: 'u32 first step, u8 count, u8 0, u16 0, inputs of steps first, first + period, ... -> nothing; free run only' },
  read: { kind: 5, body: 'u32 at, u32 count -> bytes of the records' },
  write: { kind: 6, body: 'u32 at, bytes -> nothing; lockstep only' },
  status: {
    kind: 7,
    body: '-> u8 state, u8 end of the last free run, u16 valves not known to be closed, u32 steps, u32 bytes of stack used, u32 counters[]',
  },
  endRun: { kind: 8, body: '-> nothing; ends lockstep or free run' },
  restart: { kind: 9, body: '-> nothing; then the chip restarts' },
  hash: { kind: 10, body: '-> u32 hash of outputs, probes and state; lockstep only' },
  inject: { kind: 11, body: 'u8 fault -> nothing; only in firmware built for tests' },
  reconfigure: {
    kind: 12,
    body: 'parameters -> i32 result of lb_reconfigure(), u32 step in force; lockstep and free run only',
  },
  stop: { kind: 13, body: '-> nothing; ends a run in any state, from any host, whatever its number' },
  journalFrom: { kind: 14, body: 'u32 offset -> u32 offset from which the journal is sent now' },
  watch: { kind: 15, body: 'u8 watch, u8 pieces, u16 period in steps (0: off), (u16 address, u16 bytes)[] -> nothing' },
  clock: { kind: 16, body: '-> u32 timer tick, u32 clock counts since it began, u32 clock counts per tick' },
  rate: { kind: 17, body: 'u32 baud -> i32 accepted (1 or 0); after this answer both sides switch' },
} as const satisfies Record<string, Message>;
export type RequestName = keyof typeof REQUESTS;

/** What the chip sends without a request. */
export const NOTICES = {
  started: { kind: 0xe1, body: 'u8 cause, u32 reason' },
  journal: { kind: 0xe2, body: 'u32 offset of the first byte, entries: u8 type, u8 bytes after this one, ...' },
  missing: { kind: 0xe3, body: 'u8 number of the request that is missing' },
} as const satisfies Record<string, Message>;

/** Entries of the journal. */
export const ENTRIES = {
  steps: { kind: 1, body: 'u32 first step, u32 its timer tick, u16 steps: as expected, one timer tick each, outputs unchanged' },
  step: { kind: 2, body: "u32 step, u32 timer tick, u32 step of the inputs used, outputs' changed bytes: (u16 offset, u8 count, bytes)[]" },
  coils: { kind: 3, body: "u32 timer tick, u8 row, u8 supply valve's order, u8 return valve's order" },
  hash: { kind: 4, body: 'u32 step, u32 lb_state_chain() of the state after it, continued from 0' },
  sample: { kind: 5, body: 'u8 watch, u32 step, bytes' },
  parameters: { kind: 6, body: 'u32 step in force, i32 result, u32 CRC-32 of the parameters' },
  statistics: { kind: 7, body: 'u32 step, u32 counters[]' },
  event: { kind: 8, body: 'u32 next step, u8 event, u32 reason' },
  part: { kind: 9, body: 'as step; the last entry of the same step follows' },
} as const satisfies Record<string, Message>;

/** What an `event` entry reports, by number from 0. The reason of the last two: index in ENDS. */
export const EVENTS = ['run started', 'run ending', 'run ended'] as const;

/** What a chip counts, in the order of `counters[]`. From `late` on, counts restart with each `configure`. */
export const COUNTERS = [
  'received',
  'damaged',
  'lost',
  'doubled',
  'reordered',
  'sent',
  'dropped',
  'late',
  'held',
  'early',
  'overruns',
  'longestStepCounts',
  'capped',
] as const;

/** Answers to `hello`, by number. */
export const ACCEPTED = ['refused', 'accepted', 'busy'] as const;

/** Names by their numbers from 0. */
export const STATES = ['closing', 'ready', 'lockstep', 'running', 'ending', 'stopped'] as const;
/** Why a free run ended. */
export const ENDS = ['none', 'requested', 'link lost', 'power failing', 'stopped'] as const;
/**
 * Why the chip last started. `fault`: a bus error, an undefined instruction, a stack overflow. The reason of `watchdog`: how many coils
 * were switched off because they were driven for too long.
 */
export const START_CAUSES = ['power', 'trap', 'fault', 'watchdog', 'requested'] as const;

export const MODES = { lockstep: 1, freeRun: 2 } as const;

/** Faults that firmware built for tests can play. */
export const INJECTED = { hang: 1, fault: 2, stack: 3, powerFailing: 4, powerCut: 5, coil: 6 } as const;

/** Results of `configure`, besides those of lb_configure(). */
export const REFUSALS = {
  contract: { result: -2, text: 'it has not been greeted with its contract' },
  state: { result: -3, text: 'it is busy or stopped' },
  tickRate: { result: -4, text: 'its timer has another tick rate' },
  valveRows: { result: -5, text: 'fewer rows are wired to it' },
  arithmetic: { result: -6, text: "its arithmetic differs from WebAssembly's" },
  length: { result: -7, text: 'the parameters have the wrong length' },
} as const;

/** Reasons of a trap and findings of lb_check_arithmetic(), as latchbench-chip.h numbers them. */
export const TRAPS = [
  'none',
  'an assertion failed',
  'access outside memory',
  'a value does not fit an integer',
  'division by zero',
] as const;
export const ARITHMETIC_FINDINGS = [
  'as WebAssembly',
  'products are added without rounding (fused multiply-add)',
  'subnormal numbers become 0',
  'NaN compares as a number, or does not propagate',
  'rounding is not to nearest, ties to even',
  'intermediate results have more than single precision',
] as const;

function enumeration(prefix: string, entries: readonly (readonly [name: string, value: number, comment?: string])[]): string {
  const lines = entries.map(([name, value, comment]) => {
    const constant = constantCase(name).replaceAll(' ', '_');
    return `  LB_${prefix}_${constant} = ${value},${comment === undefined ? '' : ` /* ${comment} */`}`;
  });
  return `enum {\n${lines.join('\n')}\n};`;
}

const numbered = (names: readonly string[]): [string, number][] => names.map((name, index) => [name, index]);
const messages = (table: Readonly<Record<string, Message>>): [string, number, string][] =>
  Object.entries(table).map(([name, { kind, body }]) => [name, kind, body]);

/** The C header of these numbers. */
export function protocolHeader(): string {
  const lengths: readonly [string, number][] = [
    ['contractCharacters', CONTRACT_CHARACTERS],
    ['nameCharacters', NAME_CHARACTERS],
    ['counters', COUNTERS.length],
  ];
  return [
    '/* Numbers of the link. Written from host/chip/protocol.ts by every build; do not edit. */\n#ifndef LB_PROTOCOL_H\n#define LB_PROTOCOL_H',
    enumeration('LINK', [
      ['version', LINK_VERSION],
      ...lengths,
      ['answer', ANSWER, 'flag in the kind of an answer'],
      ['refused', REFUSED, 'u8 kind of the request, u8 why'],
    ]),
    `#define LB_NO_INPUTS 0x${NO_INPUTS.toString(16)}u`,
    `/* Requests: body -> body of the answer. */\n${enumeration('LINK', messages(REQUESTS))}`,
    `/* Notices. */\n${enumeration('LINK', messages(NOTICES))}`,
    `/* Entries of the journal. */\n${enumeration('ENTRY', messages(ENTRIES))}`,
    enumeration('EVENT', numbered(EVENTS)),
    enumeration('COUNT', numbered(COUNTERS)),
    `/* Answers to LB_LINK_HELLO. */\n${enumeration('HELLO', numbered(ACCEPTED))}`,
    enumeration('STATE', numbered(STATES)),
    `/* Why a free run ended. */\n${enumeration('END', numbered(ENDS))}`,
    `/* Why the chip last started. */\n${enumeration('START', numbered(START_CAUSES))}`,
    enumeration('MODE', Object.entries(MODES)),
    `/* Results of LB_LINK_CONFIGURE, besides those of lb_configure(). */\n${enumeration(
      'REFUSED',
      Object.entries(REFUSALS).map(([name, { result, text }]) => [name, result, text]),
    )}`,
    `/* Faults for LB_LINK_INJECT. */\n${enumeration('INJECT', Object.entries(INJECTED))}`,
    '#endif\n',
  ].join('\n\n');
}
