import { HOUR } from '../../model/readings.ts';
import type { Day } from '../../model/shapes.ts';
import { type Html, html } from './html.ts';
import { dateRuns, notCountedOf, type SheetMonth } from './sheet-month.ts';
import type { SheetSpeech } from './sheet-speech.ts';
import { sumRows } from './sheet-sums.ts';

/**
 * The month's sheet: one page of A4 or Letter, whatever the month was like. So every list has as many
 * lines as there is room for, and says how many more there are.
 */

const MOST_SPANS = 6;
const MOST_ENTRIES = 7;
/** No date lies in it, so that every date is told with its own. */
const withYear = '0000';
/** Estimates settle within two weeks. */
const SETTLES = 14 * 24 * HOUR;

export function sheetPage(of: SheetMonth, speech: SheetSpeech): Html {
  const { words, say, language } = speech;
  const { month } = of;
  const name = say.month(month.month);
  const upTo = of.isOver ? null : say.date(say.dateOf(of.at));
  return html`<!doctype html>
<html lang="${language}">
  <head>
    <meta charset="utf-8">
    <meta name="viewport" content="width=device-width, initial-scale=1">
    <title>${of.name}, ${name}</title>
    <link rel="stylesheet" href="/sheet.css">
  </head>
  <body>
    <p class="screen">${words.howToPrint} <a href="/tubs/${of.tub}/months/${month.month}">${words.back}</a></p>
    <main class="sheet">
      ${of.isDemo ? html`<p class="demo">${words.demo}</p>` : null}
      <header>
        <h1>${of.name}</h1>
        <p>${words.title({ month: name, upTo })}</p>
      </header>
      <p class="sentence">${words.sentence(month, say)}</p>
      <div class="columns">
        <div>
          ${figures(of, speech)}
          ${notCounted(of, speech)}
          ${log(of, speech)}
        </div>
        ${days(of, speech)}
      </div>
      ${method(of, speech)}
      <footer>${words.made({
        at: `${say.date(say.dateOf(of.at), withYear)}, ${say.time(of.at)}`,
        timeZone: say.manner.timeZone,
        settled: month.basis === 'measured' || of.at > of.bounds.to + SETTLES,
      })}</footer>
    </main>
  </body>
</html>
`;
}

function figures(of: SheetMonth, speech: SheetSpeech): Html {
  const { words, say } = speech;
  const { tubLowC, tubHighC, days, coverage } = of.month;
  const water =
    tubLowC === null || tubHighC === null
      ? words.notKnown
      : words.waterRange(tubLowC, tubHighC, say);
  const sums = sumRows(of, speech).map(
    ({ label, figure, range }) =>
      html`<tr><th scope="row">${label}</th><td>${figure}</td><td>${range}</td></tr>`,
  );
  return html`<section>
    <h2>${words.figures}</h2>
    <table class="sums">
      <thead><tr><td></td><td></td><th scope="col">${words.range}</th></tr></thead>
      <tbody>
        ${sums}
        <tr><th scope="row">${words.water}</th><td colspan="2">${water}</td></tr>
        <tr><th scope="row">${words.heard}</th><td colspan="2">${words.heardDays({ days, of: of.daysOfMonth, coverage }, say)}</td></tr>
      </tbody>
    </table>
  </section>`;
}

function days(of: SheetMonth, { words, say, dayName }: SheetSpeech): Html {
  const known = new Map(of.days.map((day) => [day.date, day]));
  const figure = (kwh: number | null) => (kwh === null ? '–' : say.number(kwh, 1));
  const row = (date: string, day: Day | undefined) =>
    day === undefined
      ? html`<tr><th scope="row">${dayName(date)}</th><td class="none" colspan="3">${words.notHeard}</td></tr>`
      : html`<tr><th scope="row">${dayName(date)}</th><td>${figure(day.gainKwh)}</td><td>${figure(day.usefulKwh)}</td><td>${figure(day.savedKwh)}</td></tr>`;
  const { gainKwh, usefulKwh, savedKwh } = of.month;
  return html`<section>
    <h2>${words.days}</h2>
    <table class="days">
      <thead><tr><th scope="col">${words.day}</th><th scope="col">${words.columns.gain}</th><th scope="col">${words.columns.useful}</th><th scope="col">${words.columns.saved}</th></tr></thead>
      <tbody>${of.dates.map((date) => row(date, known.get(date)))}</tbody>
      <tfoot><tr><th scope="row">${words.sum}</th><td>${figure(gainKwh)}</td><td>${figure(usefulKwh)}</td><td>${figure(savedKwh)}</td></tr></tfoot>
    </table>
  </section>`;
}

function notCounted(of: SheetMonth, { words, say, dateRange }: SheetSpeech): Html {
  const { days, parts, savedUnknown } = notCountedOf(of);
  const whole = (dates: string[], why: string) =>
    dates.length === 0 ? [] : [`${dateRuns(dates).map(dateRange).join(', ')}: ${why}`];
  const time = (instant: string) => say.time(Date.parse(instant));
  const spans = parts.map(({ from, to, why }) => {
    const date = dateRange([say.dateOf(Date.parse(from))]);
    return `${words.spanOf({ date, from: time(from), to: time(to) })}: ${words.why(why)}`;
  });
  const all = [
    ...[...days].flatMap(([why, dates]) => whole(dates, words.why(why))),
    ...whole(savedUnknown, words.savedUnknown),
    ...spans,
  ];
  return lines(words.notCounted, all, MOST_SPANS, words.allCounted, words.moreSpans);
}

function log({ log }: SheetMonth, { words, logLine }: SheetSpeech): Html {
  return lines(words.log, log.map(logLine), MOST_ENTRIES, words.noLog, words.moreLog);
}

/** A list that ends where its room does; the last line then says how many more there are. */
function lines(
  title: string,
  all: string[],
  most: number,
  none: string,
  more: (count: number) => string,
): Html {
  const shown = all.length > most ? all.slice(0, most - 1) : all;
  const left = all.length - shown.length;
  return html`<section>
    <h2>${title}</h2>
    ${all.length === 0 ? html`<p>${none}</p>` : html`<ul>${shown.map((line) => html`<li>${line}</li>`)}${left > 0 ? html`<li>${more(left)}</li>` : null}</ul>`}
  </section>`;
}

function method({ month, backup }: SheetMonth, { words }: SheetSpeech): Html {
  const heat = words.heatBy[month.basis ?? 'estimated'];
  const saved = words.savedBy[backup === 'none' ? 'none' : 'backup'];
  return html`<section class="method"><h2>${words.method}</h2><p>${heat} ${saved} ${words.doubt}</p></section>`;
}
