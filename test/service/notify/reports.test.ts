import { expect, test } from 'vitest';
import type { Hearing } from '../../../collector-service/ingest/hearing.ts';
import { Reports } from '../../../collector-service/notify/reports.ts';
import type { Watching } from '../../../collector-service/watch/watching.ts';
import type { Alert, Now } from '../../../model/shapes.ts';
import { alert, now } from '../serve/samples.ts';

type Hear = Parameters<Watching['onNews']>[0];

/** Reports, what they have published so far, and news to tell them. */
function reporting() {
  const published: [string, string][] = [];
  let hear: Hear = () => {};
  const hearing = { report: (topic: string, text: string) => void published.push([topic, text]) };
  const watching = {
    onNews(listener: Hear) {
      hear = listener;
      return () => {
        hear = () => {};
      };
    },
  };
  const reports = new Reports(hearing as unknown as Hearing, watching as unknown as Watching);
  const news = (alerts: Alert[], more: Partial<Now> = {}) =>
    hear({ tub: 'kowhai', now: { ...now, alerts, ...more }, days: [] });
  const alerts = () =>
    published.flatMap(([topic, text]) => (topic === 'sunsteep/kowhai/report/alerts' ? text : []));
  return { reports, news, alerts, published };
}

test('open alerts are told with each change, and an empty list once there are none', () => {
  const { news, alerts } = reporting();
  news([]);
  news([alert]);
  news([alert]);
  news([{ ...alert, acknowledgedAt: alert.raisedAt }]);
  news([]);
  expect(alerts().map((text) => JSON.parse(text))).toEqual([
    [],
    [alert],
    [{ ...alert, acknowledgedAt: alert.raisedAt }],
    [],
  ]);
});

test('what is retained of a tub that is no more is taken away, and comes anew if it comes back', () => {
  const { reports, news, alerts, published } = reporting();
  news([alert]);
  reports.forget('kowhai');
  expect(published.slice(-2)).toEqual([
    ['sunsteep/kowhai/report/gain-today', ''],
    ['sunsteep/kowhai/report/alerts', ''],
  ]);
  news([alert]);
  expect(alerts().at(-1)).toBe(JSON.stringify([alert]));
  reports.stop();
  news([]);
  expect(alerts().at(-1)).toBe(JSON.stringify([alert]));
});
