import '../style/handover.css';
import { enHandoverScreen } from '../../model/words/en-handover-screen.ts';
import type { HandoverScreenWords } from '../../model/words/handover-screen-words.ts';
import { Headline } from '../headline.tsx';
import { lostAt, tub } from '../live.ts';
import { words as pageWords, unbroken } from '../speech.ts';
import { MOST_DAYS, viewOf } from './days.ts';
import { chosen, days, mayHandOver, newest, startHandover, today, wrong } from './known.ts';

const languages: Record<string, HandoverScreenWords> = { en: enHandoverScreen };

const words: HandoverScreenWords = languages[pageWords.language] ?? enHandoverScreen;

/** Some days in one file: which, what is in it and what is not, and the way to it. */
export function Handover() {
  return (
    <div class="handover">
      <Headline told={words.headline} />
      {mayHandOver.value === false ? <p>{words.viewer}</p> : <Choice />}
      <List title={words.holdsTitle} lines={words.holds} />
      <List title={words.notTitle} lines={words.not} />
      <p>{words.trust}</p>
      <p>{words.use}</p>
    </div>
  );
}

function Choice() {
  return (
    <form
      class="choice"
      noValidate
      aria-labelledby="handover-days"
      onSubmit={(event) => event.preventDefault()}
    >
      <h2 id="handover-days">{words.days}</h2>
      {newest.value && <p>{unbroken(words.around(newest.value.says))}</p>}
      <div class="pair">
        <DayField field="from" label={words.from} />
        <DayField field="to" label={words.to} />
      </div>
      <p class={wrong.value === null ? 'unseen' : 'trouble'} id="handover-wrong" role="status">
        {wrongInWords()}
      </p>
      <Download />
    </form>
  );
}

function wrongInWords(): string | null {
  if (wrong.value === null) return null;
  return wrong.value === 'too-many' ? words.tooMany(MOST_DAYS) : words.wrong[wrong.value];
}

function DayField({ field, label }: { field: 'from' | 'to'; label: string }) {
  const id = `handover-${field}`;
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        type="date"
        max={today.value}
        value={days.value[field]}
        aria-describedby="handover-wrong"
        aria-invalid={wrong.value !== null}
        onInput={(event) => {
          chosen.value = { ...days.value, [field]: event.currentTarget.value };
        }}
      />
    </div>
  );
}

/** The browser fetches it, as large as it may be, and shows how far it is. */
function Download() {
  if (lostAt.value !== null) return <p class="lost">{words.unreachable}</p>;
  if (wrong.value !== null) return null;
  return (
    <>
      <a
        class="button main"
        href={`/api/tubs/${tub.value}/handover${viewOf(days.value)}`}
        download=""
      >
        {words.download}
      </a>
      <p class="muted">{words.wait}</p>
    </>
  );
}

function List({ title, lines }: { title: string; lines: string[] }) {
  return (
    <section>
      <h2>{title}</h2>
      <ul class="plain">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}

startHandover();
