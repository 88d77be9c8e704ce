import { trouble } from './known.ts';

/** What went wrong, beside what was pressed. */
export function Trouble() {
  return (
    <p class={trouble.value === null ? 'unseen' : 'wrong'} role="alert">
      {trouble.value}
    </p>
  );
}
