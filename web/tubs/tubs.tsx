import { Headline } from '../headline.tsx';
import { tubs } from '../live.ts';
import type { Screen } from '../screen.ts';
import { words } from '../speech.ts';

/** The tubs that this phone may see, where there are several. */
export function TubList() {
  return (
    <div class="first">
      <Headline told={{ sentence: words.frame.tubs, detail: words.frame.tubsDetail }} />
      <ul class="rows tubs">
        {tubs.value?.items.map(({ id, name }) => (
          <li key={id}>
            <a href={`/tubs/${id}/`}>{name}</a>
          </li>
        ))}
      </ul>
    </div>
  );
}

export const tubsScreen: Screen = {
  path: /^\/tubs\/?$/,
  tab: null,
  needs: 'pairing',
  View: TubList,
};
