import '../style/phones.css';
import { Headline } from '../headline.tsx';
import { lostAt } from '../live.ts';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';
import { done, links, mayChange, phones, phonesFailed, startPhones, trouble } from './known.ts';
import { MorePhone } from './more-phone.tsx';
import { LinkList, PhoneList } from './phone-list.tsx';
import { phonesWords } from './speech.ts';

/** Who may see the tub, and who may change anything. */
export function Phones() {
  return (
    <div class="phones">
      <Top />
      <LastKnown />
      <p class={done.value === null ? 'unseen' : 'done'} role="status">
        {done.value}
      </p>
      <p class={trouble.value === null ? 'unseen' : 'wrong'} role="alert">
        {trouble.value}
      </p>
      {mayChange.value === true && <MorePhone />}
      <PhoneList phones={phones.value ?? []} />
      <LinkList links={links.value} />
    </div>
  );
}

function Top() {
  if (mayChange.value === false) return <Headline told={phonesWords.viewer} />;
  if (phones.value === null) {
    const failed = phonesFailed.value || lostAt.value !== null;
    return <Headline told={failed ? phonesWords.failed : { sentence: words.frame.loading }} />;
  }
  const full = phones.value.filter(({ right }) => right === 'full').length;
  const viewer = phones.value.length - full;
  const all = phones.value.every(({ you, tubs }) => !you || tubs === null);
  return <Headline told={phonesWords.headline({ full, viewer, all })} />;
}

/** Says how old the list is while the service is out of reach. */
function LastKnown() {
  if (lostAt.value === null || phones.value === null) return null;
  const since = say.value.moment(lostAt.value, present.value);
  const duration = words.time.duration(present.value - lostAt.value);
  return <p class="lost">{unbroken(phonesWords.lastKnown({ since, duration }))}</p>;
}

startPhones();
