import type { LogEntry } from '../../model/owner-log.ts';
import type { Alert, Day } from '../../model/shapes.ts';
import { en } from '../../model/words/en.ts';
import { enHandoverPage } from '../../model/words/en-handover-page.ts';
import { enLogKinds } from '../../model/words/en-log-kinds.ts';
import type { HandoverPageWords } from '../../model/words/handover-words.ts';
import { type Speaker, speakerOf } from '../../model/words/speaker.ts';
import { Html, html } from '../serve/html.ts';
import { chart, type Line } from './chart.ts';
import type { Contents } from './contents.ts';
import { pageStyle } from './page-style.ts';

/**
 * The page of a hand-over file: opened from a disk, years later, by somebody without the program. So it
 * has no code, asks for nothing, and all that it shows stands in it.
 */

const words: HandoverPageWords = enHandoverPage;
/** No date lies in it, so that every date is told with its own year. */
const withYear = '0000';

/** Not even a mended copy of it may ask for anything. */
const policy = "default-src 'none'; style-src 'unsafe-inline'";

export function page(of: Contents, lines: readonly Line[]): string {
  const { about, settings } = of;
  const { timeZone } = about;
  const say = speakerOf({
    ...{ locale: 'en-GB', temperature: 'C', volume: 'l', hours: 24, timeZone },
  });
  const day = (date: string) => say.date(date, withYear);
  const moment = (instant: string | number) => {
    const t = typeof instant === 'string' ? Date.parse(instant) : instant;
    return `${day(say.dateOf(t))}, ${say.time(t)}`;
  };
  const short = new Intl.DateTimeFormat('en-GB', {
    day: 'numeric',
    month: 'short',
    timeZone: 'UTC',
  });
  const span = { ...of.span, first: about.from, timeZone };
  const drawing = chart(lines, span, words.chart, (date) => short.format(Date.parse(date)));
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${words.title(settings.name)}</title>
<style>${new Html(pageStyle)}</style>
</head>
<body>
<main>
<h1>${words.title(settings.name)}</h1>
<p>${words.span({ from: day(about.from), to: day(about.to) })}. <span class="quiet">${words.made(moment(about.madeAt), timeZone)}</span></p>
${alerts(of.alerts, moment)}
${days(of.days, day, say)}
<section><h2>${words.chart}</h2>${drawing === null ? html`<p>${words.noChart}</p>` : html`<p class="quiet">${words.chartSays}</p>${drawing}`}</section>
${log(of, moment)}
${setup(of, say)}
<section><h2>${words.holdsTitle}</h2>
<ul>${words.holds.map((line) => html`<li>${line}</li>`)}</ul>
<p>${words.keepsBack}</p>
<p>${words.warmUp(moment(about.readingsFrom))} ${words.again({ tub: about.tub })}</p></section>
</main>
</body>
</html>
`.text;
}

function alerts(all: readonly Alert[], moment: (instant: string) => string): Html {
  const one = (alert: Alert) => {
    const { severity, since, until, acknowledgedAt, checks, caution } = alert;
    const when =
      until === null
        ? words.stands(moment(since))
        : words.stood({ from: moment(since), until: moment(until) });
    const seen = acknowledgedAt === null ? null : ` ${words.seen(moment(acknowledgedAt))}`;
    return html`<article class="${severity}"><h3>${words.severity[severity]}: ${alert.says}</h3>
<p>${alert.shows}</p><p>${when}${seen}</p>${caution === undefined ? null : html`<p><strong>${caution}</strong></p>`}
${checks.length === 0 ? null : html`<p>${words.checks}:</p><ul>${checks.map((check) => html`<li>${check}</li>`)}</ul>`}</article>`;
  };
  const told = all.length === 0 ? html`<p>${words.noAlerts}</p>` : all.map(one);
  return html`<section><h2>${words.alerts}</h2>${told}</section>`;
}

function days(all: readonly Day[], name: (date: string) => string, say: Speaker): Html {
  if (all.length === 0) {
    return html`<section><h2>${words.days}</h2><p>${words.noDays}</p></section>`;
  }
  const cell = (
    kwh: number | null,
    uncertaintyKwh: number | null,
    { note = null, leastKwh = -Infinity }: { note?: string | null; leastKwh?: number } = {},
  ) => {
    if (kwh === null) return html`<td>–</td>`;
    const range =
      uncertaintyKwh === null
        ? null
        : words.range(
            ...say.energyRange(
              kwh,
              Math.max(leastKwh, kwh - 2 * uncertaintyKwh),
              kwh + 2 * uncertaintyKwh,
            ),
          );
    const small = [range, note].filter((part) => part !== null).join(', ');
    return html`<td>${say.energyFigure(kwh)}${small === '' ? null : html`<small>${small}</small>`}</td>`;
  };
  const row = (day: Day) => {
    const { tubLowC, tubHighC, pumpHours } = day;
    const water =
      tubLowC === null || tubHighC === null
        ? '–'
        : words.range(say.number(tubLowC, 1), say.number(tubHighC, 1));
    return html`<tr><th scope="row">${name(day.date)}</th>
${cell(day.gainKwh, day.uncertaintyKwh, { note: day.basis && words.basis[day.basis], leastKwh: 0 })}${cell(day.usefulKwh, day.usefulUncertaintyKwh)}${cell(day.savedKwh, day.savedUncertaintyKwh)}
<td>${water}</td><td>${pumpHours === null ? '–' : say.number(pumpHours, 1)}</td><td>${say.number(100 * day.coverage, 0)}</td></tr>`;
  };
  const { gain, useful, saved, water, pumpHours, coverage } = words.columns;
  const head = [words.day, gain, useful, saved, water, pumpHours, coverage];
  return html`<section><h2>${words.days}</h2><div class="scroll" tabindex="0" role="region" aria-label="${words.days}"><table>
<thead><tr>${head.map((column) => html`<th scope="col">${column}</th>`)}</tr></thead>
<tbody>${all.map(row)}</tbody></table></div></section>`;
}

/** What was told of these days; what came before and still counts stands in the file alone. */
export const ofTheseDays = ({ log, span }: Contents): LogEntry[] =>
  log.filter(({ from, until }) => (until ?? from) >= span.from && from < span.to);

function log(of: Contents, moment: (instant: number) => string): Html {
  const entries = ofTheseDays(of).map(
    ({ kind, from, until, note }) =>
      html`<li>${moment(from)}${until === null ? null : ` – ${moment(until)}`}: ${enLogKinds.name[kind]}${note === null ? null : html`<br>${note}`}</li>`,
  );
  return html`<section><h2>${words.log}</h2>${entries.length === 0 ? html`<p>${words.noLog}</p>` : html`<ul>${entries}</ul>`}</section>`;
}

function setup({ settings, said }: Contents, say: Speaker): Html {
  const isSaid = (part: string, key: string) => {
    const told = (said as Record<string, unknown>)[part];
    return typeof told === 'object' && told !== null && Object.hasOwn(told, key);
  };
  const lines = words
    .setupLines(settings, isSaid, say)
    .map(
      ({ what, is, assumed }) =>
        html`<dt>${what}</dt><dd>${is}${assumed ? html` <span class="quiet">(${words.assumed})</span>` : null}</dd>`,
    );
  return html`<section><h2>${words.setup}</h2><p class="quiet">${words.setupSays}</p><dl>${lines}</dl></section>`;
}

/** The name of a point as people read it. */
export const pointName = (point: string): string => en.points.name(point);
