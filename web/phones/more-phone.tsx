import { effect, signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { tubs } from '../live.ts';
import { catchUp, present } from '../present.ts';
import { say, words } from '../speech.ts';
import {
  change,
  fetchPhones,
  links,
  phones,
  type Right,
  sending,
  takeBack,
  trouble,
} from './known.ts';
import { phonesWords } from './speech.ts';

/** Letting one more phone in: what it may do, then a link that is good once, for ten minutes. */

interface Wish {
  right: Right;
  tubs: string[];
  /** A date, or empty. */
  until: string;
}

interface MadeLink {
  id: string;
  link: string;
  picture: { size: number; path: string };
  expires: string;
  /** Who was in before. */
  known: string[];
  /** The list of links has told of it. */
  listed: boolean;
  /** The name of the phone that came in by it. */
  cameIn: string | null;
  /** It is used up or was taken back: it lets nobody in, whatever becomes of the phone. */
  isOver: boolean;
}

const wish = signal<Wish | null>(null);
const made = signal<MadeLink | null>(null);
const copied = signal(false);
const wrong = signal<'tubs' | 'end' | null>(null);

/** What the lists tell of a link once stays so: the phone that came in by it may be removed later. */
effect(() => {
  const link = made.value;
  if (link === null || link.isOver || phones.value === null) return;
  if (links.value.some(({ id }) => id === link.id)) {
    if (!link.listed) made.value = { ...link, listed: true };
    return;
  }
  const newcomer = phones.value.find(({ id }) => !link.known.includes(id));
  if (newcomer) made.value = { ...link, cameIn: newcomer.name, isOver: true };
  else if (link.listed && Date.parse(link.expires) > present.peek())
    made.value = { ...link, isOver: true };
});

const allTubs = () => tubs.value?.items ?? [];

function begin(): void {
  [trouble.value, wrong.value, made.value] = [null, null, null];
  wish.value = { right: 'viewer', tubs: allTubs().map(({ id }) => id), until: '' };
}

async function make(event: Event): Promise<void> {
  event.preventDefault();
  const { right, tubs, until } = wish.value!;
  const isPast = until !== '' && until < say.value.dateOf(catchUp());
  wrong.value = tubs.length === 0 ? 'tubs' : isPast ? 'end' : null;
  if (wrong.value !== null) {
    document.querySelector<HTMLElement>('form [aria-invalid="true"]')?.focus();
    return;
  }
  const all = tubs.length === allTubs().length;
  const body = { right, ...(!all && { tubs }), ...(until !== '' && { until }) };
  const answer = await change<MadeLink>('POST', '/api/phones', body);
  if (answer === null) return;
  copied.value = false;
  const known = (phones.value ?? []).map(({ id }) => id);
  made.value = { ...answer.body, known, listed: false, cameIn: null, isOver: false };
  wish.value = null;
}

export function MorePhone() {
  if (made.value !== null) return <Shown link={made.value} />;
  if (wish.value !== null) return <Form wish={wish.value} />;
  return (
    <p>
      <button type="button" class="button main" onClick={begin}>
        {phonesWords.more.open}
      </button>
    </p>
  );
}

const put = (changes: Partial<Wish>) => {
  if (wish.value !== null) wish.value = { ...wish.value, ...changes };
  wrong.value = null;
};

function Form({ wish: { right, tubs, until } }: { wish: Wish }) {
  const { more } = phonesWords;
  return (
    <section>
      <h2>{more.title}</h2>
      <form noValidate onSubmit={make}>
        <fieldset>
          <legend>{more.mayDo}</legend>
          <RightChoice right="viewer" means={more.viewerMeans} chosen={right} />
          <RightChoice right="full" means={more.fullMeans} chosen={right} />
        </fieldset>
        {allTubs().length > 1 && <TubChoice chosen={tubs} />}
        <div class="field">
          <label for="last-day">{more.end}</label>
          <input
            id="last-day"
            type="date"
            value={until}
            aria-describedby="last-day-hint last-day-wrong"
            aria-invalid={wrong.value === 'end' ? 'true' : undefined}
            onInput={(event) => put({ until: event.currentTarget.value })}
          />
          <span class="hint" id="last-day-hint">
            {more.endHint}
          </span>
          <span class={wrong.value === 'end' ? 'wrong' : 'unseen'} id="last-day-wrong">
            {wrong.value === 'end' && more.pastEnd}
          </span>
        </div>
        <div class="pair">
          <button type="submit" class="button main" disabled={sending.value}>
            {sending.value ? more.making : more.make}
          </button>
          <Done word={phonesWords.keepIt} />
        </div>
      </form>
    </section>
  );
}

function RightChoice(props: { right: Right; means: string; chosen: Right }) {
  const { right, means, chosen } = props;
  return (
    <label class="choice">
      <input type="radio" name="right" checked={right === chosen} onChange={() => put({ right })} />
      <span>
        <strong>{phonesWords.right[right]}</strong> {means}
      </span>
    </label>
  );
}

function TubChoice({ chosen }: { chosen: string[] }) {
  const isWrong = wrong.value === 'tubs';
  const turn = (id: string, on: boolean) =>
    put({ tubs: on ? [...chosen, id] : chosen.filter((one) => one !== id) });
  return (
    <fieldset aria-describedby="which-tubs-wrong">
      <legend>{phonesWords.more.whichTubs}</legend>
      {allTubs().map(({ id, name }) => (
        <label class="choice" key={id}>
          <input
            type="checkbox"
            checked={chosen.includes(id)}
            aria-invalid={isWrong ? 'true' : undefined}
            onChange={(event) => turn(id, event.currentTarget.checked)}
          />
          <span>
            <bdi>{name}</bdi>
          </span>
        </label>
      ))}
      <span class={isWrong ? 'wrong' : 'unseen'} id="which-tubs-wrong">
        {isWrong && phonesWords.more.noTub}
      </span>
    </fieldset>
  );
}

function Done({ word }: { word: string }) {
  const end = () => {
    [wish.value, made.value, trouble.value] = [null, null, null];
  };
  return (
    <button type="button" class="button" onClick={end}>
      {word}
    </button>
  );
}

const BETWEEN_LOOKS = 3000; // ms

function Shown({ link }: { link: MadeLink }) {
  const { more } = phonesWords;
  const left = Date.parse(link.expires) - present.value;
  const waits = !link.isOver && left > 0;
  useEffect(() => {
    if (!waits) return;
    const looking = setInterval(fetchPhones, BETWEEN_LOOKS);
    return () => clearInterval(looking);
  }, [waits]);
  return (
    <section>
      <h2>{more.title}</h2>
      <p role="status" class={link.isOver ? 'done' : 'unseen'}>
        {link.isOver && (link.cameIn === null ? phonesWords.takenBack : more.cameIn(link.cameIn))}
      </p>
      {waits && <Code link={link} left={left} />}
      {!link.isOver && left <= 0 && <p role="alert">{more.over}</p>}
      <div class="pair">
        {!waits && (
          <button type="button" class="button" onClick={begin}>
            {more.another}
          </button>
        )}
        {waits && (
          <button
            type="button"
            class="button"
            disabled={sending.value}
            onClick={async () => {
              await takeBack(link);
              made.value = null;
            }}
          >
            {phonesWords.takeBack}
          </button>
        )}
        <Done word={more.done} />
      </div>
    </section>
  );
}

function Code({ link: { link, picture }, left }: { link: MadeLink; left: number }) {
  const { more } = phonesWords;
  const { size, path } = picture;
  async function copy(): Promise<void> {
    try {
      await navigator.clipboard.writeText(link);
      copied.value = true;
    } catch {
      // Without HTTPS there is no clipboard; the link stands there to be marked by hand.
    }
  }
  return (
    <>
      <p>{more.how}</p>
      <svg class="code" viewBox={`0 0 ${size} ${size}`} role="img" aria-label={more.picture}>
        <rect class="ground" width={size} height={size} />
        <path d={path} />
      </svg>
      <p class="left">{more.left(words.time.duration(Math.ceil(left / 1000) * 1000))}</p>
      <p>{more.orSend}</p>
      <code class="line" dir="ltr">
        {link}
      </code>
      {isSecureContext && (
        <button type="button" class="button" onClick={copy}>
          {copied.value ? more.copied : more.copy}
        </button>
      )}
      <p class="muted">{more.once}</p>
    </>
  );
}
