import '../style/setup.css';
import { useEffect } from 'preact/hooks';
import { lostAt, tub } from '../live.ts';
import { DoubtedPlace, thinkOver } from '../setup/doubted-place.tsx';
import {
  failed,
  fetchSetup,
  inForce,
  isSaid,
  isTyped,
  mayNot,
  save,
  sending,
  trouble,
  type,
} from '../setup/draft.ts';
import { focusFirstWrong } from '../setup/first-wrong.ts';
import { Locate } from '../setup/locate.tsx';
import { Question } from '../setup/question.tsx';
import { sections } from '../setup/sections.ts';
import { setupWords } from '../setup/speech.ts';
import { ownTimeZone, unbroken, words } from '../speech.ts';

/**
 * The one thing that a tub cannot do without: where it stands. These are questions of Set-up, so that what
 * was typed outlasts a reload and a dropped connection here as there.
 */

const fields = sections.place.filter(({ path }) => path !== '/place/elevationM');
const zone = fields.find(({ kind }) => kind === 'zone')!;

export function PlaceForm() {
  const { place } = words;
  const reachable = lostAt.value === null;
  useEffect(() => {
    if (reachable) fetchSetup();
  }, [reachable]);
  const isKnown = inForce.value !== null;
  // The phone is likely where the tub is.
  useEffect(() => {
    if (isKnown && !isSaid(zone) && !isTyped(zone)) type(zone, ownTimeZone);
  }, [isKnown, tub.value]);
  if (mayNot.value) return <p>{place.viewer}</p>;
  return (
    <div class="setup">
      <form
        noValidate
        onSubmit={async (event) => {
          event.preventDefault();
          if (thinkOver()) return;
          await save(fields, 'now');
          focusFirstWrong();
        }}
      >
        <h2>{place.title}</h2>
        <p>{place.why}</p>
        <Locate />
        {fields.map((field) => (
          <Question key={field.path} field={field} />
        ))}
        <DoubtedPlace />
        {failed.value && <p class="lost">{setupWords.failed.sentence}</p>}
        <p class={trouble.value === null ? 'unseen' : 'wrong'} role="alert">
          {trouble.value && unbroken(trouble.value)}
        </p>
        <button type="submit" class="button main" disabled={sending.value}>
          {sending.value ? place.saving : place.save}
        </button>
      </form>
    </div>
  );
}
