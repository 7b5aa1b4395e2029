import { frameHeight, frameSpeed } from './frame';
import { Rates, rowProperties, Stage, track, wheelPath } from './generated/records';
import { heightOf, lugHeight, lugSlope, slopeOf, soilOf } from './stage';

/** Writes ground, soil and frame at a stage into the rates. */
export function groundUnderRow(r: Rates, row: i32, s: Stage): void {
  const path = wheelPath(row + 1);
  const properties = rowProperties(row);
  r.groundM = heightOf(path, s) + lugHeight(properties, s);
  r.groundMps = (slopeOf(path, s) + lugSlope(properties, s)) * s.speedMps;
  r.soilN = soilOf(track(row + 1), s);
  r.groundSpeedMps = s.speedMps;
  r.stiffnessRatio = s.stiffnessRatio;
  r.dampingRatio = s.dampingRatio;
  r.frameM = frameHeight(properties, s);
  r.frameMps = frameSpeed(properties, s);
}
