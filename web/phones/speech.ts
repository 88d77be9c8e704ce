import { enPhones } from '../../model/words/en-phones.ts';
import type { PhonesWords } from '../../model/words/phones-words.ts';
import { words } from '../speech.ts';

/** The words of this screen, in the language of all others. */

const languages: Record<string, PhonesWords> = { en: enPhones };

export const phonesWords: PhonesWords = languages[words.language] ?? enPhones;
