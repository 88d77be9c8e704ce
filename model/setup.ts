import { z } from 'zod';
import { isTubName, pointType } from './points.ts';
import { faultIds } from './rules/fault-id.ts';

/** The set-up document: what the owner tells of the tubs, in the shape of the API and of files. */

const number = (low: number, high: number) => z.number().min(low).max(high);
const positive = (high: number) => z.number().gt(0).max(high);

/** What people call a tub or a board, on one line: it stands in notices, on pages and in terminals. */
const name = z
  .string()
  .max(80)
  .regex(/^\P{Cc}+$/u, 'expected a name of 1 to 80 characters on one line');

const localTime = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'expected a local time HH:MM');
/** The end of a span may be midnight at the end of the day. */
const localEnd = z
  .string()
  .regex(/^(([01]\d|2[0-3]):[0-5]\d|24:00)$/, 'expected a local time HH:MM');
const localDate = z.iso.date();
const weekdays = z.array(z.int().min(1).max(7)).min(1).max(7); // ISO 8601: Monday is 1

export const timeZone = z
  .string()
  .max(64)
  .refine((zone) => {
    try {
      new Intl.DateTimeFormat('en', { timeZone: zone });
      return !/^[+-]/.test(zone);
    } catch {
      return false;
    }
  }, 'expected an IANA time zone such as Pacific/Auckland');

const point = z
  .string()
  .refine((name) => pointType(name) !== null, 'expected a point of the contract');

const place = z.strictObject({
  latitude: number(-90, 90),
  longitude: number(-180, 180),
  elevationM: number(-450, 6000).optional(),
  timeZone,
});

const bands = z.strictObject({
  days: weekdays,
  from: localTime,
  to: localEnd,
  price: number(-100, 1e6),
});

export const sensorClasses = [
  'digital-0.5',
  'digital-0.2',
  'pt100-a',
  'pt100-b',
  'thermistor-1',
  'turbine-10',
  'turbine-5',
  'bucket-3',
] as const;

export const tubSetupSchema = z.strictObject({
  id: z.string().refine(isTubName, 'expected 1 to 32 of a-z, 0-9 and -, but not "service"'),
  name: name.optional(),
  place,
  tub: z
    .strictObject({
      litres: number(50, 20_000),
      seats: z.int().min(1).max(50),
      targetC: number(10, 42),
      limitC: number(10, 60),
      lossWPerK: positive(500),
    })
    .partial()
    .optional(),
  collectors: z
    .strictObject({
      count: z.int().min(1).max(50),
      areaM2: positive(50),
      tiltDeg: number(0, 90),
      azimuthDeg: number(0, 360),
      eta0: positive(1),
      a1: number(0, 50),
      a2: number(0, 1),
    })
    .partial()
    .optional(),
  loop: z
    .strictObject({
      pipeMetres: number(0, 500),
      flowLPerMin: positive(200),
      flowSensorAt: z.enum(['inlet', 'outlet']),
      pairAt: z.enum(['tub', 'collectors']),
      fluid: z.enum(['tub-water', 'antifreeze']),
      meterSide: z.enum(['tub', 'collector']),
      freeze: z.enum(['none', 'drain-back', 'recirculates']),
    })
    .partial()
    .optional(),
  pump: z
    .strictObject({
      watts: number(0, 5000),
      standbyWatts: number(0, 500),
      stateIs: z.enum(['turning', 'powered', 'asked', 'none']),
      supply: z.enum(['mains', 'own-panel']),
    })
    .partial()
    .optional(),
  controller: z
    .strictObject({ switchOnK: number(0, 50), switchOffK: number(0, 50) })
    .partial()
    .optional(),
  backup: z
    .strictObject({
      kind: z.enum(['electric', 'heat-pump', 'gas', 'none']),
      efficiency: positive(10),
      efficiencyAt: z
        .array(z.strictObject({ airC: number(-40, 50), efficiency: positive(15) }))
        .min(2)
        .max(20),
      watts: positive(100_000),
      hours: z.array(z.strictObject({ days: weekdays, from: localTime, to: localEnd })).max(50),
    })
    .partial()
    .optional(),
  evening: z.strictObject({ at: localTime }).partial().optional(),
  tariff: z
    .strictObject({
      currency: z.string().regex(/^[A-Z]{3}$/, 'expected an ISO 4217 code such as NZD'),
      otherwise: number(-100, 1e6),
      bands: z.array(bands).max(50).optional(),
    })
    .optional(),
  carbon: z.strictObject({ gPerKwh: number(0, 5000) }).optional(),
  sensors: z
    .record(
      point,
      z.strictObject({
        class: z.enum(sensorClasses).optional(),
        zeroedOn: localDate.optional(),
      }),
    )
    .optional(),
  corrections: z
    .record(
      point,
      z.strictObject({
        offset: number(-1e6, 1e6).optional(),
        factor: number(-1e6, 1e6).optional(),
      }),
    )
    .optional(),
  boards: z
    .array(
      z.strictObject({
        name,
        points: z.array(point).max(100),
        willTopic: z.string().min(1).max(200).optional(),
      }),
    )
    .max(50)
    .optional(),
  longestGapMin: z.record(point, positive(10_080)).optional(),
  faults: z
    .partialRecord(
      z.enum(faultIds),
      z.strictObject({
        onMin: number(0, 10_080).optional(),
        offMin: number(0, 10_080).optional(),
        limits: z.record(z.string().max(40), number(-1e6, 1e6)).optional(),
      }),
    )
    .optional(),
});

/** MQTT filters as wiring takes them: `+` alone in a level, no `#`, none of ours. */
const wiringTopic = z
  .string()
  .min(1)
  .max(200)
  .refine(
    (topic) => topic.split('/').every((level) => level === '+' || !/[+#\0]/.test(level)),
    'expected a topic; + may stand for one whole level, # may not stand',
  )
  .refine(
    (topic) =>
      !topic.startsWith('$') &&
      topic !== 'sunsteep' &&
      !topic.startsWith('sunsteep/') &&
      !topic.startsWith('+'),
    'expected a topic that does not begin with $, sunsteep/ or +',
  );

const jsonPointer = z
  .string()
  .max(500)
  // no sign fits twice: a text made to be looked at in every way there is would hold the service up
  .regex(/^(\/([^~/]|~[01])*)*$/, 'expected an RFC 6901 JSON Pointer such as /ds/0/t');

export const wiringSchema = z.strictObject({
  topic: wiringTopic,
  pointer: jsonPointer.optional(),
  unit: z.string().min(1).max(20).optional(),
  tub: z.string().min(1).max(64),
  point: z.string().min(1).max(64),
  scale: z.number().optional(),
  offset: z.number().optional(),
  timePointer: jsonPointer.optional(),
  timeFormat: z.enum(['unix-s', 'unix-ms', 'iso8601']).optional(),
});

const secret = z.union([z.string().min(1).max(500), z.strictObject({ set: z.boolean() })]);

export const quietHours = z.strictObject({ from: localTime, to: localTime });

/** An address as mail programs write it, with a name before it or without, and nothing that ends a line. */
const mailAddress = z
  .string()
  .min(3)
  .max(320)
  .regex(/^[^\p{Cc},;]*[^\s\p{Cc},;<>@]@[^\s\p{Cc},;<>@]+>?$/u, 'expected one mail address');

export const notifySchema = z.strictObject({
  quiet: quietHours.optional(),
  mail: z
    .strictObject({
      host: z.string().min(1).max(253),
      port: z.int().min(1).max(65_535).optional(),
      secure: z.boolean().optional(),
      user: z.string().max(200).optional(),
      password: secret.optional(),
      from: mailAddress,
      to: z.array(mailAddress).min(1).max(20),
    })
    .nullable()
    .optional(),
  webhook: z
    .strictObject({
      url: z.url({ protocol: /^https?$/ }).max(2000),
      secret: secret.optional(),
      allowLocal: z.boolean().optional(),
    })
    .nullable()
    .optional(),
});

export const MOST_WIRING = 500;

export const setupSchema = z.strictObject({
  tubs: z.array(tubSetupSchema).max(1000),
  wiring: z.array(wiringSchema).max(MOST_WIRING).optional(),
  notify: notifySchema.optional(),
});

export type Setup = z.infer<typeof setupSchema>;
export type TubSetup = z.infer<typeof tubSetupSchema>;
export type Wiring = z.infer<typeof wiringSchema>;
export type SensorClass = (typeof sensorClasses)[number];
