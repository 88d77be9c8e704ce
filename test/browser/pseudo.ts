import type { Page } from 'playwright-core';

/**
 * Languages that nobody speaks, made of the English words as they appear on the page: a long one, with
 * each word half as long again, and one that runs from right to left in Hebrew letters. Numbers and
 * units stay, as they do in real ones.
 */
export type Pseudo = 'long' | 'right-to-left';

/** To be called before the page is opened. */
export async function speak(page: Page, language: Pseudo): Promise<void> {
  await page.addInitScript((language) => {
    const hebrew = 'אבגדהוזחטיכלמנסעפצקרשת';
    const units = /^(?:kWh|kW|W|V|h|min|s|l|gal|C|F|K|CO|px)$/;
    const letter = (sign: string) => hebrew[sign.toLowerCase().charCodeAt(0) % hebrew.length]!;
    const stretched = (word: string) => {
      const more = Math.ceil(word.length / 2);
      return word + word.slice(-1).repeat(more);
    };
    const other = (word: string) => {
      if (units.test(word)) return word;
      return language === 'long' ? stretched(word) : word.replace(/\p{L}/gu, letter);
    };
    const said = new WeakMap<Text, string>();
    const say = (text: Text) => {
      const { data, parentElement } = text;
      // What is typed, an address and the program's own code are the same in every language.
      if (!parentElement || parentElement.closest('code, script, style, bdi, title')) return;
      if (said.get(text) === data || !/\p{L}{2}/u.test(data)) return;
      const now = data.replace(/\p{L}+/gu, other);
      said.set(text, now);
      text.data = now;
    };
    const sayAll = (root: Node) => {
      const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
      if (root instanceof Text) say(root);
      for (let node = walker.nextNode(); node; node = walker.nextNode()) say(node as Text);
    };
    const observer = new MutationObserver((changes) => {
      if (language === 'right-to-left') document.documentElement.dir = 'rtl';
      for (const { type, target, addedNodes } of changes) {
        if (type === 'characterData') say(target as Text);
        for (const node of addedNodes) sayAll(node);
      }
    });
    observer.observe(document, { childList: true, subtree: true, characterData: true });
  }, language);
}
