/**
 * Air pressure of the standard atmosphere at a height.
 *
 * @param elevationM  height above sea level [m]
 * @returns pressure [hPa], 1013.25 at sea level, 1008.5 at 40 m; the weather moves it by about ±3 %
 *
 * Valid for: −450…11 000 m. Source: ISO 2533 (the ICAO standard atmosphere), troposphere.
 * Checked by: test/physics/atmosphere.test.ts.
 */
export function standardPressureHPa(elevationM: number): number {
  return 1013.25 * (1 - 2.25577e-5 * elevationM) ** 5.25588;
}
