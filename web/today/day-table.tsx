import type { DayWithQuarters } from '../../model/shapes.ts';
import { say, timeZone, words } from '../speech.ts';
import { localClock } from './clock-hours.ts';
import { type Hour, hoursOf } from './story.ts';

/** What the chart shows, hour by hour. */
export function DayTable(props: {
  day: DayWithQuarters;
  present: number;
  evening: { at: number; lowC: number; highC: number } | null;
}) {
  const { day, present, evening } = props;
  const { chart } = words;
  const hours = hoursOf(day, present, localClock(timeZone.value).minute);
  const lost = hours.some(({ lostKwh }) => (lostKwh ?? 0) >= 0.005);
  return (
    <details>
      <summary>{chart.table}</summary>
      <table>
        <thead>
          <tr>
            <th scope="col">{chart.hour}</th>
            <th scope="col">{chart.heatColumn}</th>
            {lost && <th scope="col">{chart.lostColumn}</th>}
            <th scope="col">{chart.waterColumn(say.value)}</th>
          </tr>
        </thead>
        <tbody>
          {hours.map((hour) => (
            <Row key={hour.from} hour={hour} lost={lost} />
          ))}
          {evening !== null && (
            <tr class="expected">
              <th scope="row" colSpan={lost ? 3 : 2}>
                {chart.expectedRow(say.value.time(evening.at))}
              </th>
              <td>{words.evening.range(evening.lowC, evening.highC, say.value)}</td>
            </tr>
          )}
        </tbody>
      </table>
    </details>
  );
}

function Row({ hour, lost }: { hour: Hour; lost: boolean }) {
  const { gainKwh, lostKwh, tubC, estimated } = hour;
  const { notHeard, about } = words.chart;
  const kwh = (value: number | null) => {
    if (value === null) return notHeard;
    const figure = say.value.number(value, 2);
    return estimated ? about(figure) : figure;
  };
  return (
    <tr>
      <th scope="row">{say.value.time(hour.from)}</th>
      <td>{kwh(gainKwh)}</td>
      {lost && <td>{kwh(lostKwh)}</td>}
      <td>{tubC === null ? notHeard : say.value.number(say.value.toDegrees(tubC), 1)}</td>
    </tr>
  );
}
