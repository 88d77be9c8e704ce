import { address, arrive } from '../address.ts';
import { Headline } from '../headline.tsx';
import { tub } from '../live.ts';
import { unbroken } from '../speech.ts';
import { assumedIn, defaultAt } from './asked.ts';
import { DoubtedPlace, thinkOver } from './doubted-place.tsx';
import { changesOf, done, forget, inForce, isTyped, put, save, sending, trouble } from './draft.ts';
import { focusFirstWrong } from './first-wrong.ts';
import { Locate } from './locate.tsx';
import { Question } from './question.tsx';
import { type Field, type SectionName, sectionNames, sections } from './sections.ts';
import { chosenSince, SinceWhen } from './since.tsx';
import { setupWords } from './speech.ts';
import { Ways } from './ways.tsx';

/** The questions of one section, and what is done with their answers. */
export function Section({ name }: { name: SectionName }) {
  const fields = sections[name];
  const [setup, of] = [inForce.value, tub.value];
  if (setup === null || of === null) return null;
  const assumed = assumedIn(setup, of, name).filter((field) => !isTyped(field));
  const isChanged = fields.some(isTyped);
  return (
    <>
      <Headline
        told={{
          sentence: setupWords.sections[name]!.title,
          detail: setupWords.stillAssumed(assumed.length),
        }}
      />
      <form
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          send(fields, name);
        }}
      >
        {name === 'place' && <Locate />}
        {fields.map((field) => (
          <Question key={field.path} field={field} />
        ))}
        {name === 'place' && <DoubtedPlace />}
        {isChanged && name !== 'warnings' && <SinceWhen changes={() => changesOf(fields)} />}
        <p class={trouble.value === null ? 'unseen' : 'wrong'} role="alert">
          {trouble.value && unbroken(trouble.value)}
        </p>
        <p class={done.value === null ? 'unseen' : 'done'} role="status">
          {done.value}
        </p>
        <button type="submit" class="button main" disabled={sending.value || !isChanged}>
          {sending.value ? setupWords.saving : setupWords.save}
        </button>
        {isChanged && (
          <button type="button" class="button" onClick={() => forget(fields)}>
            {setupWords.forget}
          </button>
        )}
      </form>
      {assumed.length > 0 && !isChanged && <Confirm fields={assumed} />}
      {name === 'warnings' && <Ways />}
      <Onward name={name} />
    </>
  );
}

async function send(fields: readonly Field[], name: SectionName): Promise<void> {
  if (name === 'place' && thinkOver()) return;
  await save(fields, name === 'warnings' ? 'now' : chosenSince());
  focusFirstWrong();
}

/** Writes defaults down as the owner's own word. */
function Confirm({ fields }: { fields: Field[] }) {
  const names = fields.map(({ path }) => setupWords.questions[path]!.label);
  const confirm = async () => {
    const [setup, of] = [inForce.value, tub.value];
    if (setup === null || of === null) return;
    const entries = fields.map(({ path }) => [path, { value: defaultAt(setup, of, path) }]);
    // The button goes with what it confirmed; what came of it stands at the top.
    if (await put(Object.fromEntries(entries), 'now')) arrive();
  };
  return (
    <div class="confirm">
      <p>{setupWords.confirmHint(names)}</p>
      <button type="button" class="button" disabled={sending.value} onClick={confirm}>
        {setupWords.confirm}
      </button>
    </div>
  );
}

function Onward({ name }: { name: SectionName }) {
  const next = sectionNames[sectionNames.indexOf(name) + 1];
  return (
    <p class="onward">
      {next && (
        <a class="button" href={address(`/setup/${next}`)}>
          {setupWords.next(setupWords.sections[next]!.name)}
        </a>
      )}
      <a class="button" href={address('/setup')}>
        {setupWords.all}
      </a>
    </p>
  );
}
