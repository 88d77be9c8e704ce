import type { Mark } from './picture.ts';
import type { Frame } from './plot.ts';

/**
 * Draws alerts and entries of the log above the panels: a numbered sign, and a line down to the axis. So
 * many that their lines would hide the curves leave no more than a notch each.
 */

/** What each line has to have to either side, on the whole, so as to hide no curve. */
const ROOM_EM = 3;
const NOTCH_EM = 0.5;

export function drawMarks(frame: Frame, marks: readonly Mark[]): void {
  const { context, em, left, right, top, x } = frame;
  context.save();
  const seen = marks.filter(({ from, to }) => x(to ?? from) >= left && x(from) <= right);
  const bottom = seen.length > (right - left) / (ROOM_EM * em) ? NOTCH_EM * em + top : frame.bottom;
  for (const { kind, from, to } of seen) {
    const place = Math.max(left, x(from));
    if (kind === 'alert') drawLength(frame, place, Math.min(right, x(to ?? from)));
    if (x(from) >= left) drawStem(frame, place, bottom, kind);
  }
  context.font = context.font.replace(/[\d.]+px/, `${0.85 * em}px`);
  for (const sign of signsOf(frame, seen)) drawSign(frame, sign);
  context.restore();
}

interface Sign {
  mark: Mark;
  /** Where its middle is, and how far it reaches to either side [px]. */
  x: number;
  half: number;
}

/** Signs that would cover each other move aside, a little; where that is not enough, the line alone stands. */
function signsOf({ context, em, left, right, x }: Frame, marks: readonly Mark[]): Sign[] {
  const signs = marks
    .filter(({ number }) => number !== null)
    .map((mark): Sign => {
      const half = Math.max(
        0.6 * em,
        context.measureText(String(mark.number)).width / 2 + 0.3 * em,
      );
      return { mark, half, x: Math.max(left + half, x(mark.from)) };
    });
  let free = left;
  for (const sign of signs) {
    sign.x = Math.max(sign.x, free + sign.half);
    free = sign.x + sign.half + 2;
  }
  free = right;
  for (const sign of signs.toReversed()) {
    sign.x = Math.min(sign.x, free - sign.half);
    free = sign.x - sign.half - 2;
  }
  return signs.filter((sign) => Math.abs(sign.x - Math.max(left, x(sign.mark.from))) < 3 * em);
}

/** How long an alert stood. */
function drawLength({ context, colours, top }: Frame, from: number, to: number): void {
  if (to <= from) return;
  context.fillStyle = colours.ink;
  context.fillRect(from, top - 3, to - from, 3);
}

function drawStem(
  { context, colours, top }: Frame,
  x: number,
  bottom: number,
  kind: Mark['kind'],
): void {
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
function drawSign({ context, colours, em, top }: Frame, { mark, x, half }: Sign): void {
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
