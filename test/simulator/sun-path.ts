/** Where the sun stands, and how much of its light is there before the air takes some. */
export interface SunPlace {
  /** Sine of the elevation. */
  sin: number;
  azimuthDeg: number; // clockwise from north
  /** Light at the edge of the air, square to the sun [W/m²]. */
  spaceWm2: number;
}

const DAY = 86_400_000; // ms
const rad = Math.PI / 180;

/**
 * Where the sun stands, by Spencer's Fourier series of 1971 for declination, equation of time and
 * distance: within half a degree, which no cloud or tree of these worlds would notice.
 */
export function sunPlace(t: number, latitude: number, longitude: number): SunPlace {
  const start = Date.UTC(new Date(t).getUTCFullYear(), 0, 1);
  const b = (2 * Math.PI * (t - start)) / DAY / 365.2422;
  const [cos1, sin1, cos2, sin2] = [Math.cos(b), Math.sin(b), Math.cos(2 * b), Math.sin(2 * b)];
  const declination =
    0.006918 -
    0.399912 * cos1 +
    0.070257 * sin1 -
    0.006758 * cos2 +
    0.000907 * sin2 -
    0.002697 * Math.cos(3 * b) +
    0.00148 * Math.sin(3 * b);
  const aheadMin =
    229.18 * (0.000075 + 0.001868 * cos1 - 0.032077 * sin1 - 0.014615 * cos2 - 0.040849 * sin2);
  const utcMin = (t % DAY) / 60_000;
  const hour = ((utcMin + aheadMin) / 4 + longitude - 180) * rad; // 0 at solar noon
  const [sinLat, cosLat] = [Math.sin(latitude * rad), Math.cos(latitude * rad)];
  const [sinDec, cosDec] = [Math.sin(declination), Math.cos(declination)];
  const sin = sinLat * sinDec + cosLat * cosDec * Math.cos(hour);
  const azimuth = Math.atan2(
    Math.sin(hour) * cosDec,
    Math.cos(hour) * sinLat * cosDec - sinDec * cosLat,
  );
  const spaceWm2 =
    1361 * (1.00011 + 0.034221 * cos1 + 0.00128 * sin1 + 0.000719 * cos2 + 0.000077 * sin2);
  return { sin, azimuthDeg: azimuth / rad + 180, spaceWm2 };
}
