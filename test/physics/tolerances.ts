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
};
