import { type AddressInfo, createServer, type Socket } from 'node:net';

export interface Received {
  from: string;
  to: string[];
  /** Headers and text, as they came over the wire, dots unstuffed. */
  data: string;
}

/** A small mail server on the loopback (RFC 5321); it refuses addresses that begin with `no`. */
export async function mailServer() {
  const received: Received[] = [];
  const commands: string[] = [];
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    let rest = '';
    let mail: Received = { from: '', to: [], data: '' };
    let isData = false;
    const say = (line: string) => socket.write(`${line}\r\n`);
    const line = (text: string) => {
      if (isData) {
        if (text !== '.') {
          mail.data += `${text.replace(/^\./, '')}\r\n`;
          return;
        }
        isData = false;
        received.push(mail);
        mail = { from: '', to: [], data: '' };
        say('250 taken');
        return;
      }
      commands.push(text);
      const [, address] = /<(.*)>/.exec(text) ?? [];
      if (/^EHLO/i.test(text)) say('250 mail.test');
      else if (/^MAIL FROM/i.test(text)) {
        mail.from = address!;
        say('250 ok');
      } else if (/^RCPT TO/i.test(text)) {
        if (address!.startsWith('no')) say('550 the secret reason');
        else {
          mail.to.push(address!);
          say('250 ok');
        }
      } else if (/^DATA/i.test(text)) {
        isData = true;
        say('354 go on');
      } else if (/^QUIT/i.test(text)) {
        say('221 bye');
        socket.end();
      } else say('502 no such command');
    };
    socket.on('data', (bytes) => {
      const lines = (rest + bytes).split('\r\n');
      rest = lines.pop()!;
      lines.forEach(line);
    });
    socket.on('error', () => {});
    say('220 mail.test');
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  const close = () =>
    new Promise((resolve) => {
      server.close(resolve);
      for (const socket of sockets) socket.destroy();
    });
  return { port, received, commands, close };
}

/** Headers by name in lower case, unfolded and decoded (RFC 2047), and the text. */
export function readMail(data: string) {
  const [head, ...text] = data.split('\r\n\r\n');
  const lines = head!.replaceAll(/\r\n[ \t]+/g, ' ').split('\r\n');
  const headers = lines.map((line) => {
    const [, name, value] = /^([^:]+): ?(.*)$/.exec(line)!;
    return [name!.toLowerCase(), decodedWords(value!)] as const;
  });
  const encoding = headers.find(([name]) => name === 'content-transfer-encoding')?.[1];
  return { headers, text: decodedText(text.join('\r\n\r\n'), encoding ?? '7bit') };
}

const decodedWords = (value: string): string =>
  value
    .replaceAll(/\?= +=\?/g, '?==?')
    .replaceAll(/(=\?UTF-8\?[QB]\?[^?]*\?=)+/gi, (words) =>
      Buffer.concat(
        [...words.matchAll(/=\?UTF-8\?([QB])\?([^?]*)\?=/gi)].map(([, kind, text]) =>
          kind!.toUpperCase() === 'B'
            ? Buffer.from(text!, 'base64')
            : quotedPrintable(text!.replaceAll('_', ' ')),
        ),
      ).toString(),
    );

function decodedText(text: string, encoding: string): string {
  if (encoding === 'base64') return Buffer.from(text, 'base64').toString();
  if (encoding !== 'quoted-printable') return text;
  return quotedPrintable(text.replaceAll('=\r\n', '')).toString();
}

const quotedPrintable = (text: string): Buffer =>
  Buffer.from(
    text.replaceAll(/=([0-9A-F]{2})/gi, (_, hex) => String.fromCharCode(Number.parseInt(hex, 16))),
    'latin1',
  );
