import type { Panel, Picture } from './picture.ts';
import { drawCurves, drawSwitch } from './plot-lines.ts';
import { drawMarks } from './plot-marks.ts';
import type { TimeMark } from './time-marks.ts';
import type { Span } from './view.ts';

/**
 * Draws lines over time on a canvas. Everything that a finger moves is drawn anew for each picture of
 * the screen, from what is there: a few hundred points a line, so that it keeps up.
 */

export interface Plot {
  show(picture: Picture, view: Span, cursor: number | null, timeMarks: MarksFor): void;
  /** Which instant lies so far from the canvas's left edge [px], and where an instant lies. */
  instantAt(x: number): number;
  /** How wide the axis of time is [px]. */
  width(): number;
  destroy(): void;
}

/** Marks of the time axis, where so many find room. */
export type MarksFor = (most: number) => readonly TimeMark[];

export interface Colours {
  paper: string;
  ink: string;
  muted: string;
  rule: string;
  night: string;
  sun: string;
  water: string;
}

/** Where things are drawn [px]. */
export interface Frame {
  context: CanvasRenderingContext2D;
  colours: Colours;
  /** Size of the text [px]. */
  em: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
  view: Span;
  x(t: number): number;
}

/** Heights of panels in the canvas's own em; the axis of time and the marks have theirs. */
const HEIGHT = { main: 13, small: 5.5, switch: 2.2, marks: 1.7, axis: 1.7 } as const;

const heightOf = (panel: Panel): number =>
  panel.kind === 'switch' ? HEIGHT.switch : panel.main ? HEIGHT.main : HEIGHT.small;

/** How high the canvas has to be, in its own em. */
export const heightFor = ({ panels }: Picture): number =>
  panels.reduce((sum, panel) => sum + heightOf(panel), HEIGHT.marks + HEIGHT.axis);

export function plotOn(canvas: HTMLCanvasElement): Plot {
  const context = canvas.getContext('2d')!;
  let shown: Parameters<Plot['show']> | null = null;
  let [left, right] = [0, 1];
  let view: Span = { from: 0, to: 1 };
  let colours = coloursOf(canvas);

  function draw(): void {
    if (shown === null) return;
    const [picture, span, cursor, timeMarks] = shown;
    view = span;
    const { em, family, width, height } = fit(canvas, context);
    context.font = `${em}px ${family}`;
    right = Math.max(1, width - labelWidth(context, picture) - 0.4 * em);
    left = 1;
    const frame: Frame = {
      context,
      colours,
      em,
      left,
      right,
      top: HEIGHT.marks * em,
      bottom: height - HEIGHT.axis * em,
      view,
      x: (t) => left + ((t - view.from) / (view.to - view.from)) * (right - left),
    };
    context.clearRect(0, 0, width, height);
    drawNights(frame, picture.nights);
    drawPanels(frame, picture.panels);
    drawAxis(frame, timeMarks(Math.max(2, Math.floor((right - left) / (4.2 * em)))));
    drawMarks(frame, picture.marks);
    if (cursor !== null) drawCursor(frame, cursor);
  }

  // The phone may turn dark at sunset, while the page is open.
  const recolour = () => {
    colours = coloursOf(canvas);
    draw();
  };
  const dark = matchMedia('(prefers-color-scheme: dark)');
  dark.addEventListener('change', recolour);
  const resized = new ResizeObserver(draw);
  resized.observe(canvas);
  // Text drawn before the typeface is there would stay in another one.
  document.fonts.ready.then(draw);

  return {
    show(...next) {
      shown = next;
      draw();
    },
    instantAt: (x) => view.from + ((x - left) / (right - left)) * (view.to - view.from),
    width: () => right - left,
    destroy() {
      shown = null;
      dark.removeEventListener('change', recolour);
      resized.disconnect();
    },
  };
}

function coloursOf(canvas: HTMLCanvasElement): Colours {
  const style = getComputedStyle(canvas);
  const colour = (name: string) => style.getPropertyValue(`--${name}`).trim();
  return {
    paper: colour('paper'),
    ink: colour('ink'),
    muted: colour('muted'),
    rule: colour('rule'),
    night: colour('night'),
    sun: colour('sun'),
    water: colour('water'),
  };
}

/** As many points as the screen has. */
function fit(canvas: HTMLCanvasElement, context: CanvasRenderingContext2D) {
  const { width, height } = canvas.getBoundingClientRect();
  const { fontSize, fontFamily } = getComputedStyle(canvas);
  const density = devicePixelRatio;
  const [w, h] = [Math.round(width * density), Math.round(height * density)];
  if (canvas.width !== w) canvas.width = w;
  if (canvas.height !== h) canvas.height = h;
  context.setTransform(density, 0, 0, density, 0, 0);
  return { width, height, em: Number.parseFloat(fontSize), family: fontFamily };
}

function labelWidth(context: CanvasRenderingContext2D, { panels }: Picture): number {
  const labels = panels.flatMap((panel) =>
    panel.kind === 'curves' ? panel.scale.marks.map((mark) => panel.label(mark)) : [],
  );
  return labels.reduce((widest, label) => Math.max(widest, context.measureText(label).width), 0);
}

function drawNights(
  { context, colours, x, left, right, top, bottom }: Frame,
  nights: readonly Span[],
) {
  context.fillStyle = colours.night;
  for (const { from, to } of nights) {
    const [a, b] = [Math.max(left, x(from)), Math.min(right, x(to))];
    if (b > a) context.fillRect(a, top, b - a, bottom - top);
  }
}

function drawPanels(frame: Frame, panels: readonly Panel[]): void {
  let { top } = frame;
  for (const panel of panels) {
    const bottom = top + heightOf(panel) * frame.em;
    const within = { ...frame, top, bottom };
    if (panel.kind === 'switch') drawSwitch(within, panel);
    else drawCurves(within, panel);
    top = bottom;
  }
}

function drawAxis(
  { context, colours, em, x, left, right, bottom }: Frame,
  marks: readonly TimeMark[],
) {
  context.strokeStyle = colours.ink;
  context.lineWidth = 1.5;
  line(context, left, bottom, right, bottom);
  context.fillStyle = colours.muted;
  context.strokeStyle = colours.muted;
  context.lineWidth = 1;
  context.textBaseline = 'top';
  context.textAlign = 'left';
  let free = Number.NEGATIVE_INFINITY;
  for (const { at, label } of marks) {
    const place = x(at);
    if (place < left - 1 || place > right + 1) continue;
    line(context, place, bottom, place, bottom + 4);
    const { width } = context.measureText(label);
    const start = Math.min(right - width, Math.max(left, place - width / 2));
    if (start < free) continue;
    context.fillText(label, start, bottom + 0.4 * em);
    free = start + width + 0.6 * em;
  }
}

function drawCursor(
  { context, colours, x, left, right, top, bottom }: Frame,
  cursor: number,
): void {
  const place = x(cursor);
  if (place < left || place > right) return;
  context.strokeStyle = colours.ink;
  context.lineWidth = 2;
  line(context, place, top, place, bottom);
}

export function line(
  context: CanvasRenderingContext2D,
  x1: number,
  y1: number,
  x2: number,
  y2: number,
): void {
  context.beginPath();
  context.moveTo(x1, y1);
  context.lineTo(x2, y2);
  context.stroke();
}
