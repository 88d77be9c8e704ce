import { dayBounds, localDate, type Span } from '../civil-time.ts';
import { Lookout, newSeen, type Seen } from '../minutes/lookout.ts';
import { type Minute, nothingOutside, type Outside } from '../minutes/minute.ts';
import {
  addUsual,
  newUsualSoFar,
  type Usual,
  type UsualOfDay,
  type UsualSoFar,
  usualOf,
  usualOfDay,
} from '../minutes/usual.ts';
import { firstAtOrAfter, HOUR, MINUTE, type Traces } from '../readings.ts';
import type { FaultId } from '../rules/fault-id.ts';
import {
  type AnyRule,
  type ClosedDay,
  type Limits,
  type PastDay,
  underSetup,
} from '../rules/rule.ts';
import type { SettingsVersion, TubSettings } from '../tub-settings.ts';
import {
  type AlertChange,
  AlertLife,
  type AlertRecord,
  keyOf,
  type Showing,
} from './alert-life.ts';
import { alikeSince, unlikeFrom } from './alike.ts';

/** What is kept of a local day for rules that judge days: by fault, and what was usual. */
export interface DayFacts {
  date: string;
  from: number; // ms
  to: number;
  usual: UsualOfDay;
  facts: Record<string, unknown>;
}

/** A day that is being gathered, or is over and waits to be judged. Plain data. */
interface OpenDay {
  date: string;
  bounds: Span;
  usual: UsualSoFar;
  gathered: Record<string, unknown>;
}

/** Everything that going round remembers. Plain data, so that it can be copied. */
interface Memory {
  t: number;
  seen: Seen;
  rules: Map<string, unknown>;
  showing: Map<string, Showing>;
  standing: Map<string, AlertRecord>;
  today: OpenDay | null;
  /** Days that are over and not judged yet. */
  over: OpenDay[];
}

/** A rule and what it is judged about, with the key of both. */
interface Subject {
  rule: AnyRule;
  point: string | null;
  key: string;
}

/** How far before an instant rounds must begin so that rules know what they need to at it. [ms] */
export const WARM_UP_MS = 24 * HOUR;

const DAY = 24 * HOUR;
/** After so much silence nothing is to be seen by the minute: years may lie before the next reading. */
const LONG_SILENCE_MS = 3 * DAY;

/**
 * Goes through a tub's readings minute by minute, in the order of their times, and lets every rule judge
 * each minute and each day: the same for live readings and for recorded ones.
 */
export class Rounds {
  /** How far back rules look at whole days. */
  static readonly MOST_DAYS = 400;

  readonly life: AlertLife;
  private readonly rules: readonly AnyRule[];
  private readonly dailyRules: readonly AnyRule[];
  private versions: readonly SettingsVersion[];
  private memory: Memory;
  private lookout!: Lookout;
  /** Facts of days before, in order. */
  private days: DayFacts[];
  private readonly pastDays = new Map<string, readonly PastDay<unknown>[]>();
  private usualNow!: Usual;
  private subjects: Subject[] = [];
  private subjectsOf: Lookout['boards'] | null = null;
  /** Rules that gather over a day, with what the set-up says of them. */
  private daily: readonly AnyRule[] = [];
  /** Nothing is raised or ended yet: the rounds only get to know what is so. */
  private isWarmingUp = false;
  private readonly knowsShowing: boolean;

  constructor(parts: {
    rules: readonly AnyRule[];
    versions: readonly SettingsVersion[];
    /** Where rounds begin [ms]; nothing before it is known. */
    from: number;
    days?: readonly DayFacts[];
    standing?: readonly AlertRecord[];
    /** How faults show themselves when the warm-up is over, where that is known already. */
    showing?: Map<string, Showing>;
  }) {
    this.rules = parts.rules;
    this.dailyRules = parts.rules.filter(({ daily }) => daily);
    this.versions = parts.versions;
    this.days = [...(parts.days ?? [])];
    this.life = new AlertLife(parts.rules, parts.standing);
    if (parts.showing) this.life.showing = parts.showing;
    this.knowsShowing = parts.showing !== undefined;
    this.memory = {
      t: Math.floor(parts.from / MINUTE) * MINUTE,
      seen: newSeen(),
      rules: new Map(),
      showing: new Map(),
      standing: new Map(),
      today: null,
      over: [],
    };
    this.begin();
  }

  /** Up to when minutes were judged [ms]. */
  get t(): number {
    return this.memory.t;
  }

  /** Up to when minutes are to be judged before the present day is over and can be judged itself [ms]. */
  get dayOverAt(): number {
    return this.memory.today ? this.memory.today.bounds.to + MINUTE : Number.POSITIVE_INFINITY;
  }

  /** The state of the last minute. */
  get now(): Minute {
    return this.lookout.minute;
  }

  /** The local days that are over and wait for `closeDay`, in order. */
  get waiting(): readonly { date: string; bounds: Span }[] {
    return this.memory.over;
  }

  /** From when on what was judged would be judged by other facts under another set-up [ms]; ∞: never. */
  unlikeFrom(versions: readonly SettingsVersion[]): number {
    return versions === this.versions
      ? Number.POSITIVE_INFINITY
      : unlikeFrom(this.versions, versions);
  }

  /** The zone whose days are judged. */
  get timeZone(): string {
    return this.versions.at(-1)!.settings.place.timeZone;
  }

  /** Takes a set-up that holds from now on, or was changed for the past; the same again changes nothing. */
  setUp(versions: readonly SettingsVersion[]): void {
    if (versions === this.versions) return;
    this.versions = versions;
    this.pastDays.clear();
    this.usualNow = usualOf(this.usualDays(), this.settingsAt(this.memory.t));
  }

  /** A copy of what is remembered, to go back to. */
  copy(): unknown {
    const { showing, standing } = this.life;
    return structuredClone({ ...this.memory, showing, standing });
  }

  /** Goes back to a copy; days that were over by then and judged since wait again. */
  goBackTo(copy: unknown): void {
    this.memory = structuredClone(copy) as Memory;
    this.life.goBackTo(this.memory.showing, this.memory.standing);
    const first = (this.memory.over[0] ?? this.memory.today)?.date;
    if (first !== undefined) this.days = this.days.filter(({ date }) => date < first);
    this.pastDays.clear();
    this.begin();
  }

  /**
   * Goes on to `to` through a time in which nobody listened: it proves nothing, and that a point was silent
   * in it is no silence of its own.
   */
  beAway(to: number): void {
    const { t } = this.memory;
    const { heard } = this.memory.seen;
    const spoke = Object.values(heard).filter(
      ({ heardAt, patienceMs }) => t - heardAt <= patienceMs,
    );
    this.warmUp(new Map(), to);
    this.life.loseSight(t);
    for (const point of spoke) point.heardAt = Math.max(point.heardAt, to);
  }

  /** Whether nothing at all was heard for so long that minutes tell nothing any more. */
  get isLongSilent(): boolean {
    const { t } = this.memory;
    const { heard } = this.memory.seen;
    return Object.values(heard).every(({ heardAt }) => t - heardAt > LONG_SILENCE_MS);
  }

  /** Goes on at once to an instant before which nothing is heard, where that is more than a day away. */
  skipTo(t: number): void {
    const { memory } = this;
    const to = Math.floor(t / MINUTE) * MINUTE;
    if (to - memory.t <= DAY) return;
    if (memory.today && to > memory.today.bounds.to) {
      memory.over.push(memory.today);
      memory.today = null;
    }
    memory.t = to;
    memory.seen.pump.on = null;
    for (const ring of Object.values(memory.seen.history.rings)) ring.fill(Number.NaN);
  }

  /** Gets to know what is so up to `to` without raising or ending anything. */
  warmUp(traces: Traces, to: number): void {
    this.isWarmingUp = true;
    this.advance(traces, to);
    this.isWarmingUp = false;
  }

  /**
   * Judges every whole minute after the last one up to `to`.
   *
   * @param traces  all readings of the tub after the last minute, up to `to`; earlier ones do no harm
   */
  advance(traces: Traces, to: number, outside: Outside = nothingOutside): AlertChange[] {
    const changes: AlertChange[] = [];
    const sources = [...traces].map(([point, { t, v }]) => ({
      point,
      t,
      v,
      i: firstAtOrAfter(t, this.memory.t),
    }));
    this.lookout.minute.outside = outside;
    const { memory } = this;
    while (memory.t + MINUTE <= to) {
      const end = memory.t + MINUTE;
      this.openDay(end);
      for (const source of sources) {
        while (source.i < source.t.length && source.t[source.i]! < end) {
          this.lookout.hear(source.point, source.t[source.i]!, source.v[source.i]!);
          source.i++;
        }
      }
      memory.t = end;
      this.judge(changes);
    }
    return changes;
  }

  /** Leaves the first of the days that are waiting as it was judged before. */
  passDay(): void {
    this.memory.over.shift();
  }

  /** Judges the first of the days that are waiting. */
  closeDay(day: ClosedDay): { facts: DayFacts; changes: AlertChange[] } {
    const open = this.memory.over.shift()!;
    const facts: Record<string, unknown> = {};
    const daily = this.dailyRules.map((rule) => underSetup(rule, day.settings));
    for (const rule of daily) {
      const { fault, limits = NONE } = rule;
      const gathered = open.gathered[fault];
      const fact = gathered === undefined ? null : rule.daily!.close(gathered, day, limits);
      if (fact !== null) facts[fault] = fact;
    }
    const row: DayFacts = {
      date: open.date,
      from: open.bounds.from,
      to: open.bounds.to,
      usual: usualOfDay(open.usual),
      facts,
    };
    this.days = [...this.days.filter(({ date }) => date < row.date), row].slice(-Rounds.MOST_DAYS);
    this.pastDays.clear();
    this.usualNow = usualOf(this.usualDays(), day.settings);
    this.lookout.minute.usual = this.usualNow;
    const changes: AlertChange[] = [];
    const now = { t: row.to, date: row.date, settings: day.settings, usual: this.usualNow };
    for (const rule of daily) {
      const finding = rule.daily!.judge?.(this.factsOf(rule.fault), now, rule.limits ?? NONE);
      if (finding !== undefined)
        this.life.take(rule, null, rule.fault, finding, row.to, DAY, changes);
    }
    return { facts: row, changes };
  }

  private begin(): void {
    const { memory } = this;
    const settings = this.settingsAt(memory.t);
    this.usualNow = usualOf(this.usualDays(), settings);
    const said = {
      isTold: this.life.isStanding.bind(this.life),
      toldBy: (fault: FaultId) => this.life.told(keyOf(fault, null))?.evidence ?? null,
      isFrozen: this.isFrozen.bind(this),
    };
    this.lookout = new Lookout(memory.seen, said, settings, this.usualNow);
    this.lookout.minute.t = memory.t;
    this.subjectsOf = null;
  }

  /** What a rule kept of the days before that can be held against the present, in order. */
  private factsOf(fault: string): readonly PastDay<unknown>[] {
    const known = this.pastDays.get(fault);
    if (known) return known;
    const since = alikeSince(this.versions, this.memory.t);
    const days = this.days.flatMap(({ date, from, to, facts }) =>
      facts[fault] === undefined || from < since ? [] : [{ date, from, to, fact: facts[fault] }],
    );
    this.pastDays.set(fault, days);
    return days;
  }

  private usualDays(): PastDay<UsualOfDay>[] {
    return this.days.map(({ date, from, to, usual }) => ({ date, from, to, fact: usual }));
  }

  settingsAt(t: number): TubSettings {
    return (this.versions.findLast(({ from }) => from <= t) ?? this.versions[0]!).settings;
  }

  /** Begins the local day that holds the minute before `end`, and puts the one before away. */
  private openDay(end: number): void {
    const { memory } = this;
    if (memory.today && end <= memory.today.bounds.to) return;
    const zone = this.timeZone;
    const date = localDate(end - MINUTE, zone);
    if (memory.today) memory.over.push(memory.today);
    memory.today = {
      date,
      bounds: dayBounds(date, zone),
      usual: newUsualSoFar(),
      gathered: Object.fromEntries(
        this.dailyRules.map(({ fault, daily }) => [fault, daily!.begin()]),
      ),
    };
  }

  private judge(changes: AlertChange[]): void {
    const { memory, lookout } = this;
    const { minute } = lookout;
    lookout.look(memory.t, this.settingsAt(memory.t - 1), this.usualNow);
    this.knowSubjects();
    addUsual(memory.today!.usual, minute);
    for (const { fault, daily, limits } of this.daily) {
      daily!.add(memory.today!.gathered[fault], minute, limits ?? NONE);
    }
    for (const { rule, point, key } of this.subjects) {
      let remembered = memory.rules.get(key);
      if (remembered === undefined) {
        remembered = rule.memory?.() ?? {};
        memory.rules.set(key, remembered);
      }
      const days = this.factsOf(rule.fault);
      const limits = rule.limits ?? NONE;
      const finding = rule.minute!(minute, remembered, point ?? '', days, limits);
      if (this.isWarmingUp && this.knowsShowing) continue;
      this.life.take(
        rule,
        point,
        key,
        finding,
        minute.t,
        MINUTE,
        this.isWarmingUp ? null : changes,
      );
    }
  }

  /** Whether it is told of a point, or of all of its board, that it stands still. */
  private isFrozen(point: string, board: readonly string[]): boolean {
    const { life } = this;
    if (life.standing.size === 0) return false;
    if (life.told(keyOf('frozen-reading', point))) return true;
    return board.some((mate) => {
      const alert = life.told(keyOf('frozen-reading', mate));
      return alert !== undefined && Number(alert.evidence.together) > 1;
    });
  }

  /** Which rules are judged about which points: as far as these were ever heard. */
  private knowSubjects(): void {
    const { boards, minute } = this.lookout;
    if (boards === this.subjectsOf) return;
    this.subjectsOf = boards;
    const { settings } = minute;
    const points = Object.keys(minute.heard);
    const rules = this.rules.map((rule) => underSetup(rule, settings));
    this.daily = rules.filter(({ daily }) => daily);
    this.subjects = rules
      .filter(({ minute }) => minute)
      .flatMap((rule) =>
        (rule.subjects?.(points, settings) ?? [null]).map((point) => ({
          rule,
          point,
          key: keyOf(rule.fault, point),
        })),
      );
  }
}

const NONE: Limits = {};
