import { type RoadClass, SEGMENT, SEGMENTS_MAX } from '../../shared/field.js';
import { quantity } from '../../shared/machine.js';
import type { InputError } from '../common/input-error.js';
import { LINE } from '../common/text-schema.js';
import type { YamlFile } from '../common/yaml-file.js';
import { quantityProperties, readQuantities } from '../machine/quantities.js';
import { CLASS, roughnessOf } from './roughness.js';

/** A part of the field along the pass. Quantities that depend on others are computed for the plant. */
export interface Segment {
  readonly name: string;
  readonly fromM: number;
  readonly toM: number;
  readonly roughnessCm3: number;
  /** Opener force as a fraction of that of the field. */
  readonly hardnessRatio: number;
  /** Water in the soil, if the hardness follows from it. */
  readonly moisturePercent?: number;
  /** Contact stiffness and damping as fractions of those of the machine. */
  readonly stiffnessRatio: number;
  readonly dampingRatio: number;
  readonly stoneEveryM: number;
  /** Length of the blend from the segment before, centred on `fromM`. */
  readonly blendM: number;
}

/** A segment as written in a scenario. */
export type WrittenSegment = Readonly<Record<string, unknown>> & { readonly name?: string; readonly class?: RoadClass };

/** What the segments of a field are read from. */
export interface SegmentSource {
  readonly file: YamlFile<unknown>;
  readonly segments: readonly WrittenSegment[];
  /** Every quantity of the field by name. */
  readonly field: Readonly<Record<string, number>>;
  /** Distance that the scenario drives. */
  readonly passM: number;
  /** Whether heights are generated, so that a segment may have a roughness. */
  readonly isGenerated: boolean;
}

const NAME = { ...LINE, maxLength: 40, description: 'Name in results; default: segment 1, segment 2 and so on' };
const LENGTH_MAX_M = 1_000_000;
const FROM = quantity('fromM', 'metre', 0, LENGTH_MAX_M, 0, 'Start along the pass, for readers: it must be the end of the segment before');
/** Ways to give the end of a segment. */
const ENDS = [
  quantity('toM', 'metre', 0, LENGTH_MAX_M, 0, 'End along the pass'),
  quantity('lengthM', 'metre', 0, LENGTH_MAX_M, 0, 'Or its length'),
  quantity('sharePercent', 'percent', 0, 100, 0, 'Or its share of the pass'),
] as const;
export const SEGMENT_PLACES = [FROM, ...ENDS] as const;
/** Distances that are not further apart count as the same: shares and decimal fractions are not exact. */
const TOLERANCE_M = 1e-3;

/** JSON Schema of the segments of a field. */
export const segmentsSchema: object = {
  description: 'Parts of the field along the pass, in their order; a key that one leaves out is as in the field',
  type: 'array',
  minItems: 1,
  maxItems: SEGMENTS_MAX,
  items: {
    type: 'object',
    additionalProperties: false,
    properties: { name: NAME, ...quantityProperties(SEGMENT_PLACES, false), class: CLASS, ...quantityProperties(SEGMENT, false) },
  },
};

/**
 * Stiffness of the contact when the soil is harder or softer than the machine file assumes. Tyre and soil yield one after the other,
 * like springs in series, and the soil's share of the yielding is inversely proportional to its hardness (common practice).
 */
const stiffnessOf = (hardness: number, soilShare: number): number => 1 / (1 - soilShare + soilShare / hardness);

class SegmentReader {
  readonly #source: SegmentSource;

  constructor(source: SegmentSource) {
    this.#source = source;
  }

  read(): Segment[] {
    const { segments, passM } = this.#source;
    const read: Omit<Segment, 'blendM'>[] = [];
    for (const [index, written] of segments.entries()) read.push(this.#segment(written, index, read.at(-1)?.toM ?? 0));
    const endM = read.at(-1)?.toM ?? 0;
    if (Math.abs(endM - passM) > TOLERANCE_M) throw this.#wrongEnd(endM);
    const lengths = read.map(({ fromM, toM }) => toM - fromM);
    const { segmentBlendM = 0 } = this.#source.field;
    return read.map((one, index) => ({ ...one, blendM: Math.min(segmentBlendM, lengths[index] ?? 0, lengths[index - 1] ?? 0) }));
  }

  #errorAt(index: number, key: string | undefined, details: Parameters<YamlFile<unknown>['errorAt']>[1]): InputError {
    return this.#source.file.errorAt(['field', 'segments', index, ...(key === undefined ? [] : [key])], details);
  }

  #segment(written: WrittenSegment, index: number, fromM: number): Omit<Segment, 'blendM'> {
    const { file, field } = this.#source;
    const path = ['field', 'segments', index];
    const places = readQuantities(SEGMENT_PLACES, written, file, path);
    this.#checkStart(places.fromM, fromM, index);
    this.#checkKeys(written, index);
    const values = readQuantities(SEGMENT, written, file, path);
    const { moisturePercent } = values;
    const { soilYieldRatio = 0, moisturePercent: fieldPercent = 1, moisturePower = 0 } = field;
    const byMoisture = moisturePercent === undefined ? 1 : (fieldPercent / moisturePercent) ** moisturePower;
    const hardnessRatio = values.hardnessRatio ?? byMoisture;
    const stiffnessRatio = stiffnessOf(hardnessRatio, soilYieldRatio);
    return {
      name: written.name ?? `segment ${index + 1}`,
      fromM,
      toM: this.#end(written, places, fromM, index),
      roughnessCm3: roughnessOf(written.class) ?? values.roughnessCm3 ?? field.roughnessCm3 ?? 0,
      hardnessRatio,
      ...(moisturePercent === undefined ? {} : { moisturePercent }),
      stiffnessRatio,
      // The same damping ratio: damping is proportional to the root of the stiffness (common practice).
      dampingRatio: Math.sqrt(stiffnessRatio),
      stoneEveryM: values.stoneEveryM ?? field.stoneEveryM ?? 0,
    };
  }

  #checkStart(written: number | undefined, fromM: number, index: number): void {
    if (written === undefined || Math.abs(written - fromM) <= TOLERANCE_M) return;
    const before = index === 0 ? 'the pass starts at 0 m' : `the segment before ends at ${fromM} m`;
    const what = written < fromM ? 'they overlap' : 'there is a gap between them';
    throw this.#errorAt(index, 'fromM', { problem: `fromM is ${written} m, but ${before}: ${what}`, allowed: `${fromM} m, or left out` });
  }

  #checkKeys(written: WrittenSegment, index: number): void {
    const roughness = (['class', 'roughnessCm3'] as const).find((key) => written[key] !== undefined);
    if (roughness !== undefined && !this.#source.isGenerated)
      throw this.#errorAt(index, roughness, { problem: `${roughness} and the profile of the field exclude each other` });
    for (const [one, other] of [
      ['roughnessCm3', 'class'],
      ['moisturePercent', 'hardnessRatio'],
    ] as const)
      if (written[one] !== undefined && written[other] !== undefined)
        throw this.#errorAt(index, one, { problem: `${one} and ${other} exclude each other` });
  }

  #end(written: WrittenSegment, places: Readonly<Record<string, number>>, fromM: number, index: number): number {
    const { segments, passM } = this.#source;
    const [key, second] = ENDS.map(({ name }) => name).filter((name) => written[name] !== undefined);
    if (second !== undefined) throw this.#errorAt(index, second, { problem: `${key} and ${second} exclude each other` });
    if (key === undefined && index === segments.length - 1 && passM > fromM) return passM;
    if (key === undefined) {
      const problem =
        passM > fromM ? `segment ${index + 1} has no end` : `nothing of the pass of ${passM} m is left for segment ${index + 1}`;
      throw this.#errorAt(index, undefined, { problem, hint: 'Only the last segment may leave out toM, lengthM and sharePercent' });
    }
    const { toM = 0, lengthM = 0, sharePercent = 0 } = places;
    const endM = { toM, lengthM: fromM + lengthM, sharePercent: fromM + (sharePercent / 100) * passM }[key];
    if (endM > fromM) return endM;
    throw this.#errorAt(index, key, { allowed: key === 'toM' ? `greater than ${fromM} m, where the segment starts` : 'greater than 0' });
  }

  #wrongEnd(endM: number): InputError {
    const { segments, passM } = this.#source;
    const last = segments.length - 1;
    const key = ENDS.map(({ name }) => name).find((name) => segments[last]?.[name] !== undefined);
    const problem = `the segments end at ${rounded(endM)} m, but the pass is ${rounded(passM)} m long`;
    const hint = 'The drive gives the length of the pass. Leave out the end of the last segment to let it reach there';
    return this.#errorAt(last, key, { problem, hint });
  }
}

const rounded = (metres: number): number => Number(metres.toFixed(3));

/**
 * Returns the segments of a field, from 0 m to the end of the pass, without gaps.
 * @throws InputError where they overlap, have a gap or another length than the pass, or keys that exclude each other
 */
export const readSegments = (source: SegmentSource): Segment[] => new SegmentReader(source).read();
