/** What keeps instruments from telling the truth, each to be had alone or left out. */
export const allFlaws = [
  'offset', // thermometers and the irradiance sensor read off within their class
  'noise',
  'step', // readings are rounded to what the sensor resolves
  'lag',
  'mounting', // a strapped sensor feels some of the air
  'gain', // the flow meter reads off within its class
  'start', // it stands still below some flow
  'counting', // pulses, coarse counters, rates that are means over the last interval
  'states', // some switches are told at the next round only
  'outages', // gaps, restarts, dropouts, late and repeated rows, clocks
] as const;

export type Flaw = (typeof allFlaws)[number];
export type Flaws = ReadonlySet<Flaw>;
