import type { Curve, Panel, Vertex } from './picture.ts';
import type { Frame } from './plot.ts';

/** Draws what a panel holds: curves with their scale, or how a switch stood. */

type Curves = Extract<Panel, { kind: 'curves' }>;
type Switch = Extract<Panel, { kind: 'switch' }>;

export function drawCurves(frame: Frame, panel: Curves): void {
  const { context, colours, em, left, right, top, bottom } = frame;
  const { min, max, marks } = panel.scale;
  const [low, high] = [bottom - 0.6 * em, top + 1.5 * em];
  const y = (value: number) => low - ((value - min) / (max - min)) * (low - high);
  context.lineWidth = 1;
  context.strokeStyle = colours.rule;
  context.fillStyle = colours.muted;
  context.textAlign = 'left';
  context.textBaseline = 'middle';
  for (const mark of marks) {
    context.beginPath();
    context.moveTo(left, y(mark));
    context.lineTo(right, y(mark));
    context.stroke();
    context.fillText(panel.label(mark), right + 0.4 * em, y(mark));
  }
  title(frame, panel.title);
  context.save();
  context.beginPath();
  context.rect(left, top, right - left, bottom - top);
  context.clip();
  for (const curve of panel.lines) drawBand(frame, curve, y);
  for (const curve of panel.lines) drawLine(frame, curve, y);
  context.restore();
}

function title({ context, colours, em, left, right, top }: Frame, text: string): void {
  context.fillStyle = colours.muted;
  context.textAlign = 'left';
  context.textBaseline = 'top';
  context.fillText(text, left + 0.3 * em, top + 0.3 * em, right - left);
}

/** From the lowest to the highest of each bucket. */
function drawBand({ context, colours, x }: Frame, { pieces, style }: Curve, y: Height): void {
  context.fillStyle = colours[style.colour];
  context.globalAlpha = 0.25;
  for (const piece of pieces) {
    if (!piece.some(({ low, high }) => high > low)) continue;
    context.beginPath();
    for (const vertex of piece) context.lineTo(x(vertex.x), y(vertex.high));
    for (const vertex of piece.toReversed()) context.lineTo(x(vertex.x), y(vertex.low));
    context.fill();
  }
  context.globalAlpha = 1;
}

type Height = (value: number) => number;

function drawLine({ context, colours, x }: Frame, { pieces, style }: Curve, y: Height): void {
  context.strokeStyle = colours[style.colour];
  context.fillStyle = colours[style.colour];
  context.lineWidth = style.width;
  context.lineJoin = 'round';
  context.setLineDash([...style.dash]);
  for (const piece of pieces) {
    const [first, second] = piece;
    context.beginPath();
    // A single one between two gaps has no line to be on.
    if (second === undefined) dot(context, x(first!.x), first!, y);
    for (const vertex of piece) context.lineTo(x(vertex.x), y(vertex.y));
    context.stroke();
  }
  context.setLineDash([]);
}

function dot(context: CanvasRenderingContext2D, x: number, vertex: Vertex, y: Height): void {
  context.arc(x, y(vertex.y), 2.5, 0, 2 * Math.PI);
  context.fill();
  context.beginPath();
}

/** A strip that is filled while the switch was on; lower where it was on for a part of the span. */
export function drawSwitch(frame: Frame, panel: Switch): void {
  const { context, colours, em, left, right, x, bottom, top } = frame;
  const ground = bottom - 0.2 * em;
  const height = 0.6 * em;
  title({ ...frame, top: top - 0.1 * em }, panel.title);
  context.fillStyle = colours.ink;
  for (const { from, to, share } of panel.blocks) {
    const [a, b] = [Math.max(left, x(from)), Math.min(right, x(to))];
    if (b <= a) continue;
    const high = Math.max(1, height * share);
    context.fillRect(a, ground - high, Math.max(0.75, b - a), high);
  }
  context.strokeStyle = colours.muted;
  context.lineWidth = 1;
  context.beginPath();
  context.moveTo(left, ground);
  context.lineTo(right, ground);
  context.stroke();
}
