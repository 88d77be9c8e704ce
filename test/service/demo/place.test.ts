import { expect, test } from 'vitest';
import { demoSetup, demoTub } from '../../../collector-service/demo/place.ts';
import { setupSchema } from '../../../model/setup.ts';

test('the demonstration has a set-up that Set-up would take', () => {
  const parsed = setupSchema.safeParse(demoSetup);
  expect(parsed.error?.issues ?? []).toEqual([]);
  expect(parsed.data).toEqual(demoSetup);
  expect(demoSetup.tubs).toEqual([demoTub]);
});
