import QRCode from 'qrcode';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { qrPicture } from '../../../collector-service/serve/qr-picture.ts';
import { asPage, asScript, type House, openHouse, viewer } from './house.ts';

let house: House;
beforeEach(async () => {
  house = await openHouse();
});
afterEach(() => house.close());

const rename = (id: string, name: unknown, headers: Record<string, string> = asScript) =>
  house.app.inject({ method: 'PUT', url: `/api/phones/${id}`, headers, payload: { name } });
const listed = async () =>
  (await house.app.inject({ url: '/api/phones', headers: asScript })).json().items;

test('a phone gets another name, in any script', async () => {
  const { id, cookie } = await house.pair();
  const answer = await rename(id, '  Mere’s phone 電話 ', asPage(cookie));
  expect(answer.json()).toMatchObject({ id, kind: 'phone', name: 'Mere’s phone 電話', you: true });
  expect(await listed()).toMatchObject([{ id, name: 'Mere’s phone 電話', you: false }]);
});

test('a name that is none, too long or of two lines is refused', async () => {
  const { id } = await house.pair();
  const [{ name: before }] = await listed();
  for (const name of ['', '   ', 'a'.repeat(61), 'one\ntwo', 7, null]) {
    expect((await rename(id, name)).statusCode, String(name)).toBe(400);
  }
  expect(await listed()).toMatchObject([{ name: before }]);
});

test('who may only look renames nobody, nor does anybody beyond their own tubs', async () => {
  const { id } = await house.pair();
  const looks = await house.pair(viewer);
  const some = await house.pair({ tubs: ['kowhai'] });
  expect((await rename(id, 'mine', asPage(looks.cookie))).statusCode).toBe(403);
  expect((await rename(id, 'mine', asPage(some.cookie))).statusCode).toBe(404);
  expect((await rename('no-such-phone', 'mine')).statusCode).toBe(404);
});

/** Which squares a path covers, row by row. */
function squares({ size, path }: { size: number; path: string }): string[] {
  const rows = Array.from({ length: size }, () => new Array<string>(size).fill('0'));
  for (const [, x, y, width] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\d+z/g)) {
    for (let n = 0; n < Number(width); n++) rows[Number(y)]![Number(x) + n] = '1';
  }
  return rows.map((row) => row.join(''));
}

test('a link comes as a picture too, each dark square of its code with light ones around it', async () => {
  const answer = await house.app.inject({
    method: 'POST',
    url: '/api/phones',
    headers: asScript,
    payload: { right: 'viewer' },
  });
  const { link, picture } = answer.json();
  const { modules } = QRCode.create(link, { errorCorrectionLevel: 'M' });
  const rows = squares(picture);
  const expected = rows.map((row, y) =>
    [...row].map((_, x) => {
      const within = Math.min(x, y) >= 4 && Math.max(x, y) < modules.size + 4;
      return within && modules.get(y - 4, x - 4) ? '1' : '0';
    }),
  );
  expect(rows).toEqual(expected.map((row) => row.join('')));
  expect(picture.size).toBe(modules.size + 8);
  expect(qrPicture(link)).toEqual(picture);
});
