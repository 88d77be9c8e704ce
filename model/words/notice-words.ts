/** What notices say beside the words of faults; apart from the other words, since no phone needs it. */
export interface NoticeWords {
  /** The title of a danger, which says so first. */
  danger(tub: string): string;
  /** The sentence that a fault is over, with what it cost. */
  overAtCost(over: string, energy: string): string;
  /** That there is more than one can say at once. */
  more(count: number): string;
  test: { title: string; text: string };
  /** The parts of a longer notice, each a line. */
  since(since: string): string;
  until(until: string): string;
  caution(caution: string): string;
  checks: string;
  open(url: string): string;
}
