import { enSensors } from '../../../model/words/en-sensors.ts';
import type { SensorsWords } from '../../../model/words/sensors-words.ts';
import { words } from '../../speech.ts';

const languages: Record<string, SensorsWords> = { en: enSensors };

export const sensorsWords: SensorsWords = languages[words.language] ?? enSensors;
