/** Inks that print beside the process inks: a varnish, a metallic, a fifth colour. */

/** Amounts of cyan, magenta, yellow and black, percent each. */
export type InkTint = readonly [cyan: number, magenta: number, yellow: number, black: number];

/** An ink that job.yaml makes known. A page has it where a file brings its plate. */
export interface ExtraInk {
  /** As file names and plates call it, such as `varnish`: 1 to 24 lower case letters and digits, first a letter. */
  readonly id: string;
  /** As the printer calls it: name of its separation in PDFs, 1 to 60 characters; default the id. */
  readonly name: string;
  /** What stands for it on proofs, and where a machine has no plate for it: process inks in percent; no default. */
  readonly shownAs: InkTint;
  /** Bits of its plate: 8 (the default) at the colour's resolution, or 1, ink or none, at the line's. */
  readonly bits: 1 | 8;
  /** Whether it prints over what is beneath it, the default, or process inks and line are cleared there. */
  readonly overprints: boolean;
  /** Whether the ink limit counts it; default true. */
  readonly inTotal: boolean;
}

/** What a file brings that is the plate of such an ink: its id, and the word that tells it from parts of the picture. */
export type InkPart = `${string} ink`;

const tail = ' ink';

/** The part of the ink with that id. */
export function inkPart(id: string): InkPart {
  return `${id}${tail}`;
}

/** Whether a part is the plate of an ink of its own. */
export function isInkPart(part: string): part is InkPart {
  return part.endsWith(tail);
}

/** The part as job.yaml writes it: an ink's by its id. */
export function writtenPart(part: string): string {
  return isInkPart(part) ? part.slice(0, -tail.length) : part;
}

/** The part that job.yaml means by a word. @param isPart whether it is one of the parts of the picture */
export function partWritten<Known extends string>(
  word: string,
  isPart: (word: string) => word is Known,
): Known | InkPart {
  return isPart(word) ? word : inkPart(word);
}
