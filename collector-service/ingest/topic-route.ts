import { isTubName, pointType } from '../../model/points.ts';
import { refusals } from './admit.ts';
import type { Place, Refusal } from './payload-form.ts';
import { type CompiledWiring, wireFor } from './wiring.ts';

/** Where a message belongs, by its topic alone. */
export type Route =
  | { kind: 'place'; place: Place }
  | { kind: 'refused'; why: string }
  /** The service's own reports and marker: never readings, never unreadable. */
  | { kind: 'ours' }
  /** A board's last will, as the set-up names it. */
  | { kind: 'will' }
  /** No wiring takes it up. */
  | { kind: 'unwired' };

/** Most topics whose route is remembered. */
const REMEMBERED = 10_000;

/** Routes of topics under one set-up. */
export class TopicRoutes {
  private readonly wirings: readonly CompiledWiring[];
  private readonly willTopics: ReadonlySet<string>;
  private readonly remembered = new Map<string, Route>();

  constructor(wirings: readonly CompiledWiring[], willTopics: Iterable<string>) {
    this.wirings = wirings;
    this.willTopics = new Set(willTopics);
  }

  of(topic: string): Route {
    const known = this.remembered.get(topic);
    if (known) return known;
    const route = this.find(topic);
    if (this.remembered.size >= REMEMBERED) this.remembered.clear();
    this.remembered.set(topic, route);
    return route;
  }

  private find(topic: string): Route {
    if (isOurs(topic)) return { kind: 'ours' };
    if (this.willTopics.has(topic)) return { kind: 'will' };
    const levels = topic.split('/');
    if (levels[0] === 'sunsteep') return direct(levels);
    const wires = this.wirings.flatMap((wiring) => wireFor(levels, wiring) ?? []);
    return wires.length > 0
      ? { kind: 'place', place: { kind: 'wired', wires } }
      : { kind: 'unwired' };
  }
}

/** Topics under which the service itself publishes: its state, its marker and its reports. */
export function isOurs(topic: string): boolean {
  return /^sunsteep\/(service|[^/]*\/report)(\/|$)/.test(topic);
}

/** `sunsteep/<tub>` and `sunsteep/<tub>/<point>`. */
function direct([, tub = '', ...rest]: string[]): Route {
  const point = rest.join('/');
  const refused = ({ why }: Refusal): Route => ({ kind: 'refused', why });
  if (!isTubName(tub)) return refused(refusals.tub);
  if (rest.length === 0) return { kind: 'place', place: { kind: 'tub', tub } };
  if (pointType(point) === null) return refused(refusals.point);
  return { kind: 'place', place: { kind: 'point', tub, point } };
}
