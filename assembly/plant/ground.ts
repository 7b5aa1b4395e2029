import { Rates, RowProperties, Stage, Track } from './generated/records';
import { heightOf, lugHeight, lugSlope, slopeOf, soilOf } from './stage';

/** Writes ground, soil and frame at a stage into the rates. */
export function groundUnderRow(r: Rates, t: Track, properties: RowProperties, s: Stage): void {
  r.groundM = heightOf(t, s) + lugHeight(properties, s);
  r.groundMps = (slopeOf(t, s) + lugSlope(properties, s)) * s.speedMps;
  r.soilN = soilOf(t, s);
  r.groundSpeedMps = s.speedMps;
  r.frameM = s.frameM + properties.liftRatio * s.liftM;
  r.frameMps = s.frameMps + properties.liftRatio * s.liftMps;
}
