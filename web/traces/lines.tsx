import { useSignal } from '@preact/signals';
import { pointType } from '../../model/points.ts';
import type { TraceLineWords } from '../../model/words/traces-words.ts';
import { words } from '../speech.ts';
import { LineSample } from './line-sample.tsx';
import { styles } from './looked-at.ts';
import { choosePoints, heard, points } from './shown-view.ts';
import { tracesWords } from './speech.ts';

/** Which lines are drawn: those of what was heard, by where the sensors sit. */
export function Lines() {
  const open = useSignal(false);
  return (
    <section>
      <button
        type="button"
        class="button"
        aria-expanded={open.value}
        onClick={() => {
          open.value = !open.value;
        }}
      >
        {tracesWords.lines.choose}
      </button>
      {open.value && groupsOf(heard.value).map((group) => <Group key={group.name} {...group} />)}
    </section>
  );
}

interface Grouped {
  name: keyof Omit<TraceLineWords, 'choose'>;
  points: string[];
}

function groupsOf(all: readonly string[]): Grouped[] {
  const names = ['tub', 'collector', 'pump', 'others'] as const;
  const groupOf = (point: string) => names.find((name) => point.startsWith(`${name}/`)) ?? 'others';
  return names
    .map((name) => ({ name, points: all.filter((point) => groupOf(point) === name) }))
    .filter(({ points }) => points.length > 0);
}

function Group({ name, points: offered }: Grouped) {
  const chosen = points.value;
  return (
    <fieldset class="points">
      <legend>{tracesWords.lines[name]}</legend>
      {offered.map((point) => {
        const checked = chosen.includes(point);
        return (
          <label key={point}>
            <input
              type="checkbox"
              checked={checked}
              // A chart without a line would answer nothing.
              disabled={checked && chosen.length === 1}
              onChange={() =>
                choosePoints(checked ? chosen.filter((each) => each !== point) : [...chosen, point])
              }
            />
            {words.points.name(point)}
            <Sample point={point} />
          </label>
        );
      })}
    </fieldset>
  );
}

/** How the line is drawn; nothing for what is not drawn, or is a switch. */
export function Sample({ point }: { point: string }) {
  const style = styles.value.get(point);
  if (style === undefined || pointType(point)?.kind === 'flag') return null;
  return <LineSample style={style} />;
}
