/** Text that stands in a page as it is. */
export class Html {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }
}

type Part = string | number | null | Html | readonly Html[];

const escapes: Record<string, string> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

const escaped = (part: Part): string => {
  if (part === null) return '';
  if (part instanceof Html) return part.text;
  if (typeof part === 'object') return part.map(({ text }) => text).join('');
  // Signs that steer terminals and directions have no place in anybody's words.
  return String(part)
    .replace(/[\p{Cc}\u202a-\u202e\u2066-\u2069]/gu, ' ')
    .replace(/[&<>"']/g, (sign) => escapes[sign]!);
};

/** A piece of a page: whatever is put into it is text, but for other pieces. Attributes stand in quotes. */
export const html = (texts: TemplateStringsArray, ...parts: Part[]): Html =>
  new Html(texts.reduce((whole, text, n) => whole + escaped(parts[n - 1] ?? null) + text));
