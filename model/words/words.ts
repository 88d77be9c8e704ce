import type { Basis, Severity } from '../shapes.ts';
import type { Speaker } from './speaker.ts';

/**
 * Everything that the program says to people, in one language. A function turns figures into words with
 * the help of a Speaker, so that grammar stays here and units do not.
 */
export interface Words {
  /** BCP 47 language of these words. */
  language: string;
  frame: FrameWords;
  time: TimeWords;
  states: StateWords;
  alerts: AlertWords;
  days: DayWords;
  facts: FactWords;
  evening: EveningWords;
  chart: ChartWords;
  points: PointWords;
  connect: ConnectWords;
  place: PlaceWords;
  pairing: PairingWords;
  units: UnitWords;
}

export interface Told {
  sentence: string;
  detail: string;
}

/** A temperature with its age [ms] where that must be said. */
export interface Aged {
  celsius: number;
  ageMs: number | null;
}

/** Energy of a day as far as it is known. */
export interface Gain {
  kwh: number | null;
  basis: Basis;
}

export interface FrameWords {
  program: string;
  today: string;
  alerts: string;
  months: string;
  traces: string;
  more: string;
  tubs: string;
  tubsDetail: string;
  listening: string;
  loading: string;
  demo: string;
  unreachable: Told;
  notFound: Told;
  /** A part of the page itself could not be had. */
  partMissing: Told;
  toToday: string;
  mainNavigation: string;
  heard(ageMs: number): string;
  heardNever: string;
  notLive(since: string): string;
  workingOut: string;
}

export interface TimeWords {
  /** `8 s`, `4 h 30 min` */
  duration(ms: number): string;
  ago(ms: number): string;
}

export interface StateWords {
  danger(
    told: { tub: Aged | null; says: string | null; since: string | null; first: string | null },
    say: Speaker,
  ): Told;
  noReading: Told;
  silent(told: { since: string | null }): Told;
  noSetup(told: { missing: string[] }): Told;
  drained(told: { since: string }): Told;
  heating(
    told: { powerW: number; estimated: boolean; tubKPerH: number | null },
    say: Speaker,
  ): Told;
  runningWithoutHeat(
    told: { powerW: number; forMs: number | null; usual: boolean; dark: boolean },
    say: Speaker,
  ): Told;
  pumpRunning(told: { powerKnown: boolean; forMs: number | null }): Told;
  warmEnough(
    told: { tub: Aged | null; limitC: number | null; resting: boolean },
    say: Speaker,
  ): Told;
  night(
    told: {
      today: boolean;
      gain: Gain;
      tub: Aged | null;
      tubKPerH: number | null;
      usualKPerH: number | null;
    },
    say: Speaker,
  ): Told;
  waiting(told: { collector: Aged; tub: Aged; switchOnK: number }, say: Speaker): Told;
  idle(
    told: {
      pumpOn: boolean | null;
      hot: boolean;
      collector: Aged | null;
      tub: Aged | null;
    },
    say: Speaker,
  ): Told;
  /** Said in front of another state while nobody should get in. */
  tooHot(told: { tub: Aged; besides: Told }, say: Speaker): Told;
  /** The phone itself has lost the service. */
  notLive(told: { since: string }): Told;
}

export interface AlertWords {
  severity: Record<Severity, string>;
  since(since: string): string;
  cost(kwh: number, say: Speaker): string;
  unknownSince(since: string): string;
  caution: string;
  whatToCheck: string;
}

export interface DayWords {
  past(told: { date: string; yesterday: boolean; gain: Gain }, say: Speaker): string;
  pastDetail(
    told: { date: string | null; pumpMs: number | null; litres: number | null },
    say: Speaker,
  ): string;
  nothingHeard(date: string): Told;
  notYet(date: string): Told;
  before: string;
  after: string;
  yesterday: string;
  steps: string;
}

export interface EveningWords {
  /** `Tonight at 20:00` */
  label(clock: string, when: 'today' | 'tonight' | 'tomorrow'): string;
  /** Before it is known which hour that is. */
  thisEvening: string;
  /** `37.0 to 38.5 °C` */
  range(lowC: number, highC: number, say: Speaker): string;
  /** Where the sky of just now tells of it. */
  ifSkyStays: string;
  asUsual: string;
  foretold(ageMs: number): string;
  /** The start at the latest; null: at once. */
  backup(
    told: { start: string | null; targetC: number; kwh: number; money: string | null },
    say: Speaker,
  ): string;
  cheaper(told: { start: string | null; money: string }): string;
  /** A start on the day before the evening's. */
  dayBefore(clock: string): string;
  warmEnough: string;
  notInTime(targetC: number, say: Speaker): string;
  noBackup(targetC: number, say: Speaker): string;
  mayBeTooHot(say: Speaker): string;
  unknown: string;
  failed: string;
  tooOld(since: string): string;
  missing: Record<'no-place' | 'not-heard', string>;
}

export interface FactWords {
  sunToday: string;
  sunThatDay: string;
  basis: Record<NonNullable<Basis>, string>;
  between(range: [string, string]): string;
  sunNotKnown: string;
  sunUnknown: string;
  /** null where all that measures is heard. */
  howToMeasure(heard: { flow: boolean; pair: boolean }): string | null;
  lost(kwh: number, say: Speaker): string;
  coverage(share: number, over: boolean, say: Speaker): string;
  money(sum: number, currency: string, over: boolean, say: Speaker): string;
  notCounted(told: { from: string; to: string; why: string }): string;
  waterNow: string;
  waterThatDay: string;
  belowLimit(say: Speaker): string;
  aboveLimit(say: Speaker): string;
  measured(ageMs: number): string;
  late(ageMs: number): string;
  unknown: string;
  unknownSince(since: string): string;
  unknownTime(tubC: number, say: Speaker): string;
  noTubSensor: string;
  waterNotHeard: string;
  tooHot: string;
  fromTo(lowC: number, highC: number, say: Speaker): string;
  lowestHighest: string;
}

/** A span of the day as two clock times. */
export type Clocks = [from: string, to: string];

export interface ChartWords {
  title: string;
  heat: string;
  lost: string;
  water: string;
  wanted(targetC: number, say: Speaker): string;
  night: string;
  expected(clock: string): string;
  estimated: string;
  waterNow: string;
  heatFrom(told: { span: Clocks; peakW: number; peakAt: string }, say: Speaker): string;
  noHeat: string;
  lostSum(kwh: number, say: Speaker): string;
  waterWent(told: { fromC: number; toC: number }, say: Speaker): string;
  noWater: string;
  gaps(spans: Clocks[]): string;
  expects(told: { clock: string; lowC: number; highC: number }, say: Speaker): string;
  loading: string;
  failed: string;
  table: string;
  hour: string;
  heatColumn: string;
  lostColumn: string;
  waterColumn(say: Speaker): string;
  notHeard: string;
  expectedRow(clock: string): string;
  /** Before an estimated figure in a table. */
  about(figure: string): string;
}

export interface PointWords {
  name(point: string): string;
  value(point: string, value: number, say: Speaker): string;
  /** What the owner has to say before heat can be worked out: a path of the set-up. */
  missing(path: string): string;
}

export interface ConnectWords {
  broker: string;
  address(host: string, port: number): string;
  tls(port: number): string;
  userAndPassword: string;
  hidden: string;
  show: string;
  hide: string;
  topics: string;
  tub: string;
  oneOrZero: string;
  tubNameHint: string;
  ownTopics: string;
  listen: string;
  laptop: string;
  laptopHint: string;
  userPlace: string;
  passwordPlace: string;
  outside: string;
  outsideDetail: string;
  viewer: string;
  refused(told: { address: string; user: string; why: string; ageMs: number }): string;
  refusedTitle: string;
  failed: string;
}

export interface PlaceWords {
  heardTitle: string;
  missingTitle: string;
  unknownTime: string;
  title: string;
  why: string;
  useLocation: string;
  locating: string;
  locationRefused: string;
  save: string;
  saving: string;
  viewer: string;
}

export interface PairingWords {
  pairing: Told;
  expired: Told;
  tooMany: Told;
  /** The link may still be good. */
  refused(why: string): Told;
  failed: Told;
  notPaired: Told;
  how: string;
  where: string;
  once: string;
}

export interface UnitWords {
  title: string;
  temperature: string;
  celsius: string;
  fahrenheit: string;
  volume: string;
  litres: string;
  gallons: string;
  clock: string;
  hours24: string;
  hours12: string;
}
