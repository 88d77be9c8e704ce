import { signal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { useEffect } from 'preact/hooks';
import { arrive } from './address.ts';
import { Headline, ToToday } from './headline.tsx';
import { lostAt } from './live.ts';
import { words } from './speech.ts';

/**
 * A screen that is fetched when it is first opened: nobody waits for it who only wants to see Today.
 *
 * @param Waiting  what stands in its place until it is there; left out: a sentence that says so
 */
export function later<Props extends object>(
  load: () => Promise<ComponentType<Props>>,
  Waiting?: ComponentType,
): ComponentType<Props> {
  const loaded = signal<{ View: ComponentType<Props> } | null>(null);
  const failed = signal(false);

  async function fetch(): Promise<void> {
    try {
      const View = await load();
      const read = document.activeElement?.tagName === 'H1';
      loaded.value = { View };
      // The sentence that had the focus is another one now.
      if (read) requestAnimationFrame(arrive);
    } catch {
      failed.value = true;
    }
  }

  return function Later(props: Props) {
    // The page's worker has every part of it, whether the service answers or not.
    const hasWorker = Boolean(navigator.serviceWorker?.controller);
    const reachable = lostAt.value === null || hasWorker;
    useEffect(() => {
      if (loaded.value !== null || !reachable) return;
      failed.value = false;
      fetch();
    }, [reachable]);
    if (loaded.value !== null) return <loaded.value.View {...props} />;
    if (Waiting) return <Waiting />;
    if (!failed.value && reachable) return <Headline told={{ sentence: words.frame.loading }} />;
    return (
      <div class="first">
        <Headline told={words.frame.partMissing} />
        <ToToday />
      </div>
    );
  };
}
