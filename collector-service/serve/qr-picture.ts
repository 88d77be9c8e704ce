import QRCode from 'qrcode';
import { z } from 'zod';

export const pictureSchema = z.object({
  size: z.int().describe('squares on each side, the quiet zone of four included'),
  path: z.string().describe('the dark squares as SVG path data'),
});

/** Light squares around the code, without which cameras do not find it (ISO/IEC 18004 §6.3.8). */
const QUIET = 4;

/** A text as a QR code, to be drawn by whoever shows it. */
export function qrPicture(text: string): z.infer<typeof pictureSchema> {
  const { modules } = QRCode.create(text, { errorCorrectionLevel: 'M' });
  const rows = Array.from({ length: modules.size }, (_, y) => rowOf(modules, y));
  return { size: modules.size + 2 * QUIET, path: rows.join('') };
}

/** The dark squares of a row, those side by side as one. */
function rowOf(modules: { size: number; data: Uint8Array }, y: number): string {
  const row = modules.data.subarray(y * modules.size, (y + 1) * modules.size);
  const runs = [...row]
    .map((dark) => (dark ? '1' : '0'))
    .join('')
    .matchAll(/1+/g);
  return [...runs]
    .map(({ index, 0: run }) => `M${index + QUIET} ${y + QUIET}h${run.length}v1h-${run.length}z`)
    .join('');
}
