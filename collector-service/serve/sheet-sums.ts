import type { SheetMonth } from './sheet-month.ts';
import type { SheetSpeech } from './sheet-speech.ts';

/** A sum of the month on paper: what it is, how much, and between what it lies. */
export interface SumRow {
  label: string;
  figure: string;
  range: string | null;
}

/** Figures turned into words, and the range of two standard uncertainties to either side. */
type Told = Omit<SumRow, 'label'>;

export function sumRows({ month, backup }: SheetMonth, speech: SheetSpeech): SumRow[] {
  const { words } = speech;
  const { gainKwh, uncertaintyKwh, usefulKwh, usefulUncertaintyKwh, basis } = month;
  const { savedKwh, savedUncertaintyKwh } = month;
  const none: Told = { figure: words.noBackup, range: null };
  const saved = (told: Told): Told => (backup === 'none' ? none : told);
  const gain = basis === null ? words.gain : `${words.gain}, ${words.basis[basis]}`;
  return [
    { label: gain, ...energy(gainKwh, uncertaintyKwh, speech, 0) },
    { label: words.lost, ...energy(month.lostKwh, null, speech) },
    { label: words.useful, ...saved(energy(usefulKwh, usefulUncertaintyKwh, speech)) },
    { label: words.saved[backup], ...saved(energy(savedKwh, savedUncertaintyKwh, speech)) },
    { label: words.money, ...saved(money(month, backup, speech)) },
    { label: words.carbon, ...saved(carbon(month, backup, speech)) },
    { label: words.pump, ...energy(month.pumpKwh, null, speech) },
  ];
}

function energy(
  kwh: number | null,
  doubtKwh: number | null,
  { words, say }: SheetSpeech,
  least = Number.NEGATIVE_INFINITY,
): Told {
  if (kwh === null) return { figure: words.notKnown, range: null };
  if (doubtKwh === null) return { figure: say.energy(kwh), range: null };
  const low = Math.max(least, kwh - 2 * doubtKwh);
  return {
    figure: say.energy(kwh),
    range: say.energyRange(kwh, low, kwh + 2 * doubtKwh).join(' – '),
  };
}

/**
 * How much more or less of what goes with each kWh there may be; null where that cannot be told: of gas
 * the pump's electricity comes off money and CO₂ alone, so that these do not go with the gas.
 */
function doubtOf(
  sum: number,
  { savedKwh, savedUncertaintyKwh }: SheetMonth['month'],
  backup: SheetMonth['backup'],
): number | null {
  if (backup === 'gas' || savedKwh === null || savedUncertaintyKwh === null) return null;
  return Math.abs(savedKwh) < 0.05 ? null : Math.abs((sum / savedKwh) * savedUncertaintyKwh);
}

function money(
  month: SheetMonth['month'],
  backup: SheetMonth['backup'],
  { words, say }: SheetSpeech,
): Told {
  const { savedMoney, currency } = month;
  if (savedMoney === null || currency === null) return { figure: words.noPrice, range: null };
  const whole = Math.abs(savedMoney) >= 10;
  const told = (sum: number) => say.money(sum, currency, whole).replace('-', '−');
  return around(savedMoney, doubtOf(savedMoney, month, backup), whole ? 1 : 0.01, told);
}

function carbon(
  month: SheetMonth['month'],
  backup: SheetMonth['backup'],
  { words, say }: SheetSpeech,
): Told {
  const { savedCo2Kg } = month;
  if (savedCo2Kg === null) return { figure: words.noCarbon, range: null };
  const decimals = Math.abs(savedCo2Kg) < 9.95 ? 1 : 0;
  const told = (kg: number) => `${say.number(kg, decimals)} kg`;
  return around(savedCo2Kg, doubtOf(savedCo2Kg, month, backup), 10 ** -decimals, told);
}

/** 1.17 / 0.01 is a hair above 117. */
const SLACK = 1e-6;

/** The range is rounded away from the sum: it never looks narrower than it is. */
function around(
  sum: number,
  doubt: number | null,
  step: number,
  told: (sum: number) => string,
): Told {
  if (doubt === null) return { figure: told(sum), range: null };
  const low = Math.floor((sum - 2 * doubt) / step + SLACK) * step;
  const high = Math.ceil((sum + 2 * doubt) / step - SLACK) * step;
  return { figure: told(sum), range: `${told(low)} – ${told(high)}` };
}
