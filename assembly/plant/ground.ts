import { Moment, Rates, RowMade, Track } from './generated/records';
import { heightOf, lugHeight, lugSlope, slopeOf, soilOf, stoneHeight, stoneSlope } from './moment';

/** Puts what a row meets at a moment into the rates: ground, soil and frame. */
export function meetGround(r: Rates, t: Track, made: RowMade, m: Moment): void {
  r.groundM = heightOf(t, m) + lugHeight(made, m) + stoneHeight(t, m);
  r.groundMps = (slopeOf(t, m) + lugSlope(made, m) + stoneSlope(t, m)) * m.speedMps;
  r.soilN = soilOf(t, m);
  r.groundSpeedMps = m.speedMps;
  r.frameM = m.frameM;
  r.frameMps = m.frameMps;
}
