import { ROAD_CLASSES, type RoadClass } from '../../shared/field.js';

/** JSON Schema of a road class. */
export const CLASS = { description: 'Road class of ISO 8608, which sets roughnessCm3', type: 'string', enum: Object.keys(ROAD_CLASSES) };

/** Returns the roughness of a class, cm³; undefined without a class. */
export const roughnessOf = (name: RoadClass | undefined): number | undefined => (name === undefined ? undefined : ROAD_CLASSES[name]);

/** Returns the class that has exactly this roughness. */
export const classOf = (roughnessCm3: number): RoadClass | undefined =>
  (Object.keys(ROAD_CLASSES) as RoadClass[]).find((name) => ROAD_CLASSES[name] === roughnessCm3);
