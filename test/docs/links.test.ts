import { posix } from 'node:path';
import { expect, test } from 'vitest';
import { anchorsIn, documentOf, documents, isThere } from './texts.ts';

const linksIn = (text: string): string[] => {
  const bare = text.replace(/^```[\s\S]*?^```$/gm, '');
  const inline = [...bare.matchAll(/\]\(([^)\s]+)\)/g)].map(([, target]) => target!);
  const images = [...bare.matchAll(/<img[^>]*src="([^"]+)"/g)].map(([, target]) => target!);
  return [...inline, ...images];
};

test('every link leads to a file that is there, and to a heading in it', () => {
  let followed = 0;
  for (const { name, text } of documents()) {
    for (const link of linksIn(text)) {
      expect(link, `${name} links outside`).not.toMatch(/^[a-z]+:/);
      const [path, anchor] = link.split('#') as [string, string?];
      const target = path === '' ? name : posix.join(posix.dirname(name), path);
      expect(isThere(target), `${name}: ${link}`).toBe(true);
      if (anchor !== undefined) {
        expect(anchorsIn(documentOf(target).text), `${name}: ${link}`).toContain(anchor);
      }
      followed++;
    }
  }
  expect(followed).toBeGreaterThan(30);
});

test('every file and folder that developers are pointed to is there', () => {
  const { text } = documentOf('DEVELOPERS.md');
  const named = [
    ...text.matchAll(/`((?:collector-service|model|web|test|tools|docs)\/[\w./-]+)`/g),
  ];
  const paths = named.map(([, path]) => path!);
  expect(paths.length).toBeGreaterThan(20);
  for (const path of paths) expect(isThere(path), path).toBe(true);
});
