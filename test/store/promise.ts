import { afterEach, beforeEach, describe } from 'vitest';
import { alertsArePromised } from './promise/alerts.ts';
import { bucketsArePromised } from './promise/buckets.ts';
import { daysArePromised } from './promise/days.ts';
import { forgettingIsPromised } from './promise/forgetting.ts';
import { handlesArePromised } from './promise/handles.ts';
import { ledgerIsPromised } from './promise/ledger.ts';
import { logsArePromised } from './promise/logs.ts';
import { marksArePromised } from './promise/marks.ts';
import { noticesArePromised } from './promise/notices.ts';
import { pagesArePromised } from './promise/pages.ts';
import { phonesArePromised } from './promise/phones.ts';
import { readingsArePromised } from './promise/readings.ts';
import type { Opened } from './promise/sample.ts';
import { setupsArePromised } from './promise/setups.ts';
import { unreadableIsPromised } from './promise/unreadable.ts';

/**
 * What every store promises, as tests; each kind of store runs them.
 *
 * @param open  opens a new, empty store; `reopen` opens one more handle of the same data, as another
 *   process would, and `end` closes all of them and removes the data
 */
export function storePromise(name: string, open: () => Promise<Opened>): void {
  describe(name, () => {
    let opened: Opened;
    beforeEach(async () => {
      opened = await open();
    });
    afterEach(() => opened.end());
    const given = () => opened;

    describe('readings', () => readingsArePromised(given));
    describe('pages', () => pagesArePromised(given));
    describe('buckets', () => bucketsArePromised(given));
    describe('marks', () => marksArePromised(given));
    describe('ledger', () => ledgerIsPromised(given));
    describe('days', () => daysArePromised(given));
    describe('tubs', () => forgettingIsPromised(given));
    describe('the owner’s log', () => logsArePromised(given));
    describe('alerts and what rules keep', () => alertsArePromised(given));
    describe('notices and subscriptions', () => noticesArePromised(given));
    describe('set-ups', () => setupsArePromised(given));
    describe('unreadable messages', () => unreadableIsPromised(given));
    describe('phones and links', () => phonesArePromised(given));
    describe('notes and handles', () => handlesArePromised(given));
  });
}
