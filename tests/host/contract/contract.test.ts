import { spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { describeContract, makeContract, recordAddress } from '../../../host/contract/contract.js';
import { writeCHeader } from '../../../host/contract/generate/c-header.js';
import { generatedFiles } from '../../../host/contract/generate/generated-files.js';
import { countOf, layOutMemory, layOutRecord, SIZE_OF } from '../../../host/contract/layout.js';
import { parameterSchema } from '../../../host/contract/parameter-schema.js';
import { CHANNELS } from '../../../shared/channels.js';
import { CHECKS, FAULTS } from '../../../shared/faults.js';
import { PARAMETERS, RULES } from '../../../shared/parameters.js';
import { ENUMS, RECORDS } from '../../../shared/records.js';
import { type Display, UNITS, type UnitName } from '../../../shared/units.js';
import { missingTool } from '../../support/missing-tool.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();

const field = (name: string, type: 'u8' | 'u16' | 'u32' | 'f32') => ({ name, type, unit: 'none', help: '' }) as const;
const record = (...fields: ReturnType<typeof field>[]) => ({ name: 'Sample', kind: 'state', help: '', fields }) as const;

describe('generated files', () => {
  it.each(Object.entries(generatedFiles()))('%s is up to date with `npm run contract`', (path, text) => {
    expect(readFileSync(join(PROJECT.root, path), 'utf8')).toBe(text);
  });
});

describe('layOutRecord', () => {
  it('places fields one after another in natural alignment', () => {
    const { size, fields } = layOutRecord(record(field('a', 'f32'), field('b', 'u16'), field('c', 'u8'), field('d', 'u8')));
    expect(fields.map(({ offset }) => offset)).toEqual([0, 4, 6, 7]);
    expect(size).toBe(8);
  });

  it.each([
    ['u8', 'u16', 'Sample.b would be at offset 1'],
    ['u8', 'f32', 'Sample.b would be at offset 1'],
    ['u16', 'u32', 'Sample.b would be at offset 2'],
  ] as const)('refuses the gap between %s and %s', (first, second, message) => {
    expect(() => layOutRecord(record(field('a', first), field('b', second)))).toThrow(message);
  });

  it('refuses a size that would break the alignment of the next record', () => {
    expect(() => layOutRecord(record(field('a', 'f32'), field('b', 'u16')))).toThrow(
      'Sample is 6 bytes long, which is not a multiple of 4',
    );
    expect(layOutRecord(record(field('a', 'u8'), field('b', 'u8'), field('c', 'u8'))).size).toBe(3);
  });
});

describe('the layout', () => {
  it('aligns every field naturally, and sizes row records in multiples of 4', () => {
    for (const { name, fields, size } of contract.records) {
      for (const one of fields) expect(one.offset % SIZE_OF[one.type], `${name}.${one.name}`).toBe(0);
      expect(
        fields.reduce((sum, one) => sum + SIZE_OF[one.type], 0),
        name,
      ).toBe(size);
      if (/^(Row|Bank)(Input|Output|Probe)$/.test(name)) expect(size % 4, name).toBe(0);
    }
  });

  it('has places that start at 16, follow one another in multiples of 4 and fit into one page', () => {
    let end = 16;
    for (const { name, at, count, record: of, stride } of contract.places) {
      expect(at, name).toBe(Math.ceil(end / 4) * 4);
      const inBlock = stride === undefined ? count : count / 48;
      end = at + inBlock * (contract.records.find((one) => one.name === of)?.size ?? Number.NaN);
    }
    expect(end + 47 * 772).toBeLessThanOrEqual(65536);
  });

  it('has one block of state per row, with each record once', () => {
    const blocked = contract.places.filter(({ stride }) => stride !== undefined);
    // 3 channels of 32, zero 32, offset 32, contact 6, two medians and three filters of 8, loop 24, predictor 76, 4 bands of 12, motion 56,
    // preview 100, detector 104, pair 24, 2 valves of 32, faults 8, 29 timers of 2; contact and timers are followed by 2 spare bytes.
    expect(blocked.map(({ stride }) => stride)).toEqual(blocked.map(() => 772));
    const addresses = blocked.flatMap((place) => Array.from({ length: place.count }, (_, index) => recordAddress(contract, place, index)));
    expect(new Set(addresses).size).toBe(addresses.length);
    const [channels, valves] = ['channelState', 'valveState'].map((name) => contract.places.find((place) => place.name === name));
    if (channels === undefined || valves === undefined) throw new Error('no such place');
    expect(recordAddress(contract, channels, 7) - recordAddress(contract, channels, 0)).toBe(2 * 772 + 32);
    expect(recordAddress(contract, valves, 3) - recordAddress(contract, valves, 1)).toBe(772);
  });

  it('refuses more rows than fit into memory', () => {
    expect(() => layOutMemory(200)).toThrow('memory has 65536');
  });

  it.each([
    ['bank', 1],
    ['row', 24],
    ['valve', 48],
    ['channel', 72],
    ['channelKind', 4],
    ['bankFault', 13],
    ['rowFault', 696],
    ['rowFaultKind', 29],
  ] as const)('has records per %s: %d at 24 rows', (each, count) => {
    expect(countOf(each, 24)).toBe(count);
  });
});

/** Returns the contract's hash with a changed value in the shared tables, and restores the tables. */
function hashAfter<T extends object, K extends keyof T>(owner: T, key: K, value: T[K]): string {
  const before = owner[key];
  owner[key] = value;
  const { hash } = makeContract(contract.rowsMax);
  owner[key] = before;
  return hash;
}
type Loose = Record<string, unknown>;

describe('the hash', () => {
  it('is 16 hexadecimal digits, the same each time', () => {
    expect(contract.hash).toMatch(/^[0-9a-f]{16}$/);
    expect(describeContract().hash).toBe(contract.hash);
  });

  it.each([
    ['limit', PARAMETERS[3], 'max', 5001],
    ['default', PARAMETERS[3], 'default', 301],
    ['unit', PARAMETERS[4], 'unit', 'second'],
    ['field name', RECORDS[0]?.fields[0], 'name', 'target'],
    ['field unit', RECORDS[0]?.fields[0], 'unit', 'none'],
    ['debounce', FAULTS[0], 'debounceMs', 21],
    ['reaction', FAULTS[0], 'reaction', 'report'],
    ['failure mode', FAULTS[0], 'fmi', 5],
    ['rule', RULES[1], 'is', '<'],
    ['enum value', ENUMS.Order, 1, 'opened'],
  ])('changes with a %s', (_, owner, key, value) => {
    expect(hashAfter(owner as unknown as Loose, String(key), value)).not.toBe(contract.hash);
    expect(describeContract().hash).toBe(contract.hash);
  });

  it.each([
    ['parameter', PARAMETERS[3]],
    ['record', RECORDS[0]],
    ['field', RECORDS[0]?.fields[0]],
    ['fault', FAULTS[0]],
  ])('does not change with the help of a %s', (_, owner) => {
    expect(hashAfter(owner as unknown as Loose, 'help', 'other words')).toBe(contract.hash);
  });

  it('changes with the maximum number of rows', () => {
    expect(describeContract(24).hash).not.toBe(contract.hash);
  });
});

describe('the C header', () => {
  /** Compiles a C file that includes the header. Returns the compiler's messages. */
  function compile(header: string, body = ''): string {
    writeFileSync(join(folder, 'latchbench.h'), header);
    writeFileSync(join(folder, 'check.c'), `#include "latchbench.h"\n${body}\nint main(void) { return 0; }\n`);
    const flags = ['-std=c11', '-Wall', '-Wextra', '-Werror', '-pedantic', '-c', join(folder, 'check.c'), '-o', join(folder, 'check.o')];
    return spawnSync('gcc', flags, { encoding: 'utf8' }).stderr;
  }

  it('compiles without a warning, with assertions on offsets and sizes', ({ skip }) => {
    if (missingTool('gcc', 'apt-get install gcc')) return skip();
    expect(compile(writeCHeader(contract))).toBe('');
  });

  it('does not compile with a wrong offset', ({ skip }) => {
    if (missingTool('gcc', 'apt-get install gcc')) return skip();
    const wrong = writeCHeader(contract).replace('offsetof(LbBankInput, railCounts) == 8', 'offsetof(LbBankInput, railCounts) == 10');
    expect(compile(wrong)).toContain('BankInput.railCounts');
  });

  it('lists every parameter once, in the order of its number', ({ skip }) => {
    if (missingTool('gcc', 'apt-get install gcc')) return skip();
    const body = [
      '#define COUNT(number, name, type, min, max, defaultValue) + 1',
      `_Static_assert(0 LB_PARAMETERS(COUNT) == ${PARAMETERS.length}, "parameters");`,
      '#define PLACE(number, name, type, min, max, defaultValue) _Static_assert(offsetof(LbParameters, name) == 4 * (number - 1), #name);',
      'LB_PARAMETERS(PLACE)',
    ].join('\n');
    expect(compile(writeCHeader(contract), body)).toBe('');
  });
});

describe('the JSON Schema of parameter files', () => {
  const ajv = new Ajv2020({ strict: true });
  ajv.addKeyword({ keyword: 'unit', schemaType: 'string' });
  const validate = ajv.compile(parameterSchema(contract));

  it('accepts all defaults, and none', () => {
    expect(validate({})).toBe(true);
    expect(validate(Object.fromEntries(PARAMETERS.map((one) => [one.name, one.default])))).toBe(true);
  });

  it.each(PARAMETERS.map((one) => [one.name, one] as const))(
    'accepts %s at its limits and refuses it beyond',
    (name, { min, max, type }) => {
      const step = type === 'u32' ? 1 : 1e-3;
      expect([validate({ [name]: min }), validate({ [name]: max })]).toEqual([true, true]);
      expect([validate({ [name]: min - step }), validate({ [name]: max + step })]).toEqual([false, false]);
    },
  );

  it.each([{ strategy: 0.5 }, { deadbandN: '40' }, { deadbandN: null }, { noSuchParameter: 1 }, { deadbandN: Number.NaN }])(
    'refuses %j',
    (values) => {
      expect(validate(values)).toBe(false);
    },
  );
});

describe('the shared tables', () => {
  const SUFFIX: Partial<Record<UnitName, RegExp>> = {
    hertz: /Hz$/,
    millisecond: /Ms$/,
    second: /S$/,
    newton: /N$/,
    newtonPerMillisecond: /NPerMs$/,
    kilopascal: /Kpa$/,
    kilopascalPerMillisecond: /KpaPerMs$/,
    kilopascalPerSecond: /KpaPerS$/,
    kilopascalPerNewton: /KpaPerN$/,
    kilopascalPerNewtonSecond: /KpaPerNS$/,
    megapascal: /Mpa$/,
    squareCentimetre: /Cm2$/,
    millilitre: /Ml$/,
    millilitrePerMinute: /MlPerMin$/,
    kilogram: /Kg$/,
    litrePerMinute: /Lpm$/,
    metre: /M$/,
    metrePerSecondSquared: /Mps2$/,
    metrePerSecondSquaredPerMillisecond: /Mps2PerMs$/,
    millivolt: /Mv$/,
    microfarad: /Uf$/,
    millijoule: /Mj$/,
    watt: /W$/,
    count: /Counts$/,
    perMinute: /PerMinBudget$/,
  };

  it.each(PARAMETERS.map((one) => [one.name, one] as const))('%s ends in its unit', (name, { unit }) => {
    const suffix = SUFFIX[unit];
    if (suffix === undefined) expect(['none', 'ratio']).toContain(unit);
    else expect(name).toMatch(suffix);
  });

  it.each(PARAMETERS.map((one) => [one.name, one] as const))('%s has a default within its limits, all integers if it is one', (_, one) => {
    expect(one.min).toBeLessThan(one.max);
    expect(one.default).toBeGreaterThanOrEqual(one.min);
    expect(one.default).toBeLessThanOrEqual(one.max);
    if (one.type === 'u32') expect([one.min, one.max, one.default].every(Number.isInteger)).toBe(true);
    if (one.choices !== undefined) expect([one.min, one.max]).toEqual([0, one.choices.length - 1]);
  });

  it.each(PARAMETERS.filter(({ type }) => type === 'f32').map((one) => [one.name, one] as const))(
    '%s has limits and a default that survive rounding to a 32-bit float, to seven digits',
    (_, { min, max, default: defaultValue }) => {
      for (const value of [min, max, defaultValue]) expect(Number(Math.fround(value).toPrecision(7))).toBe(value);
    },
  );

  it('every name is unique', () => {
    const once = (names: readonly string[]): void => expect(new Set(names).size).toBe(names.length);
    once(PARAMETERS.map(({ name }) => name));
    once(RECORDS.map(({ name }) => name));
    for (const { fields } of RECORDS) once(fields.map(({ name }) => name));
    for (const scope of ['bank', 'row']) once(FAULTS.filter((one) => one.scope === scope).map(({ name }) => name));
  });

  it('fault codes are consecutive bits', () => {
    for (const scope of ['bank', 'row']) {
      const codes = FAULTS.filter((one) => one.scope === scope).map(({ code }) => code);
      expect(codes).toEqual(codes.map((_, index) => index));
      expect(codes.length).toBeLessThanOrEqual(32);
    }
  });

  it('rules name parameters, and the defaults satisfy them', () => {
    const defaultValue = (name: string): number => PARAMETERS.find((one) => one.name === name)?.default ?? Number.NaN;
    const holds = { '<': (a: number, b: number) => a < b, '<=': (a: number, b: number) => a <= b, '>=': (a: number, b: number) => a >= b };
    for (const { left, is, right } of RULES)
      expect(holds[is](defaultValue(left), defaultValue(right)), `${left} ${is} ${right}`).toBe(true);
  });

  it('channels name an input and parameters', () => {
    const inputs = RECORDS.filter(({ kind }) => kind === 'input').flatMap(({ fields }) => fields.map(({ name }) => name));
    for (const { input, atTenPercent, atNinetyPercent, rate } of CHANNELS) {
      expect(inputs).toContain(input);
      expect(PARAMETERS.map(({ name }) => name)).toEqual(expect.arrayContaining([atTenPercent, atNinetyPercent, rate]));
    }
  });

  it('every channel has a fault for every check, in consecutive bits', () => {
    for (const { name, scope } of CHANNELS) {
      const codes = CHECKS.map((check) => FAULTS.find((one) => one.scope === scope && one.name === name + check.name)?.code);
      expect(codes).toEqual(CHECKS.map((_, index) => (codes[0] ?? Number.NaN) + index));
    }
  });

  it('conversions agree with NIST SP 811 (2008), appendix B.8', () => {
    const factor = (display: Display | undefined): number => display?.factor ?? Number.NaN;
    // 1 lbf = 4.448222 N, 1 psi = 6.894757 kPa, 1 gal/min = 3.785412 L/min, 1 mi/h = 447.04 mm/s, 1 bar = 100 kPa.
    expect(4.448222 * factor(UNITS.newton.customary)).toBeCloseTo(1, 6);
    expect(6.894757 * factor(UNITS.kilopascal.customary)).toBeCloseTo(1, 6);
    expect(3.785412 * factor(UNITS.litrePerMinute.customary)).toBeCloseTo(1, 6);
    expect(447.04 * factor(UNITS.millimetrePerSecond.customary)).toBeCloseTo(1, 12);
    expect(100 * factor(UNITS.kilopascal.metric)).toBe(1);
    expect(UNITS.litrePerMinute.siFactor * 60000).toBeCloseTo(1, 12);
  });
});
