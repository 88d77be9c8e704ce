import type { Chart } from 'chart.js';
import type { Picture } from './picture.ts';

/** Half the width of the marks at the band's ends [px]. */
const MARK = 5;
const DOTS = 5; // px from one to the next

/**
 * What is to be expected: dots that open from the water as it is now to the band at the owner's hour,
 * which stands there as an upright line with its ends marked.
 */
export function wedge(chart: Chart, { waterNow, expected }: Picture, colour: string): void {
  const { ctx, scales } = chart;
  if (expected === null || !scales.x || !scales.water) return;
  const at = scales.x.getPixelForValue(expected.at);
  const low = scales.water.getPixelForValue(expected.low);
  const high = scales.water.getPixelForValue(expected.high);
  ctx.save();
  ctx.strokeStyle = colour;
  ctx.fillStyle = colour;
  if (waterNow !== null && waterNow.x < expected.at) {
    const from = scales.x.getPixelForValue(waterNow.x) + 2 * MARK;
    const y = scales.water.getPixelForValue(waterNow.y);
    ctx.save();
    ctx.beginPath();
    ctx.moveTo(from, y);
    ctx.lineTo(at, low);
    ctx.lineTo(at, high);
    ctx.closePath();
    ctx.lineWidth = 1.5;
    ctx.stroke();
    ctx.clip();
    ctx.globalAlpha = 0.2;
    ctx.fill();
    ctx.globalAlpha = 1;
    dots(ctx, { left: from, right: at, top: Math.min(y, high), bottom: Math.max(y, low) });
    ctx.restore();
  }
  ctx.lineWidth = 3;
  ctx.beginPath();
  ctx.moveTo(at, low);
  ctx.lineTo(at, high);
  for (const end of [low, high]) {
    ctx.moveTo(at - MARK, end);
    ctx.lineTo(at + MARK, end);
  }
  ctx.stroke();
  ctx.restore();
}

type Box = { left: number; right: number; top: number; bottom: number };

function dots(ctx: CanvasRenderingContext2D, { left, right, top, bottom }: Box): void {
  ctx.beginPath();
  for (let x = right - DOTS; x > left; x -= DOTS) {
    for (let y = top; y < bottom; y += DOTS) ctx.rect(x, y, 1.5, 1.5);
  }
  ctx.fill();
}
