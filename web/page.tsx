import { address, screenAddress } from './address.ts';
import { NothingHeard } from './first/first-screens.ts';
import { Headline, ToToday } from './headline.tsx';
import { access, lostAt, now, tub, tubName, tubs } from './live.ts';
import { NotPaired } from './pair/pair.tsx';
import { present } from './present.ts';
import type { Screen } from './screen.ts';
import { screens } from './screens.ts';
import { say, unbroken, words } from './speech.ts';
import { TubList } from './tubs/tubs.tsx';
import { UnitChoice } from './unit-choice.tsx';

/** Everything around a screen: whose tub, how fresh, which units, where else to go. */
export function Page() {
  const screen = screens.find(({ path }) => path.test(screenAddress.value));
  return (
    <>
      <header>
        {tubs.value?.demo && <p class="demo">{words.frame.demo}</p>}
        <Head />
      </header>
      <main id="main">
        <Shown screen={screen} />
      </main>
      {access.value === 'paired' && (
        <>
          <footer class="foot">
            <UnitChoice />
          </footer>
          <Navigation screen={screen} />
        </>
      )}
    </>
  );
}

/** The screen itself, or what stands in its way. */
function Shown({ screen }: { screen: Screen | undefined }) {
  if (screen === undefined) return <NotFound />;
  if (screen.needs !== 'nothing') {
    if (access.value === 'not-paired') return <NotPaired />;
    if (access.value === 'unreachable') return <Headline told={words.frame.unreachable} />;
    if (access.value === 'unknown') return <Headline told={{ sentence: words.frame.loading }} />;
  }
  if (screen.needs === 'tub') {
    const items = tubs.value?.items ?? [];
    const Instead = screen.WithoutTub ?? NothingHeard;
    if (items.length === 0) return <Instead />;
    if (tub.value === null) return <TubList />;
    if (!items.some(({ id }) => id === tub.value)) return <NotFound />;
    if (now.value === null) return <Headline told={{ sentence: words.frame.loading }} />;
  }
  return <screen.View />;
}

function NotFound() {
  return (
    <div class="first">
      <Headline told={words.frame.notFound} />
      <ToToday />
    </div>
  );
}

function Head() {
  const several = (tubs.value?.items.length ?? 0) > 1;
  const name = tubName.value ?? words.frame.program;
  return (
    <div class="head">
      {several && tub.value !== null ? (
        <a class="name" href="/tubs">
          {name}
        </a>
      ) : (
        <span class="name">{name}</span>
      )}
      <Status />
    </div>
  );
}

function Status() {
  if (lostAt.value !== null) {
    const since = say.value.moment(lostAt.value, present.value);
    return <span class="status lost">{unbroken(words.frame.notLive(since))}</span>;
  }
  if (access.value !== 'paired') return null;
  if (tubs.value?.items.length === 0) return <span class="status">{words.frame.listening}</span>;
  if (now.value === null) return null;
  const { heardAt } = now.value.figures;
  const heard =
    heardAt === null
      ? words.frame.heardNever
      : words.frame.heard(present.value - Date.parse(heardAt));
  return <span class="status">{unbroken(heard)}</span>;
}

/** How a tab stands to the screen that is shown. */
function currentness(tab: Screen, screen: Screen | undefined): 'page' | 'true' | undefined {
  if (tab === screen) return 'page';
  return tab === screen?.within ? 'true' : undefined;
}

function Navigation({ screen }: { screen: Screen | undefined }) {
  const tabs = screens.filter(({ tab }) => tab !== null);
  return (
    <nav class="screens" aria-label={words.frame.mainNavigation}>
      <ul>
        {tabs.map((each) => (
          <li key={each.tab!.href}>
            <a href={address(each.tab!.href)} aria-current={currentness(each, screen)}>
              {each.tab!.word(words)}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}
