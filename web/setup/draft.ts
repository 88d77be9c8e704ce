import { computed, effect, signal } from '@preact/signals';
import type { Setup } from '../../model/setup.ts';
import type { Manner } from '../../model/words/speaker.ts';
import { screenAddress } from '../address.ts';
import { keep, kept } from '../kept.ts';
import { lostAt, refresh, tub } from '../live.ts';
import { type Answer, get } from '../service.ts';
import { say } from '../speech.ts';
import { type Answered, answerIn, type Typed, typedOf, unitsOf, type Wrong } from './answer.ts';
import { defaultAt } from './asked.ts';
import { type Change, type Changes, placeOf, saidAt, withChanges } from './changes.ts';
import { type Field, objectOf, sections } from './sections.ts';
import { changeSetup } from './sensors/wiring.ts';
import { setupPath } from './setup-screen.ts';
import { setupWords } from './speech.ts';

/**
 * The set-up as the owner is writing it: the version in force, and on top of it what was typed on this
 * phone and is not saved yet. That outlasts a reload and a dropped connection; secrets alone are not
 * written to the phone.
 */

interface Entry {
  typed: Typed;
  /** In which units it was typed. */
  units: string;
}

/** From when a change holds; an instant stands as in RFC 3339. */
export type Since = 'now' | 'always' | `${string}Z`;

/** The version in force as far as this phone knows it. */
export const inForce = signal<Setup | null>(null);
/** 403: this phone may look and not change. */
export const mayNot = signal(false);
export const failed = signal(false);
export const sending = signal(false);
/** The sentence of what went wrong, and of what came of it. */
export const trouble = signal<string | null>(null);
export const done = signal<string | null>(null);
/** What the service refused, by path. */
const refusals = signal<Readonly<Record<string, string>>>({});
/** What this phone refuses to send, by path. */
const wrongs = signal<Readonly<Record<string, Wrong>>>({});
/** A save that found no service, to be sent as soon as it is back. */
export const waiting = signal<{ tub: string; changes: Changes; since: Since } | null>(null);

const entries = signal<{ tub: string | null; typed: Readonly<Record<string, Entry>> }>({
  tub: null,
  typed: {},
});

const key = (of: string): string => `setup.${of}`;

function read(of: string): Record<string, Entry> {
  try {
    const typed: unknown = JSON.parse(kept(key(of)) ?? '{}');
    return typeof typed === 'object' && typed !== null ? (typed as Record<string, Entry>) : {};
  } catch {
    return {};
  }
}

const secrets = new Set(
  Object.values(sections)
    .flat()
    .filter(({ kind }) => kind === 'secret')
    .map(({ path }) => path),
);

function write(typed: Readonly<Record<string, Entry>>): void {
  const of = tub.peek();
  if (of === null) return;
  entries.value = { tub: of, typed };
  const open = Object.entries(typed).filter(([path]) => !secrets.has(path));
  keep(key(of), JSON.stringify(Object.fromEntries(open)));
}

const without = <T>(all: Readonly<Record<string, T>>, gone: (path: string) => boolean) =>
  Object.fromEntries(Object.entries(all).filter(([path]) => !gone(path)));

export function type(field: Field, typed: Typed): void {
  const isThis = (path: string) => path === field.path;
  done.value = null;
  trouble.value = null;
  wrongs.value = without(wrongs.value, isThis);
  refusals.value = without(refusals.value, isThis);
  write({ ...entries.value.typed, [field.path]: { typed, units: unitsOf(say.value.manner) } });
}

/** Takes back what was typed into some fields and not saved. */
export function forget(fields: readonly Field[]): void {
  const gone = (path: string) => fields.some((field) => field.path === path);
  wrongs.value = without(wrongs.value, gone);
  refusals.value = without(refusals.value, gone);
  trouble.value = null;
  write(without(entries.value.typed, gone));
}

export const isTyped = (field: Field): boolean => entries.value.typed[field.path] !== undefined;

/** Where no version is known nothing is said. */
export const known = computed<Setup>(() => inForce.value ?? { tubs: [] });

/** Whether the version in force holds an answer. */
export const isSaid = ({ path }: Field): boolean =>
  tub.value !== null && saidAt(known.value, tub.value, path) !== undefined;

/** What the version in force holds at a field, or what is assumed. */
function standing(field: Field): unknown {
  const [setup, of] = [known.value, tub.value];
  if (of === null) return undefined;
  return saidAt(setup, of, field.path) ?? defaultAt(setup, of, field.path);
}

/** What a field comes to as it is: typed, said or assumed; undefined where that is nothing, or wrong. */
export function comesTo(field: Field): unknown {
  if (!isTyped(field)) return standing(field);
  const answer = answered(field);
  return 'value' in answer ? answer.value : undefined;
}

/** What the field shows: what was typed, as long as the units are still those it was typed in. */
export function shown(field: Field): Typed {
  const entry = entries.value.typed[field.path];
  if (entry === undefined) return typedOf(standing(field), field, say.value.manner);
  if (entry.units === unitsOf(say.value.manner) || field.kind !== 'number') return entry.typed;
  const answer = answered(field);
  return 'value' in answer ? typedOf(answer.value, field, say.value.manner) : entry.typed;
}

/** What was typed as what the set-up is to hold, in the units that it was typed in. */
function answered(field: Field): Answered {
  const entry = entries.value.typed[field.path]!;
  const units = { temperature: entry.units.slice(0, 1), volume: entry.units.slice(1) };
  return answerIn(entry.typed, field, { ...say.value.manner, ...units } as Manner);
}

/** Why a field cannot be saved; null where nothing is known against it. */
export function wrongOf(field: Field): string | null {
  const wrong = wrongs.value[field.path];
  if (wrong !== undefined) return setupWords.wrong(wrong);
  const refused = refusals.value[field.path];
  return refused === undefined ? null : setupWords.refusedField(refused);
}

/** The changes of some fields, or null where one of them is wrong: then its field says so. */
export function changesOf(fields: readonly Field[]): Changes | null {
  const changes: Record<string, Change> = {};
  const found: Record<string, Wrong> = {};
  for (const field of fields.filter(isTyped)) {
    const answer = answered(field);
    if ('wrong' in answer && answer.wrong) found[field.path] = answer as Wrong;
    else changes[field.path] = 'value' in answer ? { value: answer.value } : {};
  }
  for (const field of lacking(fields, changes)) found[field.path] ??= { wrong: 'needed' };
  wrongs.value = found;
  return Object.keys(found).length > 0 ? null : changes;
}

/** Fields that have to be told once anything else of their object is. */
function lacking(fields: readonly Field[], changes: Changes): Field[] {
  const [setup, of] = [known.peek(), tub.peek()];
  if (of === null) return [];
  const after = withChanges(setup, of, changes);
  const isTold = ({ path }: Field) => {
    const value = saidAt(after, of, path);
    return value !== undefined && value !== false;
  };
  return fields.filter((field) => {
    if (field.needed === undefined || isTold(field)) return false;
    if (field.needed === 'always') return true;
    return fields.some((other) => objectOf(other.path) === objectOf(field.path) && isTold(other));
  });
}

/**
 * Saves what was typed into the fields of a section.
 *
 * @param since  null where it was chosen wrongly: then nothing is sent
 */
export async function save(fields: readonly Field[], since: Since | null): Promise<void> {
  const changes = changesOf(fields);
  if (changes === null || since === null) trouble.value = setupWords.wrongSomewhere;
  else await put(changes, since);
}

/**
 * Puts changes onto whatever version is in force; whether they were taken.
 *
 * @param waits  they are sent again as soon as a service that did not answer is back
 */
export async function put(changes: Changes, since: Since, waits = true): Promise<boolean> {
  const of = tub.peek();
  if (of === null || sending.value) return false;
  [sending.value, done.value, trouble.value] = [true, null, null];
  const answer = await changeSetup((setup) => withChanges(setup, of, changes), `?from=${since}`);
  sending.value = false;
  waiting.value = waits && isAway(answer) ? { tub: of, changes, since } : null;
  if (!answer.ok) {
    refused(answer, of);
    if (isAway(answer) && !waits) trouble.value = setupWords.unreachableOnce;
    return false;
  }
  inForce.value = answer.body;
  if (of === tub.peek()) write(without(entries.value.typed, (path) => saved(path, changes)));
  done.value = setupWords.saved;
  refresh();
  return true;
}

const isAway = (answer: Answer<unknown>): boolean => !answer.ok && answer.status === 0;

/** What was typed anew while it was being saved is not saved. */
function saved(path: string, changes: Changes): boolean {
  const change = changes[path];
  const field = Object.values(sections)
    .flat()
    .find((each) => each.path === path);
  if (change === undefined || field === undefined) return false;
  const answer = answered(field);
  return (
    JSON.stringify('value' in answer ? answer.value : null) === JSON.stringify(change.value ?? null)
  );
}

function refused(answer: Exclude<Answer<unknown>, { ok: true }>, of: string): void {
  if (answer.status === 403) mayNot.value = true;
  else if (answer.status === 0) trouble.value = setupWords.unreachable;
  else trouble.value = setupWords.refused(answer.detail);
  const setup = known.peek();
  if (answer.faults === undefined) return;
  const byPath: Record<string, string> = {};
  const fields = Object.values(sections).flat();
  for (const { path, why } of answer.faults) {
    const place = placeOf(path, setup, of);
    const field = fields.find((each) => place === each.path || place?.startsWith(`${each.path}/`));
    if (field) byPath[field.path] = why;
  }
  refusals.value = byPath;
  if (Object.keys(byPath).length > 0) trouble.value = setupWords.wrongSomewhere;
}

/** The days that changes would have worked out again, by tub; null where nothing could be asked. */
export async function preview(changes: Changes, since: Since): Promise<string[] | null> {
  const of = tub.peek();
  if (of === null) return null;
  type Preview = { items: { tub: string; dates: string[] }[] };
  const answer = await changeSetup<Preview>(
    (setup) => withChanges(setup, of, changes),
    `?from=${since}&preview=true`,
  );
  if (answer.ok) return [...new Set(answer.body.items.flatMap(({ dates }) => dates))].toSorted();
  refused(answer, of);
  return null;
}

export async function fetchSetup(): Promise<void> {
  const answer = await get<Setup>('/api/setup');
  failed.value = !answer.ok && answer.status !== 403;
  if (answer.ok) inForce.value = answer.body;
  mayNot.value = !answer.ok && answer.status === 403;
}

const BETWEEN_TRIES = 4000; // ms

const isShown = computed(() => setupPath.test(screenAddress.value) && lostAt.value === null);

function start(): void {
  effect(() => {
    const of = tub.value;
    if (of !== null && entries.peek().tub !== of) entries.value = { tub: of, typed: read(of) };
  });
  effect(() => {
    if (screenAddress.value) [done.value, trouble.value] = [null, null];
  });
  effect(() => {
    if (isShown.value) fetchSetup();
  });
  effect(() => {
    if (waiting.value === null || sending.value) return;
    const again = () => {
      const { changes, since, tub: of } = waiting.peek()!;
      if (of === tub.peek()) put(changes, since);
    };
    const timer = setTimeout(again, lostAt.value === null ? BETWEEN_TRIES / 4 : BETWEEN_TRIES);
    return () => clearTimeout(timer);
  });
}

start();
