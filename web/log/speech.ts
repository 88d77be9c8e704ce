import { enLog } from '../../model/words/en-log.ts';
import { enLogKinds } from '../../model/words/en-log-kinds.ts';
import type { LogKindWords, LogWords } from '../../model/words/log-words.ts';
import { words } from '../speech.ts';

/** The words of this screen, in the language of all others. */

const languages: Record<string, { log: LogWords; kinds: LogKindWords }> = {
  en: { log: enLog, kinds: enLogKinds },
};

const spoken = languages[words.language] ?? languages.en!;

export const logWords = spoken.log;
export const kindWords = spoken.kinds;
