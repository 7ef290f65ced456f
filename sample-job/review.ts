import { copyFile, mkdir, readFile, rename, rmdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { packageRoot } from '../config/package-root.js';
import {
  compareIssue,
  type FrozenRound,
  freezeRound,
  type IssueComparison,
  loadJob,
  type RunEvent,
} from '../pipeline/index.js';
import { pageHeight } from './ink/panels.js';
import { writeColourTiff } from './write-picture.js';

/** Two rounds with an editor, as the sample shows them: what was there at first, what she wrote about it, and what came of it. */

/** Page 3 was darker in its last panel before the editor saw it. The file keeps its name, as a helper's often does. */
const darkened = { name: 'Brl-03 Pg 3 COLOR.TIF', fromUnits: 668, tint: { r: 96, g: 84, b: 132 } };

/** The line of page 2 that has its lettering comes with the second round; before, letters were in the colour alone. */
const lettered = 'BRL03_p02_line_v2.tif';

/** The editor, as her notes files are named. */
const editor = 'mara';

/** What both rounds came to. */
export interface ReviewedTwice {
  readonly rounds: readonly FrozenRound[];
  readonly comparison: IssueComparison;
}

/**
 * Takes the drawn sample through two review rounds: the first with earlier versions of two pages, then the editor's notes, the newer versions,
 * the second round with her verdicts, and the comparison of both.
 */
export async function reviewTwice(
  folder: string,
  onEvent: (event: RunEvent) => void,
): Promise<ReviewedTwice> {
  const incoming = join(folder, 'incoming');
  const aside = join(folder, 'later');
  await mkdir(aside);
  await rename(join(incoming, lettered), join(aside, lettered));
  await copyFile(join(incoming, darkened.name), join(aside, darkened.name));
  await darken(join(incoming, darkened.name));
  const first = await freezeRound(await loadJob(folder), { onEvent });
  await takeNotes(folder, first.round);
  for (const name of [lettered, darkened.name]) await rename(join(aside, name), join(incoming, name));
  await rmdir(aside);
  const second = await freezeRound(await loadJob(folder), { onEvent });
  await takeNotes(folder, second.round);
  const comparison = await compareIssue(await loadJob(folder), { round: first.round });
  return { rounds: [first, second], comparison };
}

/** The editor hands in her notes on a round: files of this folder. */
async function takeNotes(folder: string, round: number): Promise<void> {
  const notes = await readFile(join(packageRoot(), 'sample-job', 'notes', `round-${round}-${editor}.csv`));
  await writeFile(join(folder, 'rounds', String(round), `notes-${editor}.csv`), notes);
}

/** Lays a tint over the last panel of a colour page, all the rest as it was. */
async function darken(path: string): Promise<void> {
  const { data, info } = await sharp(path)
    .toColourspace('srgb')
    .removeAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  const { r, g, b } = darkened.tint;
  const shares = [r, g, b].map((level) => level / 255);
  const from = Math.round((info.height * darkened.fromUnits) / pageHeight) * info.width * info.channels;
  for (let at = from; at < data.length; at++) data[at] = Math.round(data[at] * shares[at % info.channels]);
  const { density = 600 } = await sharp(path).metadata();
  await writeColourTiff(path, { width: info.width, height: info.height, channels: 3, data }, density);
}
