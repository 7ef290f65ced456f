/** What editors wrote about a page in review rounds: plain data, as it goes to proofs, reports and deliveries. */

/** Where a note stands: `open` until a newer version of its page arrives, then `answered` until somebody closes it. */
export const noteStates = ['open', 'answered', 'closed'] as const;
/** One of them. */
export type NoteState = (typeof noteStates)[number];

/** A place on a page, measured from the upper left corner of the trim; negative in the bleed. */
export interface NotePlace {
  readonly xMm: number;
  readonly yMm: number;
}

/** A note as it was written. */
export interface WrittenNote {
  /** What it is called everywhere, unique in the job: `r1-7`, `r1-7-mara-2`, or the editor's own name for it. */
  readonly name: string;
  /** Counts over all notes of the page in all rounds, from 1: the number of its pin. */
  readonly number: number;
  /** The round that it was written about. */
  readonly round: number;
  /** Who wrote it, by the name of the notes file; undefined for `notes.csv` and `notes.yaml`. */
  readonly editor?: string;
  /** What is to be done; may have line breaks, and is empty where only a place was given. */
  readonly text: string;
  /** Where on the page; undefined for the page as a whole. */
  readonly place?: NotePlace;
  /** The cell of the proof's grid in which the place lies, such as `C4`; undefined without a place, and in the bleed. */
  readonly cell?: string;
}

/** A note before anybody knows what the page is made of now: with all that its state follows from. */
export interface PageNote extends WrittenNote {
  /** SHA-256 of the working pages that the page was made of in its round, in order; empty where nothing was there. */
  readonly madeOf: readonly string[];
  /** What closed it, in words, such as `closed in round 2 by mara`; undefined as long as nothing did. */
  readonly closedBy?: string;
}

/** A note as it stands. */
export interface StandingNote extends WrittenNote {
  readonly state: NoteState;
  /** What closed it; undefined as long as nothing did. */
  readonly closedBy?: string;
}

/** What the newest round says of a page that says anything of it. */
export interface PageVerdict {
  /** `accepted` may be printed as it is; `change` is to be changed. Where editors differ, `change` counts. */
  readonly verdict: 'accepted' | 'change';
  readonly round: number;
  /** SHA-256 of the working pages that the page was made of in that round, in order. */
  readonly madeOf: readonly string[];
}

/** All that editors wrote about a page. */
export interface PageNotes {
  readonly notes: readonly PageNote[];
  /** undefined where nobody has judged the page. */
  readonly verdict?: PageVerdict;
}

/** Whether a page is accepted, in words for people as well. */
export interface Acceptance {
  /** `changed since` was accepted, and a newer version has come: that verdict counts no more. */
  readonly state: 'accepted' | 'change' | 'changed since' | 'not judged';
  /** The round whose verdict it is; undefined for `not judged`. */
  readonly round?: number;
  /** One sentence without a full stop. */
  readonly why: string;
}

/** SHA-256 of the files of a page, in an order of their own, by which versions are told from each other. */
export function madeOf(files: readonly { readonly sha256: string }[]): readonly string[] {
  return files.map(({ sha256 }) => sha256).sort();
}

/** Whether a page is made of other files than before. One of which nothing is there has no newer version. */
export function isNewer(before: readonly string[], now: readonly string[]): boolean {
  return now.length > 0 && (now.length !== before.length || now.some((each, at) => each !== before[at]));
}

/** The notes of a page as they stand. @param now what it is made of, by `madeOf` */
export function standingNotes(notes: readonly PageNote[], now: readonly string[]): StandingNote[] {
  return notes.map(({ madeOf: then, ...note }) => {
    const state = note.closedBy !== undefined ? 'closed' : isNewer(then, now) ? 'answered' : 'open';
    return { ...note, state };
  });
}

/** Whether a page is accepted as it is now. @param now what it is made of, by `madeOf` */
export function acceptanceOf(verdict: PageVerdict | undefined, now: readonly string[]): Acceptance {
  if (verdict === undefined) return { state: 'not judged', why: 'no round has a verdict on it' };
  const { round } = verdict;
  const isOther = isNewer(verdict.madeOf, now);
  if (verdict.verdict === 'change') {
    const since = isOther ? '; a newer version has come since' : '';
    return { state: 'change', round, why: `round ${round} asks for a change${since}` };
  }
  if (!isOther) return { state: 'accepted', round, why: `accepted in round ${round}` };
  const why = `accepted in round ${round}, but a newer version has come since`;
  return { state: 'changed since', round, why };
}

/** What editors say of a page as it stands. */
export interface EditorsSay {
  /** What they wrote about it in all rounds, closed notes among them. */
  readonly notes: readonly StandingNote[];
  /** How the newest round judges it. */
  readonly acceptance: Acceptance;
}

/** The notes and the verdict on a page. @param now what it is made of, by `madeOf` */
export function whatEditorsSay(written: PageNotes | undefined, now: readonly string[]): EditorsSay {
  const notes = standingNotes(written?.notes ?? [], now);
  return { notes, acceptance: acceptanceOf(written?.verdict, now) };
}
