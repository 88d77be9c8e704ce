/** How far a quantity may be from its reference, and why just that far. */
export interface Tolerance {
  limit: number;
  /** The unit of the limit; `relative` compares by quotient. */
  unit: string;
  /** For an angle: the full turn. */
  wraps?: number;
  reason: string;
}

export const tolerances: Readonly<Record<string, Tolerance>> = {
  'IF97 verification': {
    limit: 5e-9,
    unit: 'relative',
    reason: 'the release prints nine digits',
  },
  'density against the IF97 table': {
    limit: 1e-8,
    unit: 'relative',
    reason: 'the table is printed with nine digits',
  },
  'heat capacity against the IF97 table': {
    limit: 1.3e-8,
    unit: 'relative',
    reason: 'the table is printed with seven decimals: half of the last is 1.2e-8',
  },
  'enthalpy against the IF97 table': {
    limit: 1e-5,
    unit: 'kJ/kg',
    reason: 'enthalpy passes zero near 0 °C, where a quotient says nothing',
  },
  'density against IAPWS-95': {
    limit: 3e-5,
    unit: 'relative',
    reason: 'another equation of state; the two formulations differ by up to 1.5e-5 here',
  },
  'heat capacity against IAPWS-95': {
    limit: 1e-3,
    unit: 'relative',
    reason: 'another equation of state; the two formulations differ by up to 5.2e-4 near 60 °C',
  },
  'enthalpy against IAPWS-95': {
    limit: 0.12,
    unit: 'kJ/kg',
    reason: 'another equation of state; the two formulations differ by up to 0.071 kJ/kg here',
  },
  'density against handbooks': {
    limit: 0.06,
    unit: 'kg/m³',
    reason: 'handbooks round to a tenth',
  },
  'density against Kell': {
    limit: 0.03,
    unit: 'kg/m³',
    reason: 'Kell fitted measurements on the temperature scale of 1968',
  },
  'interpolated enthalpy': {
    limit: 1e-8,
    unit: 'relative',
    reason: 'cubic pieces of a quarter kelvin; a thousandth of what IF97 and IAPWS-95 differ by',
  },
  'interpolated density': {
    limit: 1e-8,
    unit: 'relative',
    reason: 'cubic pieces of a quarter kelvin; a thousandth of what IF97 and IAPWS-95 differ by',
  },
  'saturation there and back': {
    limit: 1e-6,
    unit: 'K',
    reason: 'Eq. 30 and 31 solve one equation, so that only rounding is left',
  },
  'standard pressure': {
    limit: 5e-5,
    unit: 'relative',
    reason: 'the reference rounds the constants of the same formula otherwise',
  },
  'heat coefficient': {
    limit: 1e-6,
    unit: 'relative',
    reason: 'the reference is printed with seven digits',
  },
  'heat coefficient against IAPWS-95': {
    limit: 5e-4,
    unit: 'relative',
    reason: 'another equation of state',
  },
  'heat by volume': {
    limit: 1e-6,
    unit: 'relative',
    reason: 'the reference is printed with seven digits',
  },
  'a month of the real meter': {
    limit: 4e-3,
    unit: 'relative',
    reason:
      'its registers step by whole kWh and m³·°C, interpolated onto the hour: 1 in 148 in July',
  },
  'a year of the real meter': {
    limit: 1e-3,
    unit: 'relative',
    reason: 'register steps average out; what is left is how the meter itself works k out',
  },
  'standard uncertainty of a limit': {
    limit: 1e-8,
    unit: 'relative',
    reason: 'arithmetic, printed with nine digits',
  },
  'tolerance of a thermometer': {
    limit: 1e-9,
    unit: 'K',
    reason: 'arithmetic, exact in decimals',
  },
  'uncertainty of a difference': {
    limit: 1e-6,
    unit: 'relative',
    reason: 'first order of the GUM, printed with seven digits or more',
  },
  'uncertainty of heat': {
    limit: 1e-6,
    unit: 'relative',
    reason: 'first order of the GUM; the term left out is worth 0.1 % of the uncertainty itself',
  },
  'uncertainty of a sum': {
    limit: 1e-6,
    unit: 'relative',
    reason: 'arithmetic, printed with eight digits',
  },
  'error limit of a heat meter': {
    limit: 1e-9,
    unit: '%',
    reason: 'formulas of a standard, exact in decimals',
  },
  'conversion of a unit': {
    limit: 1e-12,
    unit: 'relative',
    reason: 'exact factors, so that only rounding is left',
  },
  'temperature in another unit': {
    limit: 1e-9,
    unit: 'K',
    reason: 'exact, printed with twelve digits',
  },
  'flow in another unit': {
    limit: 1e-9,
    unit: 'relative',
    reason: 'exact factors, printed with up to twelve digits',
  },
  Haurwitz: {
    limit: 1e-6,
    unit: 'W/m²',
    reason: 'the same formula; the reference has more digits than this',
  },
  'Ineichen-Perez': {
    limit: 1e-4,
    unit: 'W/m²',
    reason: 'the published inputs carry eight digits',
  },
  'air mass, printed to 0.001': {
    limit: 1e-3,
    unit: '1',
    reason: 'the reference is rounded to it',
  },
  'air mass': {
    limit: 1e-5,
    unit: '1',
    reason: 'the reference is printed with seven digits',
  },
  extraterrestrial: {
    limit: 1e-3,
    unit: 'W/m²',
    reason: 'the reference is printed with four decimals',
  },
  'extraterrestrial of the workbook': {
    limit: 1e-5,
    unit: 'W/m²',
    reason: 'the workbook prints nine digits of the same series',
  },
  'Erbs irradiance': {
    limit: 0.5,
    unit: 'W/m²',
    reason:
      'published for comparison in whole watts; the sun’s distance is another series on one day',
  },
  'clear sky against Bird': {
    limit: 0.06,
    unit: 'relative',
    reason: 'another model, its haze turned into ours by a fit; the two know a clear sky to 5 %',
  },
  'clear sky against Bird, low sun': {
    limit: 0.16,
    unit: 'relative',
    reason: 'below 11° of elevation models part; a loop gets next to nothing from such a sun',
  },
  'diffuse light against Bird': {
    limit: 0.4,
    unit: 'relative',
    reason: 'the part on which models differ most: 14 W/m² to 35 W/m² here, of clean mountain air',
  },
  'clear sky against simplified Solis': {
    limit: 0.06,
    unit: 'relative',
    reason: 'another model, its haze turned into ours by a fit; the two know a clear sky to 5 %',
  },
  'clearness index': {
    limit: 1e-3,
    unit: '1',
    reason: 'published for comparison to it',
  },
  'Erbs diffuse fraction': {
    limit: 1e-7,
    unit: '1',
    reason: 'the same polynomial, printed with nine digits',
  },
  'angle of incidence in the laboratory': {
    limit: 0.01,
    unit: '°',
    reason: 'the laboratory’s own geometry from the same sun; it agrees within 0.001°',
  },
  'isotropic sky': {
    limit: 1e-9,
    unit: 'W/m²',
    reason: 'the same formula, printed in full',
  },
  'ground-reflected light': {
    limit: 1e-6,
    unit: 'W/m²',
    reason: 'the published value is itself rounded somewhere on its way',
  },
  'published transposition': {
    limit: 2e-3,
    unit: 'W/m² or °',
    reason: 'the published parts are printed with four decimals, from inputs with eight digits',
  },
  'sky light by other models': {
    limit: 25,
    unit: 'W/m²',
    reason:
      'of 1050 W/m² in the plane; furthest from Klucher, who brightens the horizon, at a low sun',
  },
  'worked transposition': {
    limit: 1e-4,
    unit: 'W/m² or °',
    reason: 'the same formulas in another library, printed with eight digits',
  },
  'step towards the sun': {
    limit: 2e-4,
    unit: '°',
    reason: 'the series are cut at 0.2″ a term, nutation at 0.4″ in all: 0.0001°',
  },
  'distance of the sun': {
    limit: 1e-4,
    unit: 'au',
    reason: 'four terms; it only scales aberration and parallax',
  },
  'sun position': {
    limit: 1e-3,
    unit: '°',
    reason: 'the libraries differ by 0.0005° among themselves, and our series are cut',
  },
  refraction: {
    limit: 1e-5,
    unit: '°',
    reason: 'one formula, printed with six decimals',
  },
  'zenith over Golden': {
    limit: 5e-3,
    unit: '°',
    reason: 'the source does not say its height, ΔT and refraction',
  },
  'sun position to 2100': {
    limit: 3e-3,
    unit: '°',
    reason: 'ours runs on a constant ΔT, theirs on one that grows to 200 s by 2100: 0.0015°',
  },
  'sunrise and sunset': {
    limit: 2,
    unit: 's',
    reason: 'printed in whole seconds; the sun takes a quarter of a second for 0.001°',
  },
  'sunrise and sunset in far latitudes': {
    limit: 3,
    unit: 's',
    reason: 'printed in whole seconds; near the horizon the sun moves along it there',
  },
  noon: {
    limit: 2,
    unit: 's',
    reason: 'printed in whole seconds',
  },
  'highest point': {
    limit: 60,
    unit: 's',
    reason: 'ours is the meridian, theirs the greatest height: a minute apart at 78° in April',
  },
  'height of noon': {
    limit: 1e-3,
    unit: '°',
    reason: 'printed in thousandths of a degree',
  },
  'sunrise against an ephemeris': {
    limit: 5,
    unit: 's',
    reason: 'theirs takes the true half-diameter of the day, ours 16′ all year: 0.27′',
  },
  'collector efficiency': {
    limit: 1e-9,
    unit: '1 or kW/m²',
    reason: 'the same equation, printed with nine digits',
  },
  'collector power': {
    limit: 1e-6,
    unit: 'relative',
    reason: 'the reference is printed with eight or nine digits',
  },
  stagnation: {
    limit: 1e-4,
    unit: 'K',
    reason: 'the reference is printed to a hundred-thousandth of a kelvin',
  },
  'collectors in series': {
    limit: 1e-7,
    unit: 'relative',
    reason: 'the reference is printed with nine digits',
  },
  'mean to inlet temperature': {
    limit: 1e-8,
    unit: 'relative',
    reason: 'the reference is printed with nine digits',
  },
  'incidence-angle modifier': {
    limit: 1e-8,
    unit: '1',
    reason: 'the reference is printed with nine digits',
  },
  'modifier between a table’s angles': {
    limit: 6e-3,
    unit: '1',
    reason: 'a straight line between 30 and 50° cuts the corner of the curve by 5e-3 at 45°',
  },
  'insulated pipe': {
    limit: 1e-7,
    unit: 'relative',
    reason: 'the reference is printed with nine digits',
  },
  'temperature drop along a pipe': {
    limit: 1e-7,
    unit: 'relative',
    reason: 'the reference is printed with nine digits',
  },
  'a front through a pipe': {
    limit: 0.02,
    unit: 'relative',
    reason: 'the bench’s pipe length is approximate; its temperatures are rounded to 0.1 K',
  },
  'heat to warm water': {
    limit: 1e-6,
    unit: 'relative',
    reason: 'the same equation of state, printed with seven digits',
  },
  'heat to warm water against IAPWS-95': {
    limit: 1e-3,
    unit: 'relative',
    reason: 'another equation of state',
  },
  'heat capacity of a tub': {
    limit: 1e-4,
    unit: 'relative',
    reason: 'capacity at the start against the mean over one kelvin',
  },
  'Newton cooling': {
    limit: 1e-6,
    unit: 'relative',
    reason: 'the reference is printed with nine digits',
  },
  'heating time': {
    limit: 1e-7,
    unit: 'relative',
    reason: 'the reference is printed with nine digits',
  },
  'vapour pressure': {
    limit: 1e-6,
    unit: 'relative',
    reason: 'the same formulas, printed with seven digits',
  },
  'vapour pressure between formulas': {
    limit: 3.5e-3,
    unit: 'relative',
    reason: 'Magnus is a fit with three constants; it and IAPWS differ by 3.1e-3 at 30 °C',
  },
  'latent heat': {
    limit: 0.2,
    unit: 'kJ/kg',
    reason: 'a straight line stands for a curve that bends by this much from 10 to 40 °C',
  },
  'dew point': {
    limit: 1e-4,
    unit: 'K',
    reason: 'the same formula, printed with six digits',
  },
  'dew point against Hyland-Wexler': {
    limit: 0.15,
    unit: 'K',
    reason: 'below 0 °C the library gives the frost point over ice, 0.12 K higher at −1 °C',
  },
  'evaporation constants': {
    limit: 7e-3,
    unit: 'relative',
    reason: 'the SI constants were rounded when they were converted from in. Hg, ft/min and Btu',
  },
  evaporation: {
    limit: 2e-3,
    unit: 'relative',
    reason: 'printed with six digits, with Magnus below 0 °C',
  },
  'Bowen ratio': {
    limit: 1e-5,
    unit: 'relative',
    reason: 'the reference is printed with six digits',
  },
  convection: {
    limit: 1e-9,
    unit: 'relative',
    reason: 'the same product',
  },
  'long-wave radiation': {
    limit: 1e-7,
    unit: 'relative',
    reason: 'the reference is printed with eight or nine digits',
  },
  'loss coefficient of a cooling curve': {
    limit: 1e-7,
    unit: 'relative',
    reason: 'the reference is printed with nine digits; its readings are exact',
  },
  'cost of a day': {
    limit: 1e-9,
    unit: 'h, kWh or money',
    reason: 'sums of whole hours',
  },
  'hours of a period': {
    limit: 1e-9,
    unit: 'h or number of the period',
    reason: 'sums of whole hours',
  },
  'displaced fuel': {
    limit: 1e-9,
    unit: 'relative',
    reason: 'the reference is printed with twelve digits',
  },
  'displaced gas': {
    limit: 1e-8,
    unit: 'relative',
    reason: 'the reference is printed with nine digits',
  },
};
