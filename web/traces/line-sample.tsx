import type { LineStyle } from './picture.ts';

/** A piece of a line as it is drawn. */
export function LineSample({ style }: { style: LineStyle }) {
  return (
    <svg class="sample" viewBox="0 0 24 16" aria-hidden="true" focusable="false">
      <path
        class={style.colour}
        d="M0 8h24"
        stroke-width={style.width}
        stroke-dasharray={style.dash.join(' ')}
      />
    </svg>
  );
}
