import {
  BarController,
  BarElement,
  Chart,
  type ChartData,
  type ChartDataset,
  type ChartOptions,
  LinearScale,
  LineController,
  LineElement,
  type Plugin,
  type Point,
  PointElement,
} from 'chart.js';
import type { Picture } from './picture.ts';
import { wedge } from './wedge.ts';

/** Draws a day on a canvas; a part of its own, so that the sentence does not wait for it. */

Chart.register(BarController, BarElement, LineController, LineElement, LinearScale, PointElement);

export interface Drawing {
  show(picture: Picture): void;
  destroy(): void;
}

interface Colours {
  paper: string;
  ink: string;
  muted: string;
  rule: string;
  night: string;
  sun: string;
  water: string;
}

export function drawingOn(canvas: HTMLCanvasElement): Drawing {
  let picture: Picture | null = null;
  let colours: Colours | null = null;
  let chart: Chart | null = null;

  /** Night behind everything; then the line that heat stands on, and the wanted temperature; last, what is to come. */
  const ground: Plugin = {
    id: 'ground',
    beforeDraw(chart) {
      if (picture && colours) nights(chart, picture, colours);
    },
    beforeDatasetsDraw(chart) {
      if (picture && colours) lines(chart, picture, colours);
    },
    afterDatasetsDraw(chart) {
      if (picture && colours) wedge(chart, picture, colours.water);
    },
  };

  function draw(): void {
    if (picture === null) return;
    colours = coloursOf(canvas);
    const data = dataOf(picture, colours);
    const options = optionsOf(picture, colours, canvas);
    if (chart === null) {
      chart = new Chart(canvas, { type: 'bar', data, options, plugins: [ground] });
      return;
    }
    chart.data = data;
    chart.options = options;
    chart.update('none');
  }

  // The phone may turn dark at sunset, while the page is open.
  const dark = matchMedia('(prefers-color-scheme: dark)');
  dark.addEventListener('change', draw);
  // Text drawn before the typeface is there would stay in another one.
  document.fonts.ready.then(draw);

  return {
    show(next) {
      picture = next;
      draw();
    },
    destroy() {
      picture = null;
      dark.removeEventListener('change', draw);
      chart?.destroy();
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

function optionsOf(picture: Picture, colours: Colours, canvas: HTMLCanvasElement): ChartOptions {
  const { fontSize, fontFamily } = getComputedStyle(canvas);
  const heat = heatScale(picture);
  const water = waterScale(picture);
  const tick = {
    color: colours.muted,
    font: { family: fontFamily, size: Number.parseFloat(fontSize) },
  };
  const line = { color: colours.rule, drawTicks: false };
  const ticksAt = (values: number[]) => (scale: { ticks: { value: number }[] }) => {
    scale.ticks = values.map((value) => ({ value }));
  };
  return {
    animation: false,
    events: [],
    responsive: true,
    maintainAspectRatio: false,
    parsing: false,
    normalized: true,
    layout: { padding: { top: 6 } },
    scales: {
      x: {
        type: 'linear',
        min: picture.from,
        max: picture.to,
        offset: false,
        grid: { display: false },
        border: { display: false },
        afterBuildTicks: ticksAt(picture.hours.map(({ at }) => at)),
        ticks: {
          ...tick,
          align: 'inner',
          maxRotation: 0,
          autoSkip: false,
          callback(_, index) {
            const every = hoursApart(picture, this.chart, tick.font);
            return index % every === 0 ? picture.hours[index]?.label : null;
          },
        },
      },
      heat: {
        type: 'linear',
        position: 'left',
        display: picture.bars.some(({ gainKw, lostKw }) => gainKw !== null || lostKw !== null),
        min: heat.min,
        max: heat.max,
        grid: { display: false },
        border: { display: false },
        afterBuildTicks: ticksAt(heat.ticks),
        ticks: {
          ...tick,
          callback: (value) => picture.kilowatts(Number(value), value === heat.ticks.at(-1)),
        },
      },
      water: {
        type: 'linear',
        position: 'right',
        display: water.ticks.length > 0,
        min: water.min,
        max: water.max,
        grid: line,
        border: { display: false },
        afterBuildTicks: ticksAt(water.ticks),
        ticks: { ...tick, callback: (value) => picture.degrees(Number(value)) },
      },
    },
  };
}

interface Font {
  family: string;
  size: number;
}

/** Every which hour finds room beside the next; the first and the last stand inwards. */
function hoursApart({ hours }: Picture, { ctx, width }: Chart, font: Font): number {
  ctx.font = `${font.size}px ${font.family}`;
  const widest = hours.reduce((a, { label }) => Math.max(a, ctx.measureText(label).width), 0);
  const marks = 5 * font.size; // what the two scales beside the plot take
  const room = (width - marks) / (hours.length - 1);
  return [1, 2].find((every) => room * every > 1.5 * widest + 8) ?? hours.length - 1;
}

function dataOf(picture: Picture, colours: Colours): ChartData {
  const alone = picture.water.map(
    ({ y }, i, all) => y !== null && all[i - 1]?.y == null && all[i + 1]?.y == null,
  );
  return {
    datasets: [
      {
        type: 'line',
        yAxisID: 'water',
        order: 1,
        data: picture.water as Point[],
        borderColor: colours.water,
        borderWidth: 3,
        spanGaps: false,
        // A single reading between two gaps has no line to be on.
        pointRadius: alone.map((is) => (is ? 2.5 : 0)),
        pointBackgroundColor: colours.water,
      },
      {
        type: 'line',
        yAxisID: 'water',
        order: 0,
        data: picture.waterNow ? [picture.waterNow] : [],
        pointRadius: 6,
        pointBackgroundColor: colours.water,
        pointBorderColor: colours.paper,
        pointBorderWidth: 2,
      },
      barsOf(picture, (bar) => (bar.estimated ? null : bar.gainKw), colours.sun),
      {
        ...barsOf(picture, (bar) => (bar.estimated ? bar.gainKw : null), hatching(colours.sun)),
        // Stripes need room to be seen as such: these bars touch, and only their top is drawn.
        barPercentage: 1,
        borderColor: colours.sun,
        borderWidth: { top: 1.5, right: 0, bottom: 0, left: 0 },
        borderSkipped: false,
      },
      barsOf(picture, (bar) => bar.lostKw, colours.muted),
    ],
  };
}

type Bar = Picture['bars'][number];

function barsOf(
  { bars }: Picture,
  height: (bar: Bar) => number | null,
  backgroundColor: string | CanvasPattern,
): ChartDataset<'bar', Point[]> {
  return {
    type: 'bar',
    yAxisID: 'heat',
    order: 2,
    grouped: false,
    barPercentage: 0.72,
    categoryPercentage: 1,
    minBarLength: 1,
    backgroundColor,
    data: bars.map((bar) => ({ x: bar.x, y: height(bar) })) as Point[],
  };
}

/** Stripes, for what was estimated. */
function hatching(colour: string): CanvasPattern | string {
  const size = 5;
  const tile = document.createElement('canvas');
  tile.width = size;
  tile.height = size;
  const context = tile.getContext('2d');
  if (context === null) return colour;
  context.strokeStyle = colour;
  context.lineWidth = 1.5;
  context.beginPath();
  for (const shift of [-size, 0, size]) {
    context.moveTo(shift - 1, size + 1);
    context.lineTo(shift + size + 1, -1);
  }
  context.stroke();
  return context.createPattern(tile, 'repeat') ?? colour;
}

function nights({ ctx, chartArea, scales }: Chart, picture: Picture, colours: Colours): void {
  const { left, right, top, bottom } = chartArea;
  const x = (at: number) => Math.min(right, Math.max(left, scales.x!.getPixelForValue(at)));
  ctx.fillStyle = colours.night;
  for (const { from, to } of picture.nights)
    ctx.fillRect(x(from), top, x(to) - x(from), bottom - top);
}

function lines({ ctx, chartArea, scales }: Chart, { wanted }: Picture, colours: Colours): void {
  const across = (y: number, colour: string, dash: number[]) => {
    ctx.save();
    ctx.strokeStyle = colour;
    ctx.lineWidth = 1.5;
    ctx.setLineDash(dash);
    ctx.beginPath();
    ctx.moveTo(chartArea.left, y);
    ctx.lineTo(chartArea.right, y);
    ctx.stroke();
    ctx.restore();
  };
  across(scales.heat!.getPixelForValue(0), colours.ink, []);
  if (wanted === null || !scales.water) return;
  across(scales.water.getPixelForValue(wanted), colours.muted, [2, 5]);
}

interface Range {
  min: number;
  max: number;
  ticks: number[];
}

/** Room for the tallest bar, and below the line only where heat was lost. */
function heatScale({ bars }: Picture): Range {
  const most = bars.reduce((a, { gainKw }) => Math.max(a, gainKw ?? 0), 0);
  const least = bars.reduce((a, { lostKw }) => Math.min(a, lostKw ?? 0), 0);
  const max = Math.max(0.5, most * 1.15);
  const step = stepFor(max, 2);
  const ticks = [];
  for (let tick = 0; tick <= max; tick += step) ticks.push(tick);
  return { min: least < 0 ? Math.min(least * 1.3, -0.06 * max) : 0, max, ticks };
}

/** The day's water and what was wanted, with a degree or so to spare. */
function waterScale({ water, waterNow, wanted, expected }: Picture): Range {
  const values = [
    ...water.map(({ y }) => y),
    waterNow?.y,
    wanted,
    expected?.low,
    expected?.high,
  ].filter((y) => y != null);
  if (values.length === 0) return { min: 0, max: 1, ticks: [] };
  const low = values.reduce((a, b) => Math.min(a, b));
  const high = values.reduce((a, b) => Math.max(a, b));
  const spare = Math.max(0.12 * (high - low), 0.8);
  const step = Math.max(1, stepFor(high - low + 2 * spare, 4));
  const min = low - 1.6 * spare;
  const max = high + spare;
  const ticks = [];
  for (let tick = Math.ceil(min / step) * step; tick <= max; tick += step) ticks.push(tick);
  return { min, max, ticks };
}

/** A round step, so that about `count` of them fill the span. */
function stepFor(span: number, count: number): number {
  const rough = span / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  return power * ([1, 2, 5].find((factor) => factor * power >= rough * 0.75) ?? 10);
}
