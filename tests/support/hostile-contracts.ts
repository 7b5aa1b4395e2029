import { readFileSync } from 'node:fs';
import { contractHash, describeContract } from '../../host/contract/contract.js';
import { embedDescription } from '../../host/contract/embed.js';
import { leb128 } from '../../host/wasm/bytes.js';
import { readModule } from '../../host/wasm/module.js';
import { Noise } from './noise.js';
import { PROJECT } from './project.js';

/** A binary that somebody might send, by what is wrong with it. */
export interface HostileBuild {
  readonly group: string;
  readonly name: string;
  readonly bytes: Uint8Array;
}

export const RELEASE = readFileSync(PROJECT.controllerWasm);
const contract = describeContract();
export const DESCRIPTION = { version: '1.0.0', sourceHash: '0'.repeat(64), contract };
/** Sets a terminal's title, clears it, and writes from right to left. */
export const ESCAPE = '\u001b]0;title\u0007\u001b[2J\u202e';

const BARE = RELEASE.subarray(0, readModule(RELEASE).codes.at(-1)?.end ?? 0);

// biome-ignore lint/suspicious/noExplicitAny: the point is to break the type
type Change = (contract: any) => unknown;

const CHANGES: Readonly<Record<string, Change>> = {
  'a name __proto__': (c) => (c.records[3].fields[0].name = '__proto__'),
  'a parameter __proto__': (c) => (c.parameters[0].name = '__proto__'),
  'a parameter constructor': (c) => (c.parameters[0].name = 'constructor'),
  'an enumeration toString': (c) => (c.enums.toString = ['a']),
  'a name with escapes': (c) => (c.records[0].name = ESCAPE),
  'a help text with escapes': (c) => (c.records[0].help = ESCAPE),
  'a group with escapes': (c) => (c.parameters[0].group = ESCAPE),
  'a value with escapes': (c) => (c.enums.BankMode[1] = ESCAPE),
  'a unit with escapes': (c) => (c.parameters[3].unit = ESCAPE),
  'the unit constructor': (c) => (c.parameters[3].unit = 'constructor'),
  'an unknown type': (c) => (c.records[0].fields[0].type = 'u128'),
  'a negative offset': (c) => (c.records[0].fields[1].offset = -4),
  'a huge offset': (c) => (c.records[0].fields[1].offset = 1e9),
  'an offset between bytes': (c) => (c.records[0].fields[1].offset = 4.5),
  'two fields at one offset': (c) => (c.records[0].fields[1].offset = 0),
  'a negative place': (c) => (c.places[0].at = -16),
  'a place outside': (c) => (c.places[5].at = 70_000),
  'a place at the end': (c) => (c.places[5].at = 65_535),
  'two places at one address': (c) => (c.places[5].at = c.places[4].at),
  'a place of an unknown record': (c) => (c.places[5].record = 'Nothing'),
  'a place that is gone': (c) => c.places.shift(),
  'a count of millions': (c) => (c.places[9].count = 1_000_000),
  'a count of nothing': (c) => (c.places[9].count = 0),
  'a stride of nothing': (c) => (c.places.at(-1).stride = 0),
  'another stride': (c) => (c.places.at(-1).stride = 4),
  'a size of nothing': (c) => (c.records[4].size = 0),
  'a huge size': (c) => (c.records[4].size = 1 << 20),
  'a million rows': (c) => (c.rowsMax = 1_000_000),
  'no rows': (c) => (c.rowsMax = 0),
  'one row more': (c) => (c.rowsMax = 49),
  'memory of 4 GiB': (c) => (c.memoryBytes = 2 ** 32),
  'memory of two pages': (c) => (c.memoryBytes = 131_072),
  'no records': (c) => (c.records = []),
  'no parameters': (c) => (c.parameters = []),
  'no faults': (c) => (c.faults = []),
  'no enumerations': (c) => (c.enums = {}),
  'a parameter twice': (c) => c.parameters.push(c.parameters[0]),
  'a record twice': (c) => c.records.push(c.records[0]),
  'a default outside': (c) => (c.parameters[3].default = 1e30),
  'a rule of nothing': (c) => (c.rules[0].left = 'nothing'),
  'a fault at bit 99': (c) => (c.faults[0].code = 99),
  'a reaction of nothing': (c) => (c.faults[0].reaction = 'toString'),
  'ten thousand faults': (c) => (c.faults = Array(10_000).fill(c.faults[0])),
  'a hundred thousand values': (c) => (c.enums.BankMode = Array(100_000).fill('idle')),
  'a help text of 500 kB': (c) => (c.parameters[0].help = 'x'.repeat(500_000)),
  'another key': (c) => (c.more = 1),
  'records that are a text': (c) => (c.records = 'x'),
  'a hash of another': (c) => (c.hash = '0123456789abcdef'),
};

/** Places in a value whose content is no object. */
function leaves(value: unknown, at: (string | number)[] = []): (string | number)[][] {
  if (typeof value !== 'object' || value === null) return [at];
  return Object.entries(value).flatMap(([key, inner]) => leaves(inner, [...at, key]));
}

const VALUES: readonly unknown[] = [
  -1,
  0,
  1,
  3,
  255,
  65_536,
  2 ** 31,
  1e300,
  -0.5,
  '',
  '__proto__',
  'bank',
  ESCAPE,
  null,
  true,
  [],
  {},
  ['a'],
];

/** Changes one value of the contract, anywhere. */
function randomChange(seed: number): Change {
  const noise = new Noise(seed);
  const random = (limit: number): number => Math.floor(noise.between(0, limit));
  return (changed) => {
    const places = leaves(changed);
    const path = places[random(places.length)] ?? [];
    const parent = path.slice(0, -1).reduce((value, key) => value[key], changed);
    parent[path.at(-1) ?? ''] = VALUES[random(VALUES.length)];
  };
}

/** The release with another contract, whose hash is right unless that is what is changed. */
export function withContract(change: Change): Uint8Array {
  const changed = JSON.parse(JSON.stringify(contract));
  const before = changed.hash;
  change(changed);
  const { hash, ...content } = changed;
  return embedDescription(BARE, { ...DESCRIPTION, contract: { ...content, hash: hash === before ? contractHash(content) : hash } });
}

const rawDescription = (json: string): Uint8Array => {
  const name = 'latchbench.contract';
  const content = Buffer.concat([Buffer.from([name.length]), Buffer.from(name), Buffer.from(json)]);
  return Buffer.concat([BARE, Buffer.from([0, ...leb128(content.length)]), content]);
};

/** The release with contracts that are no contracts. */
export function hostileContracts(seed: number, count: number): HostileBuild[] {
  const raw = {
    'no JSON': rawDescription('hello'),
    'no UTF-8': Buffer.concat([
      rawDescription('').subarray(0, -20),
      Buffer.from([20]),
      Buffer.from('latchbench.contract'),
      Buffer.from([0xff]),
    ]),
    'lists nested deeply': rawDescription('['.repeat(900_000)),
    'mappings nested deeply': rawDescription(`${'{"a":'.repeat(100_000)}1${'}'.repeat(100_000)}`),
    'a number too large': rawDescription(JSON.stringify(DESCRIPTION).replace('"rowsMax":48', '"rowsMax":1e999')),
    'a text of 3 MB': rawDescription(JSON.stringify('x'.repeat(3 << 20))),
    'a key __proto__': rawDescription(JSON.stringify(DESCRIPTION).replace('"contract":{', '"contract":{"__proto__":{"polluted":1},')),
    nothing: rawDescription('null'),
    'a list': rawDescription('[]'),
    'a version with escapes': embedDescription(BARE, { ...DESCRIPTION, version: ESCAPE }),
    'a source hash with escapes': embedDescription(BARE, { ...DESCRIPTION, sourceHash: ESCAPE }),
  };
  const changed = Object.entries(CHANGES).map(([name, change]) => [name, withContract(change)] as const);
  const random = Array.from({ length: count }, (_, index) => [`seed ${seed + index}`, withContract(randomChange(seed + index))] as const);
  return [...Object.entries(raw), ...changed, ...random].map(([name, bytes]) => ({ group: 'contract', name, bytes }));
}
