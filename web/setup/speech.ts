import { enSetup } from '../../model/words/en-setup.ts';
import type { SetupWords } from '../../model/words/setup-words.ts';
import { words } from '../speech.ts';

const languages: Record<string, SetupWords> = { en: enSetup };

export const setupWords: SetupWords = languages[words.language] ?? enSetup;
