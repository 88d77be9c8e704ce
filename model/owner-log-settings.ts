import type { Span } from './civil-time.ts';
import { flowOf, type MeasuredFlow } from './measured-flow.ts';
import type { LogEntry, LogKind } from './owner-log.ts';
import { HOUR, QUARTER, quarterOf } from './readings.ts';
import type { OwnerSays, SettingsVersion, TubSettings } from './tub-settings.ts';

/**
 * The owner's log folded into the settings: each version is cut where an entry changes something, so
 * that whoever works with settings need not know of the log. Cuts lie on whole quarter hours: an entry
 * that changes no sum must not change one by cutting a quarter in two.
 */
export function withLog(
  versions: readonly SettingsVersion[],
  entries: readonly LogEntry[],
): SettingsVersion[] {
  if (versions.length === 0 || entries.length === 0) return [...versions];
  const sorted = entries.toSorted((a, b) => a.from - b.from || (a.id < b.id ? -1 : 1));
  const turns = [...spanTurns(sorted), ...momentTurns(sorted)].sort((a, b) => a.at - b.at);
  const tests = bucketTests(sorted);
  const cuts = [...versions.map(({ from }) => from), ...turns.map(({ at }) => at)];
  for (const { at } of tests) cuts.push(at);

  const folded: SettingsVersion[] = [];
  const told = new Told();
  const flow = new FlowInForce(tests);
  let [version, turn] = [0, 0];
  const measured = new Measured();
  let last: { settings: TubSettings | null; owner: string } = { settings: null, owner: '' };
  for (const from of [...new Set(cuts)].sort((a, b) => a - b)) {
    while (version + 1 < versions.length && versions[version + 1]!.from <= from) version++;
    for (; turn < turns.length && turns[turn]!.at <= from; turn++) turns[turn]!.take(told);
    if (from < versions[0]!.from) continue;
    const said = versions[version]!;
    const settings = measured.settings(said.settings, flow.at(from, said));
    const owner = told.owner(settings.owner);
    const text = JSON.stringify(owner);
    if (last.settings !== settings || last.owner !== text) {
      folded.push({ from, settings: { ...settings, owner } });
    }
    last = { settings, owner: text };
  }
  return folded;
}

/** Settings with a measured flow; as long as both stay the same they are the same object. */
class Measured {
  private last: { base: TubSettings; test: MeasuredFlow | null; made: TubSettings } | null = null;

  settings(base: TubSettings, test: MeasuredFlow | null): TubSettings {
    if (this.last?.base !== base || this.last.test !== test) {
      this.last = { base, test, made: test === null ? base : withFlow(base, test) };
    }
    return this.last.made;
  }
}

const withFlow = (base: TubSettings, test: MeasuredFlow): TubSettings => ({
  ...base,
  loop: {
    ...base.loop,
    flowLPerMin: test.lPerMin,
    flowUncertaintyLPerMin: test.uncertaintyLPerMin,
  },
  said: { ...base.said, flowLPerMin: true },
});

type Flag = 'bathing' | 'changingWater' | 'away' | 'drained' | 'flowConfirmed';

/** What the owner has told so far, as time goes on. */
class Told {
  private readonly standing = new Map<Flag, number>();
  private moments: Partial<OwnerSays> = {};

  begin(flag: Flag, by: 1 | -1): void {
    this.standing.set(flag, (this.standing.get(flag) ?? 0) + by);
  }

  remember(moments: (owner: Partial<OwnerSays>) => Partial<OwnerSays>): void {
    this.moments = { ...this.moments, ...moments(this.moments) };
  }

  owner(nothingTold: OwnerSays): OwnerSays {
    const stands = (flag: Flag) => (this.standing.get(flag) ?? 0) > 0;
    return {
      ...nothingTold,
      ...this.moments,
      bathing: stands('bathing'),
      changingWater: stands('changingWater'),
      away: stands('away'),
      drained: stands('drained'),
      flowConfirmed: stands('flowConfirmed'),
    };
  }
}

/** One change of what has been told, at the start of a quarter hour. */
interface Turn {
  at: number;
  take(told: Told): void;
}

/** A bath whose end nobody wrote down. [ms] */
const USUAL_BATH_MS = 2 * HOUR;
/** Around a change of water the tub's temperature tells nothing. [ms] */
const WATER_SETTLES_MS = 3 * HOUR;

/** How long what an entry tells goes on; null for kinds that tell of a moment. */
const flagged: Partial<Record<LogKind, { flag: Flag; span: (entry: LogEntry) => Span }>> = {
  bathing: {
    flag: 'bathing',
    span: ({ from, until }) => ({ from, to: until ?? from + USUAL_BATH_MS }),
  },
  'water-changed': {
    flag: 'changingWater',
    span: ({ from, until }) => ({
      from: from - WATER_SETTLES_MS,
      to: (until ?? from) + WATER_SETTLES_MS,
    }),
  },
  away: { flag: 'away', span: openEnded },
  drained: { flag: 'drained', span: openEnded },
  'flow-confirmed': { flag: 'flowConfirmed', span: openEnded },
};

function openEnded({ from, until }: LogEntry): Span {
  return { from, to: until ?? Number.POSITIVE_INFINITY };
}

/** The spans that an owner told of, in the order of their beginnings; `in-use` ends a drained one. */
function toldSpans(sorted: readonly LogEntry[]): (Span & { flag: Flag })[] {
  const uses = sorted.filter(({ kind }) => kind === 'in-use');
  return sorted.flatMap((entry) => {
    const known = flagged[entry.kind];
    if (!known) return [];
    const { from, to } = known.span(entry);
    const used = known.flag === 'drained' && uses.find((use) => use.from > entry.from);
    return [{ flag: known.flag, from, to: used ? Math.min(to, used.from) : to }];
  });
}

function spanTurns(sorted: readonly LogEntry[]): Turn[] {
  return toldSpans(sorted).flatMap(({ flag, from, to }) => {
    const turns: Turn[] = [{ at: quarterOf(from), take: (told) => told.begin(flag, 1) }];
    if (to < Number.POSITIVE_INFINITY) {
      turns.push({ at: quarterEnd(to), take: (told) => told.begin(flag, -1) });
    }
    return turns;
  });
}

const quarterEnd = (t: number): number => Math.ceil(t / QUARTER) * QUARTER;

/** Kinds of which the newest moment counts. */
function momentTurns(sorted: readonly LogEntry[]): Turn[] {
  return sorted.flatMap((entry) => {
    const moment = momentOf(entry);
    return moment
      ? [{ at: quarterOf(entry.from), take: (told: Told) => told.remember(moment) }]
      : [];
  });
}

function momentOf({
  kind,
  from,
  data,
}: LogEntry): ((owner: Partial<OwnerSays>) => Partial<OwnerSays>) | null {
  switch (kind) {
    case 'filter-cleaned':
      return () => ({ filterCleanedAt: from });
    case 'water-changed':
      return () => ({ waterChangedAt: from });
    case 'cover-changed':
      return () => ({ coverSince: from });
    case 'sensor-moved': {
      const point = typeof data?.point === 'string' ? data.point : '*';
      return ({ movedAt }) => ({ movedAt: { ...movedAt, [point]: from } });
    }
    default:
      return null;
  }
}

interface BucketTest {
  at: number;
  flow: MeasuredFlow;
}

function bucketTests(sorted: readonly LogEntry[]): BucketTest[] {
  return sorted.flatMap(({ kind, from, data }) => {
    const flow = kind === 'bucket-test' && data ? flowOf(data) : null;
    return flow ? [{ at: quarterOf(from), flow }] : [];
  });
}

/**
 * The flow as measured last; the first test tells of all time before it too. A set-up that names
 * another flow after a test takes that test's place.
 */
class FlowInForce {
  private readonly tests: readonly BucketTest[];
  private next = 0;
  private version: SettingsVersion | null = null;
  private inForce: MeasuredFlow | null;

  constructor(tests: readonly BucketTest[]) {
    this.tests = tests;
    this.inForce = tests[0]?.flow ?? null;
  }

  /** To be asked at growing instants. */
  at(t: number, version: SettingsVersion): MeasuredFlow | null {
    const first = this.tests[0];
    if (first && this.version && this.version !== version && version.from > first.at) {
      const [was, is] = [this.version.settings.loop, version.settings.loop];
      if (was.flowLPerMin !== is.flowLPerMin) this.inForce = null;
    }
    this.version = version;
    for (; this.next < this.tests.length && this.tests[this.next]!.at <= t; this.next++) {
      this.inForce = this.tests[this.next]!.flow;
    }
    return this.inForce;
  }
}

/** Since when the owner has said that the tub is drained, at an instant; null where it is not. */
export function drainedSince(entries: readonly LogEntry[], t: number): number | null {
  const sorted = entries.toSorted((a, b) => a.from - b.from);
  const spans = toldSpans(sorted).filter(
    ({ flag, from, to }) => flag === 'drained' && from <= t && t < to,
  );
  return spans[0]?.from ?? null;
}
