import { z } from 'zod';

/**
 * The shapes that cross the wire to the phone and to scripts. Times are ISO 8601 UTC, dates local to
 * the tub, energies kWh, power W, temperatures °C, flow l/min, differences K. Unknown is null, never 0.
 */

const kwh = z.number().nullable();
const instant = z.iso.datetime();

export const basisSchema = z.enum(['measured', 'estimated', 'mixed']).nullable();

export const notCountedSchema = z.object({ from: instant, to: instant, why: z.string() });

/** What a day and a month have in common. */
const sums = {
  gainKwh: kwh,
  lostKwh: kwh,
  uncertaintyKwh: kwh.describe('standard uncertainty of gain − lost'),
  measuredKwh: kwh.describe('how much of gain was measured'),
  basis: basisSchema,
  coverage: z.number().min(0).max(1),
  usefulKwh: kwh,
  usefulUncertaintyKwh: kwh,
  pumpKwh: kwh,
  pumpHours: z.number().nullable(),
  litres: z.number().nullable(),
  savedKwh: kwh,
  savedUncertaintyKwh: kwh,
  savedMoney: z.number().nullable(),
  currency: z.string().nullable(),
  savedCo2Kg: z.number().nullable(),
  expectedKwh: kwh,
  sunKwhPerM2: z.number().nullable(),
  tubLowC: z.number().nullable(),
  tubHighC: z.number().nullable(),
  notCounted: z.array(notCountedSchema),
};

export const daySchema = z.object({ date: z.iso.date(), ...sums });

export const monthSchema = z.object({
  month: z.string().regex(/^\d{4}-\d{2}$/),
  ...sums,
  days: z.int().min(0).describe('how many days had data'),
});

export const quarterSchema = z.object({
  from: instant,
  gainKwh: kwh,
  lostKwh: kwh,
  basis: basisSchema,
  coverage: z.number().min(0).max(1),
  tubC: z.number().nullable(),
  litres: z.number().nullable(),
});

export const spanSchema = z.object({ from: instant, to: instant });

export const dayWithQuartersSchema = daySchema.extend({
  /** Where the local day begins and ends; it can have 23 to 25 hours. */
  from: instant,
  to: instant,
  /** Spans of the day with the sun below the horizon: none in a polar summer, one in a polar winter. */
  nights: z.array(spanSchema),
  /** Wanted temperature in force that day. */
  targetC: z.number().nullable(),
  quarters: z.array(quarterSchema),
});

export const severitySchema = z.enum(['danger', 'act', 'look', 'note']);

export const alertSchema = z.object({
  id: z.string(),
  tub: z.string(),
  fault: z.string(),
  severity: severitySchema,
  point: z.string().optional(),
  points: z
    .array(z.string())
    .optional()
    .describe('what its rule looks at, where that is more than one point'),
  since: instant,
  raisedAt: instant,
  until: instant.nullable(),
  unknownSince: instant.nullable(),
  acknowledgedAt: instant.nullable(),
  shelvedUntil: instant.nullable(),
  costKwh: kwh,
  says: z.string(),
  shows: z.string().describe('the figures that raised it, in one sentence'),
  evidence: z.record(z.string(), z.union([z.number(), z.string(), z.boolean(), z.null()])),
  checks: z.array(z.string()),
  caution: z.string().optional(),
});

/** What the loop does just now, in the order in which the first that fits is said. */
export const stateSchema = z.enum([
  'danger',
  'no-reading',
  'silent',
  'no-setup',
  'drained',
  'heating',
  'running-without-heat',
  'pump-running',
  'warm-enough',
  'night',
  'waiting',
  'idle',
]);

export const valueSchema = z.object({
  value: z.number(),
  /** null: the broker kept it from an unknown earlier time. */
  time: instant.nullable(),
  /** Usual time between two readings of the point [s]; null before that is known. */
  everyS: z.number().nullable(),
  /** How old the value may grow before it no longer stands for the present [min]. */
  longestGapMin: z.number(),
});

/** Figures beside the state, so that a phone can say the sentence in its own units and language. */
export const figuresSchema = z.object({
  /** The tub's own time zone, in which people are told hours and dates; null before it has a place. */
  timeZone: z.string().nullable(),
  /** When the newest reading of the tub was so. */
  heardAt: instant.nullable(),
  /** What the present power rests on; null where there is none. */
  powerBasis: z.enum(['measured', 'estimated']).nullable(),
  /** Change of the tub's temperature over the last hour [K/h]. */
  tubKPerH: z.number().nullable(),
  tubC: z.number().nullable(),
  collectorC: z.number().nullable(),
  pumpOn: z.boolean().nullable(),
  pumpChangedAt: instant.nullable(),
  /** The loop has not settled since the pump changed; null: judged by the pump's change alone. */
  settling: z.boolean().nullable(),
  /** The controller rests on purpose, the tub being full; null: judged by the temperature alone. */
  limitPause: z.boolean().nullable(),
  targetC: z.number().nullable(),
  limitC: z.number().nullable(),
  switchOnK: z.number().nullable(),
  /** Elevation of the sun's centre [°]; null before the tub has a place. */
  sunDeg: z.number().nullable(),
  /** Of the present local day; null where the sun does not rise or set that day. */
  sunrise: instant.nullable(),
  sunset: instant.nullable(),
  /** Change of the tub's temperature in a usual night [K/h]. */
  usualNightKPerH: z.number().nullable(),
  /** The day before, which is still what counts between midnight and sunrise. */
  yesterday: z.object({ gainKwh: kwh, basis: basisSchema }).nullable(),
  drainedSince: instant.nullable(),
  /** What the owner still has to say before heat can be worked out, as paths of the set-up. */
  missing: z.array(z.string()),
  /** Past days are being worked out again just now. */
  workingOut: z.boolean(),
});

export const nowSchema = z.object({
  at: instant,
  values: z.record(z.string(), valueSchema),
  powerW: z.number().nullable(),
  day: daySchema.nullable(),
  state: stateSchema,
  sentence: z.string(),
  detail: z.string().describe('the second line'),
  figures: figuresSchema,
  alerts: z.array(alertSchema),
});

export const learnedValueSchema = z.object({
  value: z.number(),
  uncertainty: z.number().describe('standard uncertainty'),
  from: instant.nullable().describe('since when it has been as it is'),
  basis: z.enum(['learned', 'set-up', 'assumed']),
  readingsFrom: instant.nullable(),
  readingsTo: instant.nullable(),
});

export const learnedSchema = z.record(z.string(), learnedValueSchema);

const backupStartSchema = z.object({
  start: instant,
  kwh: z.number().describe('in the backup’s own fuel'),
  money: z.number().nullable(),
});

/** Why no start of the backup is told: the first two where nothing can be foreseen at all. */
const whyNotSchema = z.enum(['no-place', 'not-heard', 'no-backup', 'warm-enough', 'not-in-time']);

export const eveningSchema = z.object({
  at: instant.nullable(),
  lowC: z.number().nullable().describe('with highC a band that holds 8 evenings in 10'),
  highC: z.number().nullable(),
  targetC: z.number().nullable().describe('the wanted temperature'),
  bySky: z.boolean().describe('the sky of just now tells of it: else it rests on usual days'),
  backup: z
    .object({ latest: backupStartSchema, cheapest: backupStartSchema })
    .nullable()
    .describe('starts of the backup that still reach the wanted temperature'),
  why: whyNotSchema.nullable().describe('why no start is told; null where one is'),
  currency: z.string().nullable(),
  says: z.string(),
});

/** A look ahead to an evening as it would have been told. */
export const toldEveningSchema = z.object({
  toldAt: instant,
  at: instant,
  lowC: z.number(),
  highC: z.number(),
});

export const tubsSchema = z.object({
  items: z.array(z.object({ id: z.string(), name: z.string(), setUp: z.boolean() })),
  next: z.string().nullable(),
  /** The tubs are simulated and their figures invented. */
  demo: z.boolean(),
  /** What is so with the only tub, where that was asked for and there is just one. */
  now: nowSchema.nullable().optional(),
});

/** What a board needs to reach the broker. */
/** Room of the store, 1 MB being 10⁶ bytes. */
export const diskSchema = z.object({
  storeMb: z.number(),
  growsMbPerYear: z.number().describe('should readings come as in the last 24 hours'),
  freeMb: z.number().nullable().describe('on the disk of the store; null where it cannot be told'),
});

export type Disk = z.infer<typeof diskSchema>;

export const connectSchema = z.object({
  host: z.string(),
  port: z.int(),
  tlsPort: z.int().nullable(),
  user: z.string(),
  /** null on an outside broker: it is the owner's own. */
  password: z.string().nullable(),
  embedded: z.boolean(),
  trouble: z.string().nullable().describe('one sentence where no messages can arrive just now'),
  refused: z.array(
    z.object({ address: z.string(), user: z.string(), at: instant, why: z.string() }),
  ),
});

export type Day = z.infer<typeof daySchema>;
export type Month = z.infer<typeof monthSchema>;
export type QuarterShape = z.infer<typeof quarterSchema>;
export type DayWithQuarters = z.infer<typeof dayWithQuartersSchema>;
export type Severity = z.infer<typeof severitySchema>;
export type Alert = z.infer<typeof alertSchema>;
export type State = z.infer<typeof stateSchema>;
export type Figures = z.infer<typeof figuresSchema>;
export type Value = z.infer<typeof valueSchema>;
export type Now = z.infer<typeof nowSchema>;
export type Evening = z.infer<typeof eveningSchema>;
export type WhyNoStart = z.infer<typeof whyNotSchema>;
export type ToldEvening = z.infer<typeof toldEveningSchema>;
export type LearnedShape = z.infer<typeof learnedSchema>;
export type Tubs = z.infer<typeof tubsSchema>;
export type Connect = z.infer<typeof connectSchema>;
export type Basis = z.infer<typeof basisSchema>;

/** Socket events: what the client sends and what the server answers and sends. */
export interface ClientEvents {
  watch: (
    request: { tub: string },
    answer?: (now: (Now & { tub: string }) | { problem: string }) => void,
  ) => void;
}
export interface ServerEvents {
  now: (now: Now & { tub: string }) => void;
  day: (day: Day & { tub: string }) => void;
  alert: (alert: Alert & { tub: string }) => void;
}
