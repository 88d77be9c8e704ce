import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { arrive } from '../address.ts';
import { tubs } from '../live.ts';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';
import {
  type OpenLink,
  type PairedPhone,
  remove,
  rename,
  sending,
  takeBack,
  trouble,
} from './known.ts';
import { phonesWords } from './speech.ts';
import { linesOf } from './told.ts';

/** The phone whose name or right somebody is about to change. */
const open = signal<{ id: string; to: 'rename' | 'remove' } | null>(null);

const tubName = (id: string): string => tubs.value?.items.find((tub) => tub.id === id)?.name ?? id;

/** What was pressed is gone; what came of it stands at the top. */
function close(): void {
  open.value = null;
  requestAnimationFrame(arrive);
}

export function PhoneList({ phones }: { phones: readonly PairedPhone[] }) {
  if (phones.length === 0) return null;
  return (
    <section>
      <h2>{phonesWords.list}</h2>
      <ul class="rows">
        {phones.map((phone) => (
          <Phone key={phone.id} phone={phone} />
        ))}
      </ul>
    </section>
  );
}

function Phone({ phone }: { phone: PairedPhone }) {
  const { ago } = words.time;
  const told = { present: present.value, tubName, ago, words: phonesWords, say: say.value };
  const [may, ...lines] = linesOf(phone, told);
  const doing = open.value?.id === phone.id ? open.value.to : null;
  return (
    <li>
      <h3>
        <bdi>{phone.name}</bdi>
        {phone.you && `, ${phonesWords.you}`}
      </h3>
      <p>{may}</p>
      <p class="muted">{unbroken(lines.join(' '))}</p>
      {doing === null && <Ways phone={phone} />}
      {doing === 'rename' && <Renaming phone={phone} />}
      {doing === 'remove' && <Removing phone={phone} />}
    </li>
  );
}

function Ways({ phone: { id, name } }: { phone: PairedPhone }) {
  const to = (to: 'rename' | 'remove') => () => {
    trouble.value = null;
    open.value = { id, to };
  };
  return (
    <p class="ways">
      <button
        type="button"
        class="link-button"
        aria-label={phonesWords.renameNamed(name)}
        onClick={to('rename')}
      >
        {phonesWords.rename}
      </button>
      <button
        type="button"
        class="link-button"
        aria-label={phonesWords.removeNamed(name)}
        onClick={to('remove')}
      >
        {phonesWords.remove}
      </button>
    </p>
  );
}

/** What the service takes of a name. */
const LONGEST = 60;

function Renaming({ phone }: { phone: PairedPhone }) {
  const field = useRef<HTMLInputElement>(null);
  useEffect(() => field.current?.focus(), []);
  async function save(event: Event): Promise<void> {
    event.preventDefault();
    const name = field.current!.value.trim();
    if (name === '' || name.length > LONGEST) trouble.value = phonesWords.wrongName;
    else if (await rename(phone, name)) close();
  }
  return (
    <form class="unfolded" noValidate onSubmit={save}>
      <div class="field">
        <label for="phone-name">{phonesWords.newName}</label>
        <input
          id="phone-name"
          ref={field}
          autocomplete="off"
          dir="auto"
          maxLength={LONGEST}
          defaultValue={phone.name}
        />
      </div>
      <div class="pair">
        <button type="submit" class="button main" disabled={sending.value}>
          {phonesWords.save}
        </button>
        <button type="button" class="button" onClick={close}>
          {phonesWords.keepIt}
        </button>
      </div>
    </form>
  );
}

function Removing({ phone }: { phone: PairedPhone }) {
  const { removeSure, removeMeans, removeSelfSure, removeSelfMeans } = phonesWords;
  async function takeOut(): Promise<void> {
    await remove(phone);
    close();
  }
  return (
    <div class="unfolded">
      <p role="alert">
        <strong>{phone.you ? removeSelfSure : removeSure(phone.name)}</strong>{' '}
        {phone.you ? removeSelfMeans : removeMeans}
      </p>
      <div class="pair">
        <button type="button" class="button" disabled={sending.value} onClick={takeOut}>
          {phonesWords.removeIt}
        </button>
        <button type="button" class="button" onClick={close}>
          {phonesWords.keepIt}
        </button>
      </div>
    </div>
  );
}

export function LinkList({ links }: { links: readonly OpenLink[] }) {
  const good = links.filter(({ expires }) => Date.parse(expires) > present.value);
  if (good.length === 0) return null;
  return (
    <section>
      <h2>{phonesWords.links}</h2>
      <ul class="rows">
        {good.map((link) => (
          <li key={link.id}>
            <p>{phonesWords.link(phonesWords.right[link.right])}</p>
            <p class="muted">{phonesWords.linkEnds(say.value.time(Date.parse(link.expires)))}</p>
            <button
              type="button"
              class="link-button"
              disabled={sending.value}
              onClick={() => takeBack(link)}
            >
              {phonesWords.takeBack}
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
