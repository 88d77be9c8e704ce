import type { ComponentChildren } from 'preact';
import { unbroken } from '../speech.ts';

/** One figure with its label, its own doubt, and what else is to be said of it. */
export function Fact(props: {
  label: string;
  value: string;
  doubt?: string;
  /** To be read before the figure. */
  caution?: string | null;
  kind?: string;
  children?: ComponentChildren;
}) {
  const wordy = !/\d/.test(props.value);
  return (
    <div class={props.kind}>
      <dt>{unbroken(props.label)}</dt>
      <dd>
        {props.caution && <p class="caution">{unbroken(props.caution)}</p>}
        <strong class={wordy ? 'words' : undefined}>{unbroken(props.value)}</strong>
        {props.doubt && <span class="muted"> {unbroken(props.doubt)}</span>}
        {props.children}
      </dd>
    </div>
  );
}

export function Line({ text }: { text: string }) {
  return <p class="muted">{unbroken(text)}</p>;
}
