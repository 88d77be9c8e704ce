import { createTransport } from 'nodemailer';
import { lineOf, type Message } from '../../model/alerts/notice.ts';
import { usualWishes } from '../../model/alerts/telling.ts';
import type { Setup } from '../../model/setup.ts';
import { type Channel, everyTub, HOUSE, type Outcome, type Outgoing } from './channel.ts';

/** A mail server is slow, and greets late on purpose. [ms] */
const LIMIT_MS = 10_000;
/** Subjects longer than this are cut where they are shown (RFC 5322 §2.1.1 asks for 78). */
const SUBJECT = 150;

/** Tells the house by mail: text alone, over a server that the set-up names. */
export class Mail implements Channel {
  readonly name = 'mail';
  private readonly setup: () => Setup;
  private readonly bodyOf: (message: Message) => string;

  constructor(parts: {
    setup: () => Setup;
    /** The whole notice in plain text. */
    bodyOf: (message: Message) => string;
  }) {
    this.setup = parts.setup;
    this.bodyOf = parts.bodyOf;
  }

  async recipients() {
    const { quiet = usualWishes.quiet } = this.setup().notify ?? {};
    return this.settings
      ? [{ target: HOUSE, wishes: { ...usualWishes, quiet }, covers: everyTub }]
      : [];
  }

  async send(_target: string, { id, message }: Outgoing): Promise<Outcome> {
    const { settings } = this;
    if (!settings) return { sent: false, trouble: 'No mail is set up.', gone: true };
    const { host, secure = false, user, password, from, to } = settings;
    const hasUser = user !== undefined && typeof password === 'string';
    const transport = createTransport({
      host,
      port: settings.port ?? (secure ? 465 : 587),
      secure,
      ...(hasUser && { auth: { user, pass: password } }),
      // a password never goes out in clear
      requireTLS: hasUser && !secure,
      connectionTimeout: LIMIT_MS,
      greetingTimeout: LIMIT_MS,
      socketTimeout: LIMIT_MS,
      dnsTimeout: LIMIT_MS,
      disableFileAccess: true,
      disableUrlAccess: true,
    });
    try {
      const { rejected } = await transport.sendMail({
        from,
        to,
        subject: cut(lineOf(message)),
        text: this.bodyOf(message),
        messageId: `<${id}@sunsteep.invalid>`,
        headers: { 'Auto-Submitted': 'auto-generated' }, // RFC 3834: nobody’s holiday answers it
      });
      const refused = rejected.length;
      const trouble = refused === 0 ? null : `${refused} of ${to.length} addresses were refused.`;
      return { sent: true, trouble };
    } catch (error) {
      return { sent: false, trouble: whyOf((error as { code?: string }).code) };
    } finally {
      transport.close();
    }
  }

  private get settings() {
    return this.setup().notify?.mail ?? null;
  }
}

const cut = (line: string): string =>
  line.length <= SUBJECT ? line : `${line.slice(0, SUBJECT - 1).trimEnd()}…`;

/** Never in the server’s own words, which may repeat what was sent. */
function whyOf(code: string | undefined): string {
  if (code === 'EAUTH') return 'The mail server refused the user or the password.';
  if (code === 'EENVELOPE') return 'The mail server refused an address.';
  if (code === 'EMESSAGE') return 'The mail server refused the message.';
  if (code === 'ETLS') return 'The mail server does not speak TLS, or nobody can trust it.';
  if (code === 'EDNS') return 'The mail server was not found by name.';
  return 'The mail server could not be reached, or did not answer in time.';
}
