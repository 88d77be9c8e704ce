import { fixedPoints, isTubName, type PointKind, pointType } from '../../model/points.ts';
import type { Wiring } from '../../model/setup.ts';
import { convertTo } from '../../model/units.ts';
import type { Fault } from '../errors.ts';
import { pointerTokens } from './json-pointer.ts';
import type { Wire } from './payload-form.ts';

/** A wiring, made ready for the messages that it is to read. */
export interface CompiledWiring {
  levels: readonly string[];
  tub: string;
  point: string;
  unit: string | undefined;
  scale: number;
  offset: number;
  /** Reference tokens, or null where the payload itself is the value. */
  pointer: readonly string[] | null;
  /** Reference tokens, or null where the payload carries no time. */
  timePointer: readonly string[] | null;
  timeFormat: Wiring['timeFormat'];
}

export function compiledWiring(wiring: Wiring): CompiledWiring {
  const { topic, tub, point, unit, scale = 1, offset = 0, pointer, timePointer } = wiring;
  return {
    levels: topic.split('/'),
    tub,
    point,
    unit,
    scale,
    offset,
    pointer: pointer === undefined ? null : pointerTokens(pointer),
    timePointer: timePointer === undefined ? null : pointerTokens(timePointer),
    timeFormat: wiring.timeFormat,
  };
}

/** The wiring for a message on `topic`, or null where its topic is another. */
export function wireFor(topic: readonly string[], wiring: CompiledWiring): Wire | null {
  if (topic.length !== wiring.levels.length) return null;
  const taken: string[] = [];
  for (let i = 0; i < topic.length; i++) {
    if (wiring.levels[i] === '+') taken.push(topic[i]!);
    else if (wiring.levels[i] !== topic[i]) return null;
  }
  const fill = (template: string) =>
    template.replace(placeholder, (_, n: string) => taken[Number(n) - 1] ?? '');
  return { tub: fill(wiring.tub), point: fill(wiring.point), wiring };
}

const placeholder = /\{([1-9]\d?)\}/g;

/** What no schema can say of a set-up's wiring; each path is a JSON Pointer into the set-up. */
export function wiringFaults(wirings: readonly Wiring[]): Fault[] {
  const seen = new Set<string>();
  return wirings.flatMap((wiring, i) => {
    const { topic, pointer, tub, point } = wiring;
    const source = JSON.stringify([topic, pointer ?? null, tub, point]);
    const again = seen.has(source)
      ? [{ path: '', why: 'says the same as a wiring before it' }]
      : [];
    seen.add(source);
    return [...again, ...ownFaults(wiring)].map(({ path, why }) => ({
      path: `/wiring/${i}${path}`,
      why,
    }));
  });
}

function ownFaults(wiring: Wiring): Fault[] {
  const faults: Fault[] = [];
  const refuse = (path: string, why: string) => faults.push({ path, why });
  const wildcards = wiring.topic.split('/').filter((level) => level === '+').length;
  for (const part of ['tub', 'point'] as const) {
    for (const n of taken(wiring[part])) {
      if (n > wildcards) refuse(`/${part}`, `{${n}} stands for no + of the topic`);
    }
  }
  const takenUp = new Set([...taken(wiring.tub), ...taken(wiring.point)]);
  for (let n = 1; n <= wildcards; n++) {
    if (!takenUp.has(n)) {
      refuse(
        '/topic',
        `+ number ${n} has to stand as {${n}} in tub or point, or two boards share one`,
      );
    }
  }
  if (!canBeTub(wiring.tub)) refuse('/tub', 'expected 1 to 32 of a-z, 0-9 and -, not "service"');
  const kinds = kindsOf(wiring.point);
  if (kinds.length === 0) refuse('/point', 'expected a point, such as tub/temperature');
  else if (wiring.unit !== undefined && !kinds.some((kind) => suits(kind, wiring.unit!))) {
    refuse('/unit', 'expected a unit that suits the point');
  }
  if (wiring.scale === 0) refuse('/scale', 'expected a number other than 0');
  if (wiring.timePointer !== undefined && wiring.pointer === undefined) {
    refuse('/timePointer', 'expected a pointer beside it: a payload that is a number has no time');
  }
  if (wiring.timeFormat !== undefined && wiring.timePointer === undefined) {
    refuse('/timeFormat', 'expected a timePointer beside it');
  }
  return faults;
}

const taken = (template: string): number[] =>
  Array.from(template.matchAll(placeholder), (match) => Number(match[1]));

const suits = (kind: PointKind, unit: string): boolean => convertTo(kind, unit, 1) !== null;

/** A template is good where some board could fill it in. */
const canBeTub = (template: string): boolean => isTubName(template.replace(placeholder, 'a'));

/** The kinds of the points that a template can become. */
function kindsOf(template: string): PointKind[] {
  const literal = template.split(placeholder).filter((_, i) => i % 2 === 0);
  const pattern = literal.map((text) => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')).join('[^/]+');
  const fitting = new RegExp(`^${pattern}$`);
  return everyPoint.filter((name) => fitting.test(name)).map((name) => pointType(name)!.kind);
}

const everyPoint: readonly string[] = [
  ...fixedPoints,
  ...Array.from({ length: 99 }, (_, i) => `collector/${i + 1}/temperature`),
];
