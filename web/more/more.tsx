import '../style/more.css';
import { enMore } from '../../model/words/en-more.ts';
import type { MoreWords } from '../../model/words/more-words.ts';
import { address } from '../address.ts';
import { Headline } from '../headline.tsx';
import { words } from '../speech.ts';

const languages: Record<string, MoreWords> = { en: enMore };

const moreWords: MoreWords = languages[words.language] ?? enMore;

const places: readonly { href: string; place: keyof MoreWords['places'] }[] = [
  { href: '/log', place: 'log' },
  { href: '/setup', place: 'setup' },
  { href: '/phones', place: 'phones' },
  { href: '/notices', place: 'notices' },
  { href: '/handover', place: 'handover' },
];

/** The way to each screen that has no tab, and what it is for. */
export function More() {
  return (
    <div class="more-places">
      <Headline told={moreWords.headline} />
      <ul class="rows">
        {places.map(({ href, place }) => (
          <li key={href}>
            <a href={address(href)}>{moreWords.places[place].name}</a>
            <p class="muted">{moreWords.places[place].isFor}</p>
          </li>
        ))}
      </ul>
    </div>
  );
}
