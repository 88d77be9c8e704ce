import '../style/setup.css';
import type { ComponentChildren } from 'preact';
import { address, screenAddress } from '../address.ts';
import { Headline } from '../headline.tsx';
import { lostAt, tub } from '../live.ts';
import { words } from '../speech.ts';
import { assumedIn, missingIn } from './asked.ts';
import { DiskRoom } from './disk.tsx';
import { failed, inForce, isTyped, mayNot } from './draft.ts';
import { Section } from './section.tsx';
import { type SectionName, sectionNames, sections } from './sections.ts';
import { setupPath } from './setup-screen.ts';
import { setupWords } from './speech.ts';

/** What the program is told of the tub: all of its sections, or one of them with its questions. */
export function SetUp() {
  const section = setupPath.exec(screenAddress.value)?.[1] as SectionName | undefined;
  return (
    <div class="setup">
      <Told section={section} />
    </div>
  );
}

function Told({ section }: { section: SectionName | undefined }) {
  if (mayNot.value) return <Headline told={setupWords.viewer} />;
  if (inForce.value === null) {
    const waits = !failed.value && lostAt.value === null;
    return <Headline told={waits ? { sentence: words.frame.loading } : setupWords.failed} />;
  }
  return section === undefined ? <Sections /> : <Section key={section} name={section} />;
}

/** Nothing was heard yet: the sensors come first, and all other questions are of a tub. */
export function SetUpBeforeTub() {
  return (
    <div class="setup">
      <Headline told={setupWords.beforeTub} />
      <ul class="rows setup-places">
        {places
          .filter(({ name }) => name === 'sensors' || name === 'phones')
          .map(({ href, name }) => (
            <Place key={href} href={href} name={name} />
          ))}
      </ul>
    </div>
  );
}

const places: readonly { href: string; name: string }[] = [
  { href: '/setup/sensors', name: 'sensors' },
  ...sectionNames.map((name) => ({ href: `/setup/${name}`, name })),
  { href: '/setup/bucket-test', name: 'bucket-test' },
  { href: '/setup/cup-check', name: 'cup-check' },
  { href: '/phones', name: 'phones' },
];

const isSection = (name: string): name is SectionName =>
  (sectionNames as readonly string[]).includes(name);

function Sections() {
  const [setup, of] = [inForce.value, tub.value];
  if (setup === null || of === null) return null;
  const countsOf = (name: SectionName) => ({
    missing: missingIn(setup, of, name).length,
    assumed: assumedIn(setup, of, name).length,
  });
  const all = sectionNames.map(countsOf);
  const sum = (key: 'missing' | 'assumed') => all.reduce((total, each) => total + each[key], 0);
  const told = { missing: sum('missing'), assumed: sum('assumed') };
  return (
    <>
      <Headline told={setupWords.headline(told)} />
      <ul class="rows setup-places">
        {places.map(({ href, name }) => (
          <Place key={href} href={href} name={name}>
            {isSection(name) && (
              <p>
                {setupWords.counts(countsOf(name))}
                {sections[name].some(isTyped) && <span class="mark">{setupWords.unsaved}</span>}
              </p>
            )}
          </Place>
        ))}
      </ul>
      <DiskRoom />
      <p class="muted">{setupWords.notForSafety}</p>
    </>
  );
}

function Place(props: { href: string; name: string; children?: ComponentChildren }) {
  const { href, name, children } = props;
  return (
    <li>
      <a href={address(href)}>{setupWords.sections[name]?.name}</a>
      <p class="muted">{setupWords.sections[name]?.isFor}</p>
      {children}
    </li>
  );
}
