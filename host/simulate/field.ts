import { FIELD, type RoadClass } from '../../shared/field.js';
import type { YamlFile } from '../common/yaml-file.js';
import { defaultsOf, quantityProperties, readQuantities } from '../machine/quantities.js';
import { type GroundStep, type PlacedStone, readSteps, readStones, stepsSchema, stonesSchema } from './obstacles.js';
import { type HeightProfile, profileSchema, readProfile, type WrittenProfile } from './profile.js';
import { CLASS, roughnessOf } from './roughness.js';
import { readSegments, type Segment, segmentsSchema, type WrittenSegment } from './segments.js';

/** The field of a scenario, as written. */
export type WrittenField = Readonly<Record<string, unknown>> & {
  readonly class?: RoadClass;
  readonly profile?: WrittenProfile;
  readonly segments?: readonly WrittenSegment[];
  readonly stones?: readonly Readonly<Record<string, unknown>>[];
  readonly steps?: readonly Readonly<Record<string, unknown>>[];
};

/** What changes along the pass. */
export interface FieldLayout {
  /** None: the field is the same everywhere. */
  readonly segments: readonly Segment[];
  readonly stones: readonly PlacedStone[];
  readonly steps: readonly GroundStep[];
}

/** A field as the plant needs it. */
export interface Field {
  /** Every quantity of FIELD by name, in the unit that the name ends with. */
  readonly values: Readonly<Record<string, number>>;
  readonly layout: FieldLayout;
  /** Heights from a file; they replace the generated ones. */
  readonly profile?: HeightProfile;
}

/** JSON Schema of a field. */
export const fieldSchema: object = {
  description: 'The field; what is left out has its default',
  type: 'object',
  additionalProperties: false,
  properties: {
    class: CLASS,
    ...quantityProperties(FIELD),
    profile: profileSchema,
    segments: segmentsSchema,
    stones: stonesSchema,
    steps: stepsSchema,
  },
};

/** Quantities of which the first must be at most the second. */
const ASCENDING = [
  ['soilMinN', 'soilMaxN'],
  ['patchMinM', 'patchMaxM'],
] as const;
/** Keys that only a generated profile may have. */
const GENERATED_ONLY = ['class', 'roughnessCm3', 'waviness', 'commonWaveM'];

/** @throws InputError where two values of the field contradict each other */
function readValues(field: WrittenField, file: YamlFile<unknown>): Record<string, number> {
  const roughnessCm3 = roughnessOf(field.class);
  if (roughnessCm3 !== undefined && 'roughnessCm3' in field) {
    throw file.errorAt(['field', 'roughnessCm3'], { problem: 'roughnessCm3 and class exclude each other' });
  }
  const stray = field.profile === undefined ? undefined : GENERATED_ONLY.find((name) => name in field);
  if (stray !== undefined) throw file.errorAt(['field', stray], { problem: `${stray} and profile exclude each other` });
  const ofClass = roughnessCm3 === undefined ? {} : { roughnessCm3 };
  const values: Record<string, number> = { ...defaultsOf(FIELD), ...ofClass, ...readQuantities(FIELD, field, file, ['field']) };
  for (const [min, max] of ASCENDING) {
    if ((values[min] ?? 0) <= (values[max] ?? 0)) continue;
    const [name, other] = min in field ? [min, max] : [max, min];
    const problem = `${name} is ${values[name]}, but ${other} is ${values[other]}`;
    throw file.errorAt(['field', name], { problem, hint: `${min} must be at most ${max}` });
  }
  return values;
}

/**
 * Reads the field of a scenario.
 * @param passM distance that the scenario drives
 * @throws InputError with line and column in the scenario or its height profile
 */
export function readField(field: WrittenField, file: YamlFile<unknown>, rows: number, passM: number): Field {
  const { profile, segments: written, stones = [], steps = [] } = field;
  const values = readValues(field, file);
  const source = { file, stones, steps, rows, passM };
  const segments =
    written === undefined ? [] : readSegments({ file, segments: written, field: values, passM, isGenerated: profile === undefined });
  return {
    // The profile settles before the pass on what the first segment has.
    values: { ...values, roughnessCm3: segments[0]?.roughnessCm3 ?? values.roughnessCm3 ?? 0 },
    layout: { segments, stones: readStones(source), steps: readSteps(source) },
    ...(profile === undefined ? {} : { profile: readProfile(profile, file, ['field', 'profile'], rows, passM) }),
  };
}
