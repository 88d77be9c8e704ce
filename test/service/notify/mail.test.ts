import { afterEach, beforeEach, expect, test } from 'vitest';
import { Mail } from '../../../collector-service/notify/mail.ts';
import { letter } from '../../../collector-service/notify/writer.ts';
import type { Setup } from '../../../model/setup.ts';
import { alert, kowhai } from '../serve/samples.ts';
import { outgoing, setupWith } from './notices.ts';
import { mailServer, readMail } from './smtp.ts';

let server: Awaited<ReturnType<typeof mailServer>>;
beforeEach(async () => {
  server = await mailServer();
});
afterEach(() => server.close());

type Settings = NonNullable<NonNullable<Setup['notify']>['mail']>;
const settings = (more: Partial<Settings> = {}): Settings => ({
  host: '127.0.0.1',
  port: server.port,
  from: 'Kōwhai Terrace <tub@mail.test>',
  to: ['owner@mail.test', 'Someone Else <other@mail.test>'],
  ...more,
});
const mail = (more: Partial<Settings> = {}) => {
  const setup = setupWith({ mail: settings(more) });
  return new Mail({ setup, bodyOf: (message) => letter(message, setup(), 'https://tub.test') });
};

test('a notice is mailed in plain text, with the line as its subject', async () => {
  expect(await mail().send('house', outgoing())).toEqual({ sent: true, trouble: null });
  const [{ from, to, data }] = server.received as [(typeof server.received)[0]];
  expect(from).toBe('tub@mail.test');
  expect(to).toEqual(['owner@mail.test', 'other@mail.test']);
  const { headers, text } = readMail(data);
  const all = Object.fromEntries(headers);
  expect(headers).toHaveLength(Object.keys(all).length); // each but once
  expect(all.subject).toBe(
    'Kōwhai Terrace: The pump stands still though the sun is out. Check its plug.',
  );
  expect(all.from).toBe('Kōwhai Terrace <tub@mail.test>');
  expect(all['content-type']).toBe('text/plain; charset=utf-8');
  expect(all['auto-submitted']).toBe('auto-generated');
  expect(all['message-id']).toBe('<1772330400000-1@sunsteep.invalid>');
  expect(data).not.toMatch(/text\/html|multipart/i);
  expect(text).toContain(`1. ${alert.checks[0]}`);
  expect(text).toContain('https://tub.test');
  expect(text).not.toMatch(/undefined|null|NaN|pump-not-running/);
});

test('whatever people have called their tub, it adds no header', async () => {
  const title = `Tub\r\nBcc: thief@mail.test\r\n\r\nand text${'x'.repeat(300)}`;
  await mail().send('house', outgoing({ title }));
  const { headers } = readMail(server.received[0]!.data);
  expect(headers.map(([name]) => name)).not.toContain('bcc');
  const subject = headers.find(([name]) => name === 'subject')![1];
  expect(subject).toMatch(/^Tub Bcc: thief@mail.test and text/);
  expect(subject.length).toBeLessThanOrEqual(150);
  expect(server.received[0]!.to).toHaveLength(2);
});

test('a line of one dot does not end the mail', async () => {
  await mail().send('house', outgoing({ text: 'before\n.\nMAIL FROM:<thief@mail.test>' }));
  expect(server.received).toHaveLength(1);
  expect(readMail(server.received[0]!.data).text).toContain('\r\n.\r\nMAIL FROM');
});

test('a password never goes out in clear', async () => {
  const outcome = await mail({ user: 'tub', password: 'hush-hush' }).send('house', outgoing());
  expect(outcome.sent).toBe(false);
  expect(outcome.trouble).toMatch(/TLS/);
  expect(server.commands.join()).not.toMatch(/AUTH|hush/);
  expect(server.received).toEqual([]);
});

test('an address that is refused keeps it from nobody else, and is told of', async () => {
  const to = ['nobody@mail.test', 'owner@mail.test'];
  const outcome = await mail({ to }).send('house', outgoing());
  expect(outcome).toEqual({ sent: true, trouble: '1 of 2 addresses were refused.' });
  expect(server.received[0]!.to).toEqual(['owner@mail.test']);
  const none = await mail({ to: ['nobody@mail.test'] }).send('house', outgoing());
  expect(none).toEqual({ sent: false, trouble: 'The mail server refused an address.' });
});

test('a server that is not there is told of without its name', async () => {
  const { port } = server;
  await server.close();
  const outcome = await mail({ port }).send('house', outgoing());
  expect(outcome).toEqual({
    sent: false,
    trouble: 'The mail server could not be reached, or did not answer in time.',
  });
});

test('mail keeps the quiet hours of the set-up, and nobody gets any where none is set up', async () => {
  const quiet = { from: '20:00', to: '09:00' };
  const setup = () => ({ tubs: [kowhai], notify: { quiet, mail: settings() } });
  const [house] = await new Mail({ setup, bodyOf: () => '' }).recipients();
  expect(house!.wishes).toEqual({ quiet, least: 'look', actAtNight: false });
  const none = new Mail({ setup: setupWith({ mail: null }), bodyOf: () => '' });
  expect(await none.recipients()).toEqual([]);
});
