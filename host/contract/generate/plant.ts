import { PROFILE_STEP_M, ROAD_REFERENCE_PER_M } from '../../../shared/field.js';
import { PREVIEW_S } from '../../../shared/limits.js';
import { ATMOSPHERE_KPA, GRAVITY_MPS2, ZERO_C_K } from '../../../shared/physics.js';
import { PLANT_ENUMS, RING, SECTIONS, SOIL_LEAD, SOIL_POINTS, WINDOW } from '../../../shared/plant.js';
import { type PlantPlace, plantLayout } from '../plant-layout.js';
import { capitalized, NOTE, recordClass } from './assemblyscript.js';

function accessor({ name, record, each, at }: PlantPlace): string {
  if (each === 'bank') return `export function ${name}(): ${record.name} {\n  return changetype<${record.name}>(${at});\n}`;
  const step = `<usize>index * ${record.size}`;
  return `export function ${name}(index: i32): ${record.name} {\n  return changetype<${record.name}>(<usize>${at} + ${step});\n}`;
}

/** Returns the AssemblyScript source of the plant's records. */
export function writePlant(): string {
  const enums = Object.entries(PLANT_ENUMS).map(([name, values]) => {
    const constants = values.map((value, index) => `  export const ${capitalized(value)}: f64 = ${index};`);
    return `export namespace ${name} {\n${constants.join('\n')}\n}`;
  });
  return `${[
    NOTE,
    `/** Standard atmosphere, Pa (ISO 2533:1975). */\nexport const ATMOSPHERE_PA: f64 = ${1000 * ATMOSPHERE_KPA};\n/** 0 °C, K. */\nexport const ZERO_C_K: f64 = ${ZERO_C_K};\n/** Standard gravity, m/s² (ISO 80000-3). */\nexport const GRAVITY_MPS2: f64 = ${GRAVITY_MPS2};`,
    `/** Points of a track that the interpolation uses. */\nexport const RING: i32 = ${RING};\n/** First-order sections of the waviness filter. */\nexport const SECTIONS: i32 = ${SECTIONS};\n/** Profile points under the largest gauge wheel. */\nexport const WINDOW: i32 = ${WINDOW};`,
    `/** Points of a track's soil that are kept. */\nexport const SOIL_POINTS: i32 = ${SOIL_POINTS};\n/** Points by which the soil is known ahead of the height. */\nexport const SOIL_LEAD: i64 = ${SOIL_LEAD};\n/** Time by which a preview is ahead of the row, s. */\nexport const PREVIEW_S: f64 = ${PREVIEW_S};`,
    `/** Distance between profile points, m. */\nexport const PROFILE_STEP_M: f64 = ${PROFILE_STEP_M};`,
    `/** Reference spatial frequency of ISO 8608, cycles/m. */\nexport const ROAD_REFERENCE_PER_M: f64 = ${ROAD_REFERENCE_PER_M};`,
    `/** Address of a height profile from a file. */\nexport const PROFILE_AT: usize = ${plantLayout().end};`,
    ...enums,
    ...plantLayout().records.map(recordClass),
    ...plantLayout().places.map(accessor),
  ].join('\n\n')}\n`;
}
