import { useSignal } from '@preact/signals';
import type { PhoneWishes } from '../../model/alerts/telling.ts';
import { saveWishes, sending, trouble, usualPhoneWishes, wishes } from './known.ts';
import { noticesWords } from './speech.ts';

type Quiet = 'house' | 'own' | 'none';

/** The same time twice: there are no quiet hours. */
const NO_QUIET = { from: '00:00', to: '00:00' };
const USUAL_QUIET = { from: '22:00', to: '07:00' };

function quietOf({ quiet }: PhoneWishes): Quiet {
  if (quiet === null) return 'house';
  return quiet.from === quiet.to ? 'none' : 'own';
}

/** What this phone is told, and when not. */
export function WishForm() {
  const now = wishes.value ?? usualPhoneWishes;
  const least = useSignal(now.least);
  const atNight = useSignal(now.actAtNight);
  const quiet = useSignal(quietOf(now));
  const hours = useSignal(quiet.value === 'own' ? now.quiet! : USUAL_QUIET);
  const { least: levels, quiet: told, atNight: wakes } = noticesWords;

  function save(event: Event): void {
    event.preventDefault();
    const { from, to } = hours.value;
    if (quiet.value === 'own' && (from === '' || to === '' || from === to)) {
      trouble.value = told.wrong;
      return;
    }
    const chosen = { house: null, none: NO_QUIET, own: { from, to } }[quiet.value];
    saveWishes({ quiet: chosen, least: least.value, actAtNight: atNight.value });
  }

  return (
    <section>
      <h2>{noticesWords.wishes}</h2>
      <form noValidate onSubmit={save}>
        <Choices
          name="least"
          legend={levels.title}
          choices={{ look: levels.look, act: levels.act, danger: levels.danger }}
          chosen={least.value}
          onChoose={(choice) => {
            least.value = choice;
          }}
        />
        <Choices
          name="quiet"
          legend={told.title}
          choices={{ house: told.house, own: told.own, none: told.none }}
          chosen={quiet.value}
          onChoose={(choice) => {
            quiet.value = choice;
          }}
        />
        {quiet.value === 'own' && (
          <div class="pair">
            {(['from', 'to'] as const).map((end) => (
              <div class="field" key={end}>
                <label for={`quiet-${end}`}>{told[end]}</label>
                <input
                  id={`quiet-${end}`}
                  type="time"
                  value={hours.value[end]}
                  onInput={(event) => {
                    hours.value = { ...hours.value, [end]: event.currentTarget.value };
                  }}
                />
              </div>
            ))}
          </div>
        )}
        {quiet.value !== 'none' && least.value !== 'danger' && (
          <label class="choice">
            <input
              type="checkbox"
              checked={atNight.value}
              onChange={(event) => {
                atNight.value = event.currentTarget.checked;
              }}
            />
            <span>{wakes}</span>
          </label>
        )}
        <p class="muted">{told.means}</p>
        <button type="submit" class="button main" disabled={sending.value}>
          {noticesWords.save}
        </button>
      </form>
    </section>
  );
}

function Choices<K extends string>(props: {
  name: string;
  legend: string;
  choices: Record<K, string>;
  chosen: K;
  onChoose: (choice: K) => void;
}) {
  const { name, legend, choices, chosen, onChoose } = props;
  return (
    <fieldset>
      <legend>{legend}</legend>
      {(Object.entries(choices) as [K, string][]).map(([key, word]) => (
        <label class="choice" key={key}>
          <input type="radio" name={name} checked={key === chosen} onChange={() => onChoose(key)} />
          <span>{word}</span>
        </label>
      ))}
    </fieldset>
  );
}
