import { Chance } from './chance.ts';
import type { Beginning, Standing } from './faults/fault.ts';
import { faults } from './faults/faults.ts';
import type { House } from './house.ts';
import { noTrouble, type Trouble } from './trouble.ts';
import type { Truth } from './truth.ts';

/** A fault by its name, from and to in days after the start (fractions allowed). */
export interface ScriptedFault {
  fault: string;
  fromDay: number;
  toDay: number;
}

const DAY = 86_400_000; // ms

interface Entry {
  from: number;
  to: number;
  begin(): (trouble: Trouble, standing: Standing) => void;
  inflict: ((trouble: Trouble, standing: Standing) => void) | null;
}

/** The faults of a run, each from its start to its end. */
export class Script {
  readonly told: Truth['faults'];
  private readonly entries: Entry[];
  private readonly none = noTrouble();

  /** @throws where a fault is not known by that name */
  constructor(seed: number, house: House, start: number, scripted: readonly ScriptedFault[]) {
    this.told = scripted.map(({ fault, fromDay, toDay }) => ({
      fault,
      raises: known(fault).raises,
      from: start + fromDay * DAY,
      to: start + toDay * DAY,
    }));
    this.entries = this.told.map(({ fault, from, to }, index) => {
      const beginning: Beginning = { house, chance: new Chance(seed, `fault ${index} ${fault}`) };
      return { from, to, begin: () => known(fault).begin(beginning), inflict: null };
    });
  }

  /** What is wrong at `t`; the same object as long as nothing is. */
  at(t: number): Trouble {
    let trouble = this.none;
    for (const entry of this.entries) {
      if (t < entry.from || t >= entry.to) continue;
      if (trouble === this.none) trouble = noTrouble();
      entry.inflict ??= entry.begin();
      entry.inflict(trouble, { days: (t - entry.from) / DAY });
    }
    return trouble;
  }
}

function known(name: string) {
  const fault = faults.get(name);
  if (!fault)
    throw new Error(`no fault is named ${name}; known are ${[...faults.keys()].join(', ')}`);
  return fault;
}
