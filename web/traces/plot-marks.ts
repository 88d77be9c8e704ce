import type { Mark } from './picture.ts';
import type { Frame } from './plot.ts';

/** Draws alerts and entries of the log above the panels: a numbered sign, and a line down to the axis. */

export function drawMarks(frame: Frame, marks: readonly Mark[]): void {
  const { context, em, left, right, x } = frame;
  context.save();
  const { font } = context;
  let free = Number.NEGATIVE_INFINITY;
  for (const mark of marks) {
    const begins = x(mark.from);
    const ends = mark.to === null ? begins : x(mark.to);
    if (ends < left || begins > right) continue;
    const place = Math.min(right, Math.max(left, begins));
    if (mark.kind === 'alert') drawLength(frame, place, Math.min(right, ends));
    if (begins >= left) drawStem(frame, place, mark.kind);
    context.font = font.replace(/[\d.]+px/, `${0.85 * em}px`);
    const half = Math.max(
      0.55 * em,
      context.measureText(String(mark.number)).width / 2 + 0.25 * em,
    );
    const middle = Math.min(right - half, Math.max(left + half, place));
    // Signs that would cover each other: the line alone stands for the later one.
    if (middle - half < free) continue;
    drawSign(frame, mark, middle, half);
    free = middle + half + 2;
  }
  context.restore();
}

/** How long an alert stood. */
function drawLength({ context, colours, top }: Frame, from: number, to: number): void {
  if (to <= from) return;
  context.fillStyle = colours.ink;
  context.fillRect(from, top - 3, to - from, 3);
}

function drawStem({ context, colours, top, bottom }: Frame, x: number, kind: Mark['kind']): void {
  context.strokeStyle = kind === 'alert' ? colours.ink : colours.muted;
  context.lineWidth = 1.5;
  context.setLineDash(kind === 'alert' ? [5, 4] : [1, 4]);
  context.beginPath();
  context.moveTo(x, top);
  context.lineTo(x, bottom);
  context.stroke();
  context.setLineDash([]);
}

/** An alert's is filled and square, an entry's hollow and round. */
function drawSign({ context, colours, em, top }: Frame, mark: Mark, x: number, half: number): void {
  const [y, high] = [top - 0.9 * em, 0.6 * em];
  const alert = mark.kind === 'alert';
  context.beginPath();
  context.roundRect(x - half, y - high, 2 * half, 2 * high, alert ? 2 : high);
  context.fillStyle = alert ? colours.ink : colours.paper;
  context.fill();
  context.strokeStyle = colours.ink;
  context.lineWidth = 1.5;
  context.stroke();
  context.fillStyle = alert ? colours.paper : colours.ink;
  context.textAlign = 'center';
  context.textBaseline = 'middle';
  context.fillText(String(mark.number), x, y + 0.5);
}
