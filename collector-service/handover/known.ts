import { z } from 'zod';
import type { TubsAtMidnight } from '../../model/day-figures.ts';
import type { Evidence } from '../../model/evidence.ts';
import { isTubName } from '../../model/points.ts';
import { faultIds } from '../../model/rules/fault-id.ts';
import { timeZone } from '../../model/setup.ts';
import { canSpoil, type Spoilt } from '../../model/spoilt.ts';

/** What stands in a hand-over file beside readings, set-up and log, so that its days come out again. */

export const FORMAT = 'sunsteep-handover';
export const FORMAT_VERSION = 1;

/** Every file that it has, in their order. */
export const partNames = [
  'page.html',
  'about.json',
  'setup.json',
  'versions.json',
  'log.json',
  'log.csv',
  'alerts.json',
  'alerts.csv',
  'days.json',
  'days.csv',
  'known.json',
  'readings.csv',
] as const;
export type PartName = (typeof partNames)[number];

const instant = z.iso.datetime();
const date = z.iso.date();

export const aboutSchema = z.strictObject({
  format: z.literal(FORMAT),
  version: z.literal(FORMAT_VERSION),
  tub: z.string().refine(isTubName, 'expected the id of a tub'),
  from: date.describe('first day'),
  to: date.describe('last day'),
  timeZone,
  madeAt: instant,
  heardAt: instant.nullable().describe('the newest reading of the tub then'),
  countedTo: instant.nullable().describe('the newest reading then that heat is worked out from'),
  readingsFrom: instant.describe('readings before the first day are there to warm up with'),
  readingsTo: instant.describe('not included'),
});
export type About = z.infer<typeof aboutSchema>;

export const versionsSchema = z
  .array(z.strictObject({ from: instant.nullable(), madeAt: instant, setup: z.unknown() }))
  .min(1)
  .max(2000);

const hour = z.strictObject({
  hour: z.int().min(0).max(23),
  hours: z.number(),
  riseK: z.number(),
  lossKh: z.number(),
  dailyH: z.number(),
  driveKwhMinPerL: z.number(),
  standingKwhPerL: z.number(),
  sunKwhPerM2: z.number(),
  meteredKwh: z.number().nullable(),
});

const night = z.strictObject({
  from: z.number(),
  to: z.number(),
  wPerK: z.number(),
  uncertaintyWPerK: z.number(),
  randomWPerK: z.number(),
  systematicWPerK: z.number(),
  tubC: z.number(),
  airC: z.number(),
  dropK: z.number(),
  residualK: z.number(),
});

const evidence: z.ZodType<Evidence> = z.strictObject({
  date,
  night: night.nullable(),
  why: z.array(z.string().max(500)).max(20),
  hours: z.array(hour).max(100),
});

const seen = z.strictObject({
  offC: z.number().nullable(),
  onC: z.number().nullable(),
  heatKwh: z.number(),
  fuelKwh: z.number(),
  airC: z.number().nullable().default(null),
  kw: z.number().nullable(),
});

const atMidnight: z.ZodType<TubsAtMidnight> = z.strictObject({
  tubC: z.number(),
  heardTo: z.number().nullable().default(null),
  referenceC: z.number(),
  heats: z.boolean(),
  seen: z.array(seen).max(100),
});

const spoilt: z.ZodType<Spoilt> = z
  .strictObject({
    from: z.number(),
    to: z.number(),
    fault: z.enum(faultIds),
    point: z.string().max(100).nullable(),
  })
  .refine(({ fault, point }) => canSpoil(fault, point), 'a fault that spoils nothing');

export const knownSchema = z.strictObject({
  before: atMidnight.nullable().describe('the tubs at the end of the day before the first'),
  evidence: z.array(evidence).max(200).describe('of the days around, on which learned values rest'),
  spoilt: z.array(spoilt).max(5000).default([]).describe('what faults spoilt of these days'),
});
