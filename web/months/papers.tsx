import type { Day, Month } from '../../model/shapes.ts';
import { tub } from '../live.ts';
import { say } from '../speech.ts';
import { figuresFile } from './figures-file.ts';
import { monthsWords } from './speech.ts';

/** What can be taken along: a sheet on paper, and a file of figures. */
export function Papers(props: { month: string | null; sheetOf: string; rows: (Day | Month)[] }) {
  const { month, sheetOf, rows } = props;
  return (
    <div class="papers">
      <a class="button main" href={sheetAddress(sheetOf)} target="_blank" rel="noreferrer">
        {monthsWords.sheet}
      </a>
      <button
        type="button"
        class="button"
        disabled={rows.length === 0}
        onClick={() => download(figuresFile(rows), monthsWords.file(tub.value ?? '', month))}
      >
        {monthsWords.csv}
      </button>
    </div>
  );
}

/** The sheet speaks as this phone does. */
function sheetAddress(month: string): string {
  const { locale, temperature, hours } = say.value.manner;
  const manner = new URLSearchParams({ language: locale, temperature, hours: String(hours) });
  return `/api/tubs/${tub.value}/months/${month}/sheet?${manner}`;
}

function download(text: string, name: string): void {
  const address = URL.createObjectURL(new Blob([text], { type: 'text/csv;charset=utf-8' }));
  const link = document.createElement('a');
  link.href = address;
  link.download = `${name}.csv`;
  link.click();
  URL.revokeObjectURL(address);
}
