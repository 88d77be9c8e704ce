import { enGuided } from '../../../model/words/en-guided.ts';
import type { GuidedWords } from '../../../model/words/guided-words.ts';
import { words } from '../../speech.ts';

const languages: Record<string, GuidedWords> = { en: enGuided };

export const guidedWords: GuidedWords = languages[words.language] ?? enGuided;
