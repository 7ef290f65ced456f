import { join } from 'node:path';
import type { IncomingFile } from '../model/reconciliation.js';
import type { PictureQuestion } from '../names/name-reading.js';
import { fillsOrPage, isOneBit } from '../reading/look-at-picture.js';
import type { PictureAnswer } from '../reconcile.js';

/** Formats that hold one bit a pixel; of others not even the header is read. */
const oneBitFormats = /\.(?:tiff?|png)\s*$/i;

/** An answer, and the file as it was when it was looked at. */
interface KnownAnswer {
  readonly seen: string;
  readonly answer: PictureAnswer | undefined;
}

/**
 * Answers of pictures to what their names leave open, remembered while the file stays as it is. Of a page that names no
 * part only the header is read; pixels are looked at where a word may mean two things.
 */
export class PictureLooks {
  private known = new Map<string, KnownAnswer>();

  /**
   * @param folder path of incoming/
   * @param questions by file name
   * @returns answers by file name; a file that cannot be read, or not yet, has none
   */
  async answersTo(
    folder: string,
    files: readonly IncomingFile[],
    questions: ReadonlyMap<string, PictureQuestion>,
  ): Promise<ReadonlyMap<string, PictureAnswer>> {
    const now = new Map<string, KnownAnswer>();
    const answers = new Map<string, PictureAnswer>();
    for (const file of files) {
      const question = questions.get(file.name);
      if (question === undefined) continue;
      const path = join(folder, file.name);
      const seen = [path, question, file.bytes, file.mtimeMs, file.ctimeMs, file.inode].join(' ');
      const before = this.known.get(path);
      const answer = before?.seen === seen ? before.answer : await answerOf(path, question);
      now.set(path, { seen, answer });
      if (answer !== undefined) answers.set(file.name, answer);
    }
    // What is no longer asked for is forgotten.
    this.known = now;
    return answers;
  }
}

async function answerOf(path: string, question: PictureQuestion): Promise<PictureAnswer | undefined> {
  if (oneBitFormats.test(path) && (await isOneBit(path))) return 'one bit';
  return question === 'fills' ? fillsOrPage(path) : undefined;
}
