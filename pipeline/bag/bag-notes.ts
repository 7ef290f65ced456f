/** One thing to say about a bag: a stable code, what is wrong and where, and what to do. */
export interface BagNote {
  readonly code: string;
  /** Path inside the bag, if it is about one file. */
  readonly path?: string;
  readonly what: string;
  readonly remedy: string;
}

/** What a receiver can do about nearly everything that is wrong with a bag. */
export const askAgain = 'Ask the sender for the delivery again.';

/** Somebody reads the first of them; a manifest of nothing but bad lines would have hundreds of thousands. */
const listedAtMost = 300;

/** What is to be said of a bag: the first notes as they are, the rest counted. */
export class NoteList {
  private readonly notes: BagNote[] = [];
  private total = 0;

  /** @param kind what the notes are, for the one that counts the rest */
  constructor(private readonly kind: 'problem' | 'warning') {}

  /** How many there are, listed or not. */
  get count(): number {
    return this.total;
  }

  push(...notes: readonly BagNote[]): void {
    this.total += notes.length;
    const room = listedAtMost - this.notes.length;
    if (room > 0) this.notes.push(...notes.slice(0, room));
  }

  /** Those that are listed, and one that tells how many are not. */
  listed(): readonly BagNote[] {
    const more = this.total - this.notes.length;
    if (more === 0) return this.notes;
    const what = `${more} more ${this.kind}${more === 1 ? ' is' : 's are'} not listed`;
    return [...this.notes, { code: `more-${this.kind}s`, what, remedy: askAgain }];
  }
}
