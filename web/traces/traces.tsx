import '../style/traces.css';
import { Headline } from '../headline.tsx';
import { lostAt } from '../live.ts';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';
import { fetched, fetchFailed, startTraces } from './fetched.ts';
import { Lines } from './lines.tsx';
import { told } from './looked-at.ts';
import { Marks } from './marks.tsx';
import { Readings } from './readings.tsx';
import { points } from './shown-view.ts';
import { Spans, Steps } from './spans.tsx';
import { tracesWords } from './speech.ts';
import { TakeAlong } from './take-along.tsx';
import { TraceFigure } from './trace-figure.tsx';
import { TraceTable } from './trace-table.tsx';

/** What the sensors told over any time, for the helper and for the curious. */
export function Traces() {
  return (
    <div class="traces">
      <Says />
      {points.value.length > 0 && (
        <>
          <TraceFigure />
          <Readings />
          <Steps />
          <Spans />
          <Lines />
          <Marks />
          <TakeAlong />
          <TraceTable />
        </>
      )}
    </div>
  );
}

function Says() {
  const { noPoints, failed } = tracesWords.told;
  if (points.value.length === 0) return <Headline told={noPoints} />;
  if (told.value === null) {
    const lost = fetchFailed.value || lostAt.value !== null;
    return <Headline told={lost ? failed : { sentence: words.frame.loading }} />;
  }
  return (
    <div>
      <Headline told={told.value} />
      {fetchFailed.value && fetched.value !== null && <p class="lost">{failed.sentence}</p>}
      <LastKnown />
    </div>
  );
}

function LastKnown() {
  if (lostAt.value === null) return null;
  const duration = words.time.duration(present.value - lostAt.value);
  const since = say.value.moment(lostAt.value, present.value);
  return <p class="lost">{unbroken(tracesWords.told.lastKnown({ since, duration }))}</p>;
}

startTraces();
