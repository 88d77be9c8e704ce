import { useSignal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { useEffect } from 'preact/hooks';
import type { Alert } from '../../model/shapes.ts';
import { now } from '../live.ts';
import { pointsAbout } from './points-about.ts';

type View = ComponentType<{ alert: Alert; points: string[] }>;

/** Room for the chart of an alert's start, which comes after everything that is to be read and done. */
export function StartFigure({ alert }: { alert: Alert }) {
  const view = useSignal<{ View: View } | null>(null);
  useEffect(() => {
    let gone = false;
    import('./start-chart.tsx').then(
      ({ StartChart }) => {
        if (!gone) view.value = { View: StartChart };
      },
      // Without it nothing is missing that is to be done: the evidence stands above in words.
      () => {},
    );
    return () => {
      gone = true;
    };
  }, []);
  const points = pointsAbout(alert, Object.keys(now.value?.values ?? {}));
  if (points.length === 0) return null;
  if (view.value === null) return <div class="start" />;
  return <view.value.View alert={alert} points={points} />;
}
