import type { Span } from '../civil-time.ts';
import type { Evidence } from '../evidence.ts';
import type { Learned } from '../learned.ts';
import type { Quarter } from '../ledger.ts';
import type { Minute } from '../minutes/minute.ts';
import type { Usual } from '../minutes/usual.ts';
import type { Severity } from '../shapes.ts';
import type { TubSettings } from '../tub-settings.ts';
import type { FaultId } from './fault-id.ts';

/** Figures that raised an alert; temperatures °C, differences K, energies kWh, times ISO 8601. */
export type EvidenceFigures = Record<string, number | string | boolean | null>;

/** What is so where a fault shows itself. */
export interface Present {
  evidence: EvidenceFigures;
  /** Where it is not the rule's own. */
  severity?: Severity;
  /** Since when, where that is before the rule could see it [ms]. */
  since?: number;
  /** Heat that it costs just now [W]. */
  costW?: number;
  /** What it has cost in all, for what is judged by whole days [kWh]. */
  costKwh?: number;
}

/**
 * What a rule says: the fault shows itself; it plainly does not; neither (a deadband, or a moment that
 * proves nothing): whatever stands goes on standing; or it cannot be seen for want of data.
 */
export type Finding = Present | 'gone' | 'between' | 'blind';

/** A local day that is over, as rules look at it once. */
export interface ClosedDay {
  date: string;
  bounds: Span;
  settings: TubSettings;
  /** The ledger's quarters of the day. */
  quarters: readonly Quarter[];
  /** null where the day told nothing. */
  evidence: Evidence | null;
  /** What was learned by then, of this day and those before it. */
  learned: Learned;
}

/** What a rule kept of a day that is over. */
export interface PastDay<Fact> {
  date: string;
  from: number; // ms
  to: number;
  fact: Fact;
}

/** Thresholds of a rule by name. */
export type Limits = Readonly<Record<string, number>>;

/** How a rule judges whole days: what it gathers over a day, what it keeps of it, and what that means. */
export interface Daily<Gathered, Fact, L extends Limits = Limits> {
  begin(): Gathered;
  /** Takes a minute of the day in. Must not keep the minute: it is written over. */
  add(gathered: Gathered, minute: Minute, limits: L): void;
  /** What is kept of the day; null where it tells nothing. Plain data, small. */
  close(gathered: Gathered, day: ClosedDay, limits: L): Fact | null;
  /**
   * Judges the days so far, in order, of which something was kept; the newest may be older than the one
   * that is just over. Called once a day, when it is over; absent where the rule judges by the minute.
   */
  judge?(days: readonly PastDay<Fact>[], now: PresentDay, limits: L): Finding;
}

/** A fault, about whatever point, or about one point alone. */
export type Parent = FaultId | `${FaultId} ${string}`;

/** When and with what whole days are judged. */
export interface PresentDay {
  /** End of the newest day [ms]. */
  t: number;
  date: string;
  settings: TubSettings;
  usual: Usual;
}

/**
 * One fault of the catalogue and how it is found: by the minute, where it may look at what it kept of the
 * days before, or by the day. Everything that a rule remembers between minutes is plain data that grows
 * no longer with time.
 */
export interface Rule<
  Memory = unknown,
  Gathered = unknown,
  Fact = unknown,
  L extends Limits = Limits,
> {
  fault: FaultId;
  severity: Severity;
  /** How long the fault has to show itself, and to be gone, before that is told [ms]. */
  onMs: number;
  offMs: number;
  /** Its thresholds by name, with their units in it: defaults, which the set-up may change. */
  limits?: L;
  /** Thresholds that mean something only where they do not fall in this order. */
  rising?: readonly (readonly (keyof L & string)[])[];
  /** What the set-up may set thresholds to at the most, where more could hurt somebody. */
  highest?: Partial<L>;
  /** Points without which it is blind; any one of each group will do. */
  needs: readonly (readonly string[])[];
  /** Points that make it see better. */
  uses?: readonly string[];
  /** What explains this one: while some of it stands or is about to, this one is not told. */
  mutedBy: readonly Parent[];
  /**
   * Points that it judges one by one, of those that were ever heard, null for what has no point of its
   * own; absent: the loop as a whole.
   */
  subjects?(heard: readonly string[], settings: TubSettings): (string | null)[];
  memory?(): Memory;
  /** Judges a minute, about one of its subjects where it has some ('' for the one without a point). */
  minute?(
    minute: Minute,
    memory: Memory,
    point: string,
    days: readonly PastDay<Fact>[],
    limits: L,
  ): Finding;
  daily?: Daily<Gathered, Fact, L>;
}

/** A rule among others in a list. */
// biome-ignore lint/suspicious/noExplicitAny: what a rule remembers is its own
export type AnyRule = Rule<any, any, any, any>;

const MINUTE = 60_000; // ms

/** A rule with the delays and thresholds that the set-up has in place of its own. */
export function underSetup(rule: AnyRule, { faults }: TubSettings): AnyRule {
  const said = faults[rule.fault];
  if (!said) return rule;
  return {
    ...rule,
    onMs: said.onMin === undefined ? rule.onMs : said.onMin * MINUTE,
    offMs: said.offMin === undefined ? rule.offMs : said.offMin * MINUTE,
    limits: { ...rule.limits, ...said.limits },
  };
}
