import binaryen from 'binaryen';
import { embedDescription } from '../../host/contract/embed.js';
import { leb128 } from '../../host/wasm/bytes.js';
import { readModule } from '../../host/wasm/module.js';
import { DESCRIPTION, ESCAPE, type HostileBuild, hostileContracts, RELEASE } from './hostile-contracts.js';
import { Noise } from './noise.js';

const assemble = (text: string): Uint8Array => {
  const module = binaryen.parseText(text);
  module.setFeatures(binaryen.Features.All);
  const bytes = module.emitBinary();
  module.dispose();
  return embedDescription(bytes, DESCRIPTION);
};

const MEMORY = '(memory (export "memory") 1 1)';
const CONFIGURE = '(func (export "configure") (param i32) (result i32) (i32.const 0))';
const TICK = '(func (export "tick"))';

/** A module that is a controller except for some parts. */
const withParts = ({ memory = MEMORY, configure = CONFIGURE, tick = TICK, more = '' }): Uint8Array =>
  assemble(`(module ${more.startsWith('(import') ? `${more} ${memory}` : `${memory} ${more}`} ${configure} ${tick})`);

type Parts = Parameters<typeof withParts>[0];
const group = (name: string, builds: Readonly<Record<string, Parts>>): HostileBuild[] =>
  Object.entries(builds).map(([what, parts]) => ({ group: name, name: what, bytes: withParts(parts) }));

const tickOf = (body: string): Parts => ({ tick: `(func (export "tick") ${body})` });
const configureOf = (body: string): Parts => ({ configure: `(func (export "configure") (param i32) (result i32) ${body})` });

const IMPORTS = [
  ['env', 'abort'],
  ['env', 'trace'],
  ['env', 'seed'],
  ['constructor', 'constructor'],
  ['constructor', 'freeze'],
  ['toString', 'constructor'],
  ['hasOwnProperty', 'call'],
  ['__proto__', 'toString'],
  ['valueOf', 'bind'],
  ['wasi_snapshot_preview1', 'fd_write'],
  [ESCAPE, ESCAPE],
] as const;

function imports(): HostileBuild[] {
  const quoted = (text: string): string =>
    JSON.stringify(text)
      .replaceAll(/\\u00(..)/g, '\\$1')
      .replaceAll('\u202e', '\\e2\\80\\ae');
  const functions = IMPORTS.map(([module, name]): [string, Parts] => [
    `function ${module}.${name}`,
    {
      more: `(import ${quoted(module)} ${quoted(name)} (func $f (param i32 i32 i32 i32)))`,
      ...tickOf('(call $f (i32.const 0) (i32.const 0) (i32.const 0) (i32.const 0))'),
    },
  ]);
  return group('imports', {
    ...Object.fromEntries(functions),
    global: { more: '(import "env" "g" (global i32))' },
    'mutable global': { more: '(import "env" "g" (global (mut i32)))' },
    table: { more: '(import "env" "t" (table 1 funcref))' },
    memory: { more: '(import "env" "memory" (memory 1 1))', memory: '(export "memory" (memory 0))' },
  });
}

const starts = (): HostileBuild[] =>
  group('start functions', {
    endless: { more: '(func $s (loop $l (br $l))) (start $s)' },
    'that traps': { more: '(func $s (unreachable)) (start $s)' },
    'that writes': { more: '(func $s (i32.store (i32.const 16) (i32.const -1))) (start $s)' },
  });

const exports = (): HostileBuild[] =>
  group('exports', {
    'no memory': { memory: '(memory 1 1)' },
    'no configure': { configure: '' },
    'no tick': { tick: '' },
    nothing: { memory: '(memory 1 1)', configure: '', tick: '' },
    'another function': { more: '(func (export "eval"))' },
    'a global': { more: '(global (export "g") i32 (i32.const 0))' },
    'a mutable global': { more: '(global (export "stepsLeft") (mut i32) (i32.const 0))' },
    'a table': { more: '(table (export "table") 1 1 funcref)' },
    'the name constructor': { more: '(func (export "constructor"))' },
    'the name __proto__': { more: '(func (export "__proto__"))' },
    'the name __new': { more: '(func (export "__new") (param i32 i32) (result i32) (i32.const 0))' },
    'the name memory.grow': { more: '(func (export "memory.grow"))' },
    'a class': { more: '(func (export "A#constructor") (param i32) (result i32) (i32.const 0))' },
    'an accessor': { more: '(func (export "get:tick") (result i32) (i32.const 0))' },
    'tick as a global': { tick: '(global (export "tick") i32 (i32.const 0))' },
    'memory as a function': { memory: '(memory 1 1) (func (export "memory"))' },
    'tick with a parameter': { tick: '(func (export "tick") (param i32))' },
    'tick with a result': { tick: '(func (export "tick") (result i64) (i64.const 0))' },
    'configure without a parameter': { configure: '(func (export "configure") (result i32) (i32.const 0))' },
    'configure with i64': { configure: '(func (export "configure") (param i64) (result i64) (i64.const 0))' },
    'configure of two results': { configure: '(func (export "configure") (param i32) (result i32 i32) (i32.const 0) (i32.const 0))' },
    'reconfigure of f32': { more: '(func (export "reconfigure") (result f32) (f32.const 0))' },
    'a reference': { more: '(func (export "reconfigure") (result externref) (ref.null extern))' },
    'a thousand': { more: Array.from({ length: 1000 }, (_, index) => `(export "e${index}" (func 0))`).join('') },
  });

const memories = (): HostileBuild[] =>
  group('memory', {
    none: { memory: '', more: '(global (export "memory") i32 (i32.const 0))' },
    'without a maximum': { memory: '(memory (export "memory") 1)' },
    'that can grow': { memory: '(memory (export "memory") 1 2)' },
    'up to 4 GiB': { memory: '(memory (export "memory") 1 65536)' },
    'of 4 GiB': { memory: '(memory (export "memory") 65536 65536)' },
    'of 1 GiB': { memory: '(memory (export "memory") 16384 16384)' },
    'of no page': { memory: '(memory (export "memory") 0 0)' },
    shared: { memory: '(memory (export "memory") 1 1 shared)' },
    'of 64 bits': { memory: '(memory (export "memory") i64 1 1)' },
    two: { more: '(memory 1 1)' },
    'grown by nothing': tickOf('(drop (memory.grow (i32.const 0)))'),
    'grown without end': tickOf('(loop $l (drop (memory.grow (i32.const 100))) (br $l))'),
    'a table of ten million': { more: '(table 10000000 10000000 funcref)' },
    'a table without a maximum': { more: '(table 1 funcref)' },
    'data outside': { more: '(data (i32.const 70000) "x")' },
    'data over everything': { more: `(data (i32.const 0) "${'\\ff'.repeat(65536)}")` },
  });

const LOOP = '(loop $l (br $l))';
const COUNT = '(i32.store (i32.const 60000) (i32.add (i32.load (i32.const 60000)) (i32.const 1)))';

const endless = (): HostileBuild[] =>
  group('endless', {
    tick: tickOf(LOOP),
    'configure()': configureOf(`${LOOP} (i32.const 0)`),
    'a tick after 100': tickOf(`${COUNT} (if (i32.gt_u (i32.load (i32.const 60000)) (i32.const 100)) (then ${LOOP}))`),
    'nested loops': tickOf('(loop $a (loop $b (br_if $b (i32.load (i32.const 0))) (br $a)))'),
    'a loop that counts': tickOf(
      '(local i64) (loop $l (local.set 0 (i64.add (local.get 0) (i64.const 1))) (br_if $l (i64.ne (local.get 0) (i64.const -1))))',
    ),
    'a loop of divisions': tickOf('(local f64) (loop $l (local.set 0 (f64.div (f64.sqrt (local.get 0)) (f64.const 3))) (br $l))'),
    'a table of branches': tickOf('(loop $l (br_table $l $l $l $l (i32.const 2)))'),
    'a call of itself': { tick: '(func $t (export "tick") (call $t))' },
    'two functions that call each other': { more: '(func $a (call $b)) (func $b (call $a))', ...tickOf('(call $a)') },
    'a call through a table': {
      more: '(table 1 1 funcref) (type $v (func)) (elem (i32.const 0) $t)',
      tick: '(func $t (export "tick") (call_indirect (type $v) (i32.const 0)))',
    },
    'calls that double': {
      more: Array.from({ length: 40 }, (_, n) => `(func $f${n} ${n === 0 ? '' : `(call $f${n - 1}) (call $f${n - 1})`})`).join(' '),
      ...tickOf('(call $f39)'),
    },
    'a counter set back': {
      more: '(global $g (mut i32) (i32.const 0))',
      ...tickOf('(loop $l (global.set 0 (i32.const 100000000)) (br $l))'),
    },
    'almost too long, each tick': tickOf(
      '(local i32) (loop $l (local.set 0 (i32.add (local.get 0) (i32.const 1))) (br_if $l (i32.lt_u (local.get 0) (i32.const 100000))))',
    ),
  });

const traps = (): HostileBuild[] =>
  group('traps', {
    unreachable: tickOf('(unreachable)'),
    'unreachable in configure()': configureOf('(unreachable)'),
    'division by zero': tickOf('(drop (i32.div_u (i32.const 1) (i32.load (i32.const 60000))))'),
    'a load outside': tickOf('(drop (i32.load (i32.const -1)))'),
    'a store outside': tickOf('(i64.store offset=4294967295 (i32.const -1) (i64.const 1))'),
    'a number too large': tickOf('(drop (i32.trunc_f32_s (f32.const 1e30)))'),
    'a call of nothing': { more: '(table 1 1 funcref) (type $v (func))', ...tickOf('(call_indirect (type $v) (i32.const 0))') },
    'a call of another type': {
      more: '(table 1 1 funcref) (type $v (func (param i32))) (elem (i32.const 0) $t)',
      tick: '(func $t (export "tick") (call_indirect (type $v) (i32.const 1) (i32.const 0)))',
    },
    'rows refused': configureOf('(i32.const -3)'),
    'a parameter refused': configureOf('(i32.const 3)'),
    'a parameter that there is not': configureOf('(i32.const 2147483647)'),
    'the smallest number': configureOf('(i32.const -2147483648)'),
  });

/** Writes a value over all of memory but the last page's end, word by word. */
const fill = (value: string): string =>
  `(local i32) (loop $l (i32.store (local.get 0) ${value}) (local.set 0 (i32.add (local.get 0) (i32.const 4))) (br_if $l (i32.lt_u (local.get 0) (i32.const 65532))))`;

const garbage = (): HostileBuild[] =>
  group('garbage in memory', {
    ones: tickOf(fill('(i32.const -1)')),
    'not a number': tickOf(fill('(i32.const 0x7fc00000)')),
    'small integers': tickOf(fill('(i32.const 0x07070707)')),
    addresses: tickOf(fill('(i32.mul (local.get 0) (i32.const 2654435761))')),
    'another value each tick': tickOf(
      `${fill('(i32.mul (i32.add (local.get 0) (i32.load (i32.const 65532))) (i32.const 2654435761))')} (i32.store (i32.const 65532) (i32.add (i32.load (i32.const 65532)) (i32.const 77)))`,
    ),
  });

/** Appends a section to the release. */
const withSection = (id: number, content: Uint8Array): Uint8Array =>
  Buffer.concat([RELEASE, Buffer.from([id, ...leb128(content.length)]), content]);
const custom = (name: string, content: string | Uint8Array): Uint8Array =>
  withSection(0, Buffer.concat([Buffer.from(leb128(Buffer.byteLength(name))), Buffer.from(name), Buffer.from(content)]));
const header = (...bytes: number[]): Uint8Array => Uint8Array.from([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0, ...bytes]);

/** A controller whose tick has these instructions, for what is too deep for an assembler (Core Specification 1.0, chapter 5). */
function rawTick(code: Uint8Array, locals: readonly number[] = [0]): Uint8Array {
  const section = (id: number, content: readonly number[]): number[] => [id, ...leb128(content.length), ...content];
  const exported = (name: string, kind: number, index: number): number[] => [name.length, ...Buffer.from(name), kind, index];
  const body = Buffer.concat([Buffer.from(locals), code, Buffer.from([0x0b])]);
  const codes = Buffer.concat([Buffer.from([2, 4, 0, 0x41, 0, 0x0b, ...leb128(body.length)]), body]);
  const sections = [
    ...section(1, [2, 0x60, 1, 0x7f, 1, 0x7f, 0x60, 0, 0]),
    ...section(3, [2, 0, 1]),
    ...section(5, [1, 1, 1, 1]),
    ...section(7, [3, ...exported('memory', 2, 0), ...exported('configure', 0, 0), ...exported('tick', 0, 1)]),
  ];
  return embedDescription(Buffer.concat([header(...sections), Buffer.from([10, ...leb128(codes.length)]), codes]), DESCRIPTION);
}

/** Blocks or loops in each other. */
const nested = (code: number, depth: number): Uint8Array =>
  rawTick(Buffer.concat([Buffer.alloc(2 * depth, Buffer.from([code, 0x40])), Buffer.alloc(depth, 0x0b)]));

function formats(): HostileBuild[] {
  const builds: Record<string, Uint8Array> = {
    'of no byte': new Uint8Array(),
    'of a head only': header(),
    'version 2': Uint8Array.from([...header().slice(0, 4), 2, 0, 0, 0]),
    'a section longer than the file': header(1, 0xff, 0xff, 0xff, 0x7f),
    'a size of too many bytes': header(1, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0),
    'four thousand million types': header(1, 5, 0xff, 0xff, 0xff, 0xff, 0x0f),
    'a section of an unknown kind': header(77, 0),
    'a second description': embedDescription(RELEASE, DESCRIPTION),
    'a name section of garbage': custom('name', Buffer.alloc(1000, 0xff)),
    'a source map elsewhere': custom('sourceMappingURL', `\u0010file:///dev/zero`),
    'a custom section of an escape': custom(ESCAPE, ESCAPE),
    'a custom name that is not UTF-8': withSection(0, Uint8Array.from([2, 0xff, 0xfe])),
    'a custom section of 3 MB': custom('large', Buffer.alloc(3 << 20)),
    'a custom section of 8 MB': custom('large', Buffer.alloc(8 << 20)),
    'a thousand custom sections': Buffer.concat([RELEASE, Buffer.alloc(3000, Uint8Array.from([0, 1, 0]))]),
    'many locals': rawTick(Buffer.alloc(0), [1, ...leb128(40_000), 0x7c]),
    'many locals and branches': rawTick(
      Buffer.concat([Buffer.from([0x02, 0x40]), Buffer.alloc(200_000, Buffer.from([0x41, 1, 0x0d, 0])), Buffer.from([0x0b])]),
      [1, ...leb128(900), 0x7c],
    ),
    'blocks nested deeply': nested(0x02, 80_000),
    'loops nested deeply': nested(0x03, 80_000),
    'conditions nested deeply': rawTick(
      Buffer.concat([Buffer.alloc(160_000, Buffer.from([0x41, 1, 0x04, 0x40])), Buffer.alloc(40_000, 0x0b)]),
    ),
    'a function of 900 kB': rawTick(Buffer.alloc(900_000, 0x01)),
    'many functions': withParts({ more: '(func)'.repeat(11_000) }),
    'vectors of 128 bits': withParts(tickOf('(drop (i8x16.splat (i32.const 0)))')),
    'a tail call': withParts({ tick: '(func $t (export "tick") (return_call $t))' }),
    'sign extension': withParts(tickOf('(drop (i32.extend8_s (i32.const 0)))')),
    'filling memory at once': withParts(tickOf('(memory.fill (i32.const 0) (i32.const 1) (i32.const 65536))')),
    'an exception': withParts({ more: '(tag $e)', ...tickOf('(throw $e)') }),
  };
  return Object.entries(builds).map(([name, bytes]) => ({ group: 'format', name, bytes }));
}

/** Bytes of the release changed or cut off. */
function damaged(seed: number, count: number): HostileBuild[] {
  const noise = new Noise(seed);
  const random = (limit: number): number => Math.floor(noise.between(0, limit));
  const code = readModule(RELEASE).codes.at(-1)?.end ?? 0;
  return Array.from({ length: count }, (_, index) => {
    const bytes = Uint8Array.from(RELEASE);
    if (index % 8 === 0) return { group: 'damaged', name: `seed ${seed}: ${index}, cut off`, bytes: bytes.slice(0, random(bytes.length)) };
    // Half of them in the code, which is a fourth of the file.
    for (let changes = 1 + random(3); changes > 0; changes--) bytes[random(index % 2 === 0 ? code : bytes.length)] = random(256);
    return { group: 'damaged', name: `seed ${seed}: ${index}`, bytes };
  });
}

/** Hostile builds of every kind. */
export const hostileBuilds = (seed: number): HostileBuild[] => [
  ...imports(),
  ...starts(),
  ...exports(),
  ...memories(),
  ...endless(),
  ...traps(),
  ...garbage(),
  ...formats(),
  ...damaged(seed, 60),
  ...hostileContracts(seed, 60),
];
