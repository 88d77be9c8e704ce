import { z } from 'zod';
import { isWritable } from './instants.ts';
import { flowOf } from './measured-flow.ts';
import { isPlainData } from './plain-data.ts';
import { isTubName, pointType } from './points.ts';

/**
 * The owner's log: what was done to tub and loop, and what no sensor can tell. Entries cross the wire
 * and stand in files in the shape of `logEntrySchema`; within the program they are `LogEntry`.
 */

export const logKinds = [
  'filter-cleaned',
  'water-changed',
  'bathing',
  'away',
  'drained',
  'in-use',
  'cover-changed',
  'sensor-moved',
  'bucket-test',
  'cup-check',
  'flow-confirmed',
  'not-a-fault',
  'remark',
] as const;

export type LogKind = (typeof logKinds)[number];

const LONGEST_NOTE = 2000; // characters
const LONGEST_DATA = 4000; // characters as JSON
/** How deep lists and objects may lie within data: a hand-over file takes no more than it needs. */
const DEEPEST_DATA = 8;
const MOST_FILLS = 10;
/** As many as the largest tub has seats. */
const MOST_PEOPLE = 50;

const instant = z.iso
  .datetime({ offset: true, abort: true, error: 'expected a time such as 2026-03-01T08:00:00Z' })
  .refine((text) => isWritable(Date.parse(text)), 'expected a time from the years 0 to 9999');
const positive = (high: number) => z.number().gt(0).max(high);
const point = z.string().refine((name) => pointType(name) !== null, 'expected a point');
const id = z.string().min(1).max(64);

const told = {
  kind: z.enum(logKinds),
  from: instant,
  until: instant.optional(),
  data: z.record(z.string().max(64), z.unknown()).optional(),
  note: z.string().max(LONGEST_NOTE).optional(),
};
/** As people and programs write them: what there is none of may stand as null. */
const fields = {
  ...told,
  until: told.until.nullable(),
  data: told.data.nullable(),
  note: told.note.nullable(),
};

/** One fill of a bucket. */
const fill = z.looseObject({ litres: positive(1000), seconds: positive(7200) });

const flow = positive(200); // l/min
const bucketTest = z
  .looseObject({
    lPerMin: flow.optional(),
    flowLPerMin: flow.optional(),
    uncertaintyLPerMin: z.number().min(0).max(100).optional(),
    fills: z.array(fill).min(1).max(MOST_FILLS).optional(),
    litres: positive(1000).optional(),
    seconds: positive(7200).optional(),
  })
  .refine(
    (data) => flowOf(data) !== null,
    'a bucket test needs its flow: { "lPerMin": 4.1 }, or { "fills": [{ "litres": 10, "seconds": 146 }] }',
  );

/** What the data of a kind must be; keys that are not told of here are kept as they are. */
const dataOf: Partial<Record<LogKind, { shape: z.ZodType; isNeeded: boolean }>> = {
  bathing: {
    shape: z.looseObject({ people: z.int().min(1).max(MOST_PEOPLE).optional() }),
    isNeeded: false,
  },
  'bucket-test': { shape: bucketTest, isNeeded: true },
  'cup-check': {
    shape: z.looseObject({
      points: z.tuple([point, point]).optional(),
      differenceK: z.number().min(-50).max(50).optional(),
    }),
    isNeeded: false,
  },
  'not-a-fault': {
    shape: z
      .looseObject({
        fault: id.optional(),
        point: point.optional(),
        alert: z.string().max(200).optional(),
      })
      .refine(({ fault, alert }) => fault ?? alert, 'expected the "fault" or the "alert" it was'),
    isNeeded: true,
  },
  'sensor-moved': { shape: z.looseObject({ point: point.optional() }), isNeeded: false },
  'water-changed': {
    shape: z.looseObject({ litres: positive(20_000).optional() }),
    isNeeded: false,
  },
};

/** What no single field can say: the order of the times, and the data that goes with the kind. */
function checkWhole(entry: z.infer<typeof bare>, context: z.RefinementCtx): void {
  const refuse = (path: PropertyKey[], message: string) =>
    context.addIssue({ code: 'custom', path, message });
  if (entry.until && Date.parse(entry.until) <= Date.parse(entry.from)) {
    refuse(['until'], 'expected a time after from');
  }
  if (entry.data && !isPlainData(entry.data, DEEPEST_DATA)) {
    refuse(
      ['data'],
      `expected at most ${DEEPEST_DATA} levels, and no field named __proto__, constructor or prototype`,
    );
  } else if (entry.data && JSON.stringify(entry.data).length > LONGEST_DATA) {
    refuse(['data'], `expected at most ${LONGEST_DATA} characters as JSON`);
  }
  const known = dataOf[entry.kind];
  if (!known || (!entry.data && !known.isNeeded)) return;
  const { error } = known.shape.safeParse(entry.data ?? {});
  for (const { path, message } of error?.issues ?? []) refuse(['data', ...path], message);
}

const bare = z.strictObject(fields);

/** An entry as it is sent; the service gives the id. */
export const newLogEntrySchema = bare.superRefine(checkWhole);
/** An entry as it stands in a file: it may name its tub and have an id. */
export const filedLogEntrySchema = z
  .strictObject({
    ...fields,
    id: id.optional(),
    tub: z.string().refine(isTubName, 'expected the id of a tub').optional(),
  })
  .superRefine(checkWhole);
export const logEntrySchema = z.strictObject({ id, ...told });

export type NewLogEntry = z.infer<typeof newLogEntrySchema>;
export type LogEntryShape = z.infer<typeof logEntrySchema>;

/** Times [ms since 1970-01-01 UTC]; what was not said is null. */
export interface LogEntry {
  id: string;
  kind: LogKind;
  from: number;
  until: number | null;
  data: Record<string, unknown> | null;
  note: string | null;
}

export const logEntry = (id: string, said: NewLogEntry): LogEntry => ({
  id,
  kind: said.kind,
  from: Date.parse(said.from),
  until: said.until ? Date.parse(said.until) : null,
  data: said.data ?? null,
  note: said.note ?? null,
});

export const logEntryShape = ({ id, kind, from, until, data, note }: LogEntry): LogEntryShape => ({
  id,
  kind,
  from: new Date(from).toISOString(),
  ...(until !== null && { until: new Date(until).toISOString() }),
  ...(data !== null && { data }),
  ...(note !== null && { note }),
});
