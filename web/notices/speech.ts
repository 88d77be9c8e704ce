import { enPhoneNotices } from '../../model/words/en-phone-notices.ts';
import type { PhoneNoticesWords } from '../../model/words/phone-notice-words.ts';
import { words } from '../speech.ts';

/** The words of this screen, in the language of all others. */

const languages: Record<string, PhoneNoticesWords> = { en: enPhoneNotices };

export const noticesWords: PhoneNoticesWords = languages[words.language] ?? enPhoneNotices;
