import { chooseUnit, say, type Units, units, words } from './speech.ts';

/** Units as this phone's owner likes them. */
export function UnitChoice() {
  const { title, temperature, celsius, fahrenheit, volume, litres, gallons } = words.units;
  const { clock, hours24, hours12 } = words.units;
  return (
    <details>
      <summary>{`${title}: ${summary()}`}</summary>
      <Choice unit="temperature" legend={temperature} choices={{ C: celsius, F: fahrenheit }} />
      <Choice unit="volume" legend={volume} choices={{ l: litres, gal: gallons }} />
      <Choice unit="hours" legend={clock} choices={{ 24: hours24, 12: hours12 }} />
    </details>
  );
}

function summary(): string {
  const { celsius, fahrenheit, litres, gallons, hours24, hours12 } = words.units;
  const { manner } = say.value;
  return [
    manner.temperature === 'C' ? celsius : fahrenheit,
    manner.volume === 'l' ? litres : gallons,
    manner.hours === 24 ? hours24 : hours12,
  ].join(', ');
}

function Choice<K extends keyof Units>(props: {
  unit: K;
  legend: string;
  choices: Record<Units[K], string>;
}) {
  const { unit, legend, choices } = props;
  return (
    <fieldset>
      <legend>{legend}</legend>
      {Object.entries<string>(choices).map(([key, word]) => (
        <label key={key}>
          <input
            type="radio"
            name={unit}
            checked={String(units.value[unit]) === key}
            onChange={() => chooseUnit(unit, (unit === 'hours' ? Number(key) : key) as Units[K])}
          />
          {word}
        </label>
      ))}
    </fieldset>
  );
}
