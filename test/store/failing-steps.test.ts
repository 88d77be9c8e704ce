import { expect, test } from 'vitest';
import { chanceOf } from './chance.ts';
import { FailingSteps } from './failing-steps.ts';
import { livesOf } from './life.ts';

/** A set-up, a message, its quarters and days, and a bath that somebody enters. */
const acts = livesOf(chanceOf(1), 4).slice(0, 4);

test.each(['once', 'for good'] as const)(
  'whichever step of keeping and working out fails %s, nothing acknowledged is lost or worked out otherwise',
  async (failure) => {
    expect(acts.map(({ does }) => does)).toEqual(['set up', 'keep', 'work out', 'log']);
    const life = new FailingSteps(acts);
    let steps = 0;
    while (await life.try(steps + 1, failure)) steps++;
    expect(steps).toBeGreaterThan(110);
    console.log(`${steps} steps failed ${failure}, one by one`);
  },
);

test('a late reading that reaches back before another change has that time worked out too', async () => {
  // a bath entered for later on, then readings of before: their marks follow that of the bath
  const acts = livesOf(chanceOf(10), 6).slice(0, 8);
  expect(acts.slice(-3).map(({ does }) => does)).toEqual(['work out', 'log', 'keep']);
  expect(await new FailingSteps(acts).try(Number.POSITIVE_INFINITY, 'once')).toBe(false);
});
