import type { FaultId } from '../rules/fault-id.ts';
import type { Alert, Severity } from '../shapes.ts';
import type { AllFaultWords, FaultWords } from '../words/fault-words.ts';
import type { NoticeWords } from '../words/notice-words.ts';
import type { Speaker } from '../words/speaker.ts';
import type { PointWords } from '../words/words.ts';
import type { NoticeKind } from './telling.ts';

/** What a notice tells of one alert. */
export interface About {
  alert: string; // its id
  kind: NoticeKind;
  severity: Severity;
}

/** A notice as every channel sends it, each in its own form. Plain data. */
export interface Message {
  /** `several`: of more than one alert. */
  event: NoticeKind | 'several' | 'test';
  severity: Severity;
  /** null for a test, which is about no tub. */
  tub: string | null;
  /** The tub's name; danger says so first. */
  title: string;
  /** What is so and what to do first: with the title one line on a lock screen. */
  text: string;
  /** Whoever opens it reads on here. */
  alerts: readonly Alert[];
  at: string;
}

/** An alert that a notice tells of, with the words for its fault. */
export interface Item {
  kind: NoticeKind;
  alert: Alert;
  words: FaultWords;
}

/** More sentences than these nobody reads on a lock screen. */
const MOST_SENTENCES = 3;
/** Below this it is not worth a word what a fault has cost. [kWh] */
const WORTH_SAYING_KWH = 0.5;

const gravest: readonly Severity[] = ['danger', 'act', 'look', 'note'];

/**
 * What one notice says of a tub.
 *
 * @param items  at least one; of several, the gravest and then the newest are said first
 * @param at  when it is told [ms]
 */
export function messageOf(
  tub: { id: string; name: string },
  items: readonly Item[],
  at: number,
  words: NoticeWords,
  say: Speaker,
): Message {
  const ordered = [...items].sort(
    (a, b) =>
      gravest.indexOf(a.alert.severity) - gravest.indexOf(b.alert.severity) ||
      Date.parse(b.alert.raisedAt) - Date.parse(a.alert.raisedAt),
  );
  const [first] = ordered as [Item];
  const { severity } = first.alert;
  const isDanger = severity === 'danger' && first.kind !== 'over';
  return {
    event: ordered.length === 1 ? first.kind : 'several',
    severity,
    tub: tub.id,
    title: isDanger ? words.danger(tub.name) : tub.name,
    text: ordered.length === 1 ? alone(first, words, say) : together(ordered, words, say),
    alerts: ordered.map(({ alert }) => alert),
    at: new Date(at).toISOString(),
  };
}

/** What it says where somebody wants to know whether notices reach them. */
export const testMessage = (at: number, words: NoticeWords): Message => ({
  event: 'test',
  severity: 'note',
  tub: null,
  ...words.test,
  alerts: [],
  at: new Date(at).toISOString(),
});

/** The whole of it in one line, whatever people have called their tub. */
export const lineOf = ({ title, text }: Message): string =>
  `${title}: ${text}`.replaceAll(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, ' ');

/** The whole of it for whoever has the time to read: what was seen, what to check, and where there is more. */
export function letterOf(
  { text, alerts, at }: Message,
  faults: AllFaultWords,
  points: PointWords,
  words: NoticeWords,
  say: Speaker,
  url: string | null,
): string {
  const moment = (instant: string) => say.moment(Date.parse(instant), Date.parse(at));
  const parts = alerts.map(({ fault, point, evidence, says, since, until, caution, checks }) => {
    const shown = { evidence, point: point === undefined ? null : points.name(point) };
    const head = alerts.length === 1 ? [] : [says];
    if (until !== null) return [...head, words.until(moment(until))].join('\n');
    return [
      ...head,
      words.since(moment(since)),
      faults[fault as FaultId].shows(shown, say),
      ...(caution === undefined ? [] : [words.caution(caution)]),
      ...(checks.length === 0
        ? []
        : [words.checks, ...checks.map((step, i) => `${i + 1}. ${step}`)]),
    ].join('\n');
  });
  return [text, ...parts, ...(url === null ? [] : [words.open(url)])].join('\n\n');
}

function alone(item: Item, words: NoticeWords, say: Speaker): string {
  const sentence = sentenceOf(item, words, say);
  return item.kind === 'over' ? sentence : `${sentence} ${item.words.first}`;
}

function together(items: readonly Item[], words: NoticeWords, say: Speaker): string {
  const said = items.length > MOST_SENTENCES ? items.slice(0, MOST_SENTENCES - 1) : items;
  const sentences = said.map((item) => sentenceOf(item, words, say));
  const left = items.length - said.length;
  return [...sentences, ...(left > 0 ? [words.more(left)] : [])].join(' ');
}

function sentenceOf({ kind, alert, words: fault }: Item, words: NoticeWords, say: Speaker): string {
  if (kind !== 'over') return alert.says;
  const { costKwh } = alert;
  return costKwh === null || costKwh < WORTH_SAYING_KWH
    ? fault.over
    : words.overAtCost(fault.over, say.energy(costKwh));
}
