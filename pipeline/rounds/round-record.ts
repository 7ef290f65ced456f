import { readdir, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import * as z from 'zod';
import { PlatehandError } from '../../config/errors.js';

/**
 * What a review round has frozen: `rounds/2/round.json`. It is written last of all files of a round, so that a folder without it is a
 * round that was never finished.
 */

/** Where the rounds of a job stand, in the job folder. */
export const roundsFolder = 'rounds';

/** Version of the layout of round.json; raised when a field changes its meaning. */
export const roundFormat = 'platehand round 1';

/** The record of a round, in its folder. */
export const recordName = 'round.json';

const usedFile = z.object({
  name: z.string(),
  part: z.string(),
  half: z.number().optional(),
  version: z.number().optional(),
  bytes: z.number(),
  sha256: z.string(),
});

const frozenFile = z.object({
  /** `composite`, `line`, the id of an extra ink, or `proof`. */
  role: z.string(),
  half: z.number().optional(),
  /** Path in the round's folder, with forward slashes. */
  path: z.string(),
  bytes: z.number(),
  sha256: z.string(),
  width: z.number(),
  height: z.number(),
  ppi: z.number(),
});

const roundPage = z.object({
  page: z.string(),
  /** State of the page when it was frozen, as `status` shows it. */
  state: z.string(),
  /** Working pages that it was made of; empty for a page of which nothing was there. */
  used: z.array(usedFile),
  /** SHA-256 of the press condition's profile; undefined for a page of which nothing was there. */
  profileSha256: z.string().optional(),
  /** Pictures by which it is compared and shown; empty for a page of which nothing was there. */
  files: z.array(frozenFile),
  /** Whether it is another picture than in the round before; the first round has nothing before it. */
  change: z.enum(['new', 'changed', 'unchanged', 'absent']),
});

const roundRecord = z.object({
  format: z.literal(roundFormat),
  issue: z.string(),
  round: z.number(),
  /** ISO 8601, UTC. */
  frozenAt: z.string(),
  /** In reading order. */
  pages: z.array(roundPage),
});

/** One file of a page as it was frozen. */
export type FrozenFile = Readonly<z.infer<typeof frozenFile>>;
/** One page as it was frozen. */
export type RoundPage = Readonly<z.infer<typeof roundPage>>;
/** A round, as round.json holds it. */
export type RoundRecord = Readonly<z.infer<typeof roundRecord>>;

/**
 * The finished rounds of a job, the oldest first; none where there is no such folder.
 * @param jobFolder absolute path
 * @param last reads so many of the latest only; default all
 * @throws PlatehandError round-unreadable for a round.json that is damaged or of a newer platehand
 */
export async function readRounds(
  jobFolder: string,
  last = Number.POSITIVE_INFINITY,
): Promise<readonly RoundRecord[]> {
  const rounds: RoundRecord[] = [];
  for (const number of (await roundNumbers(jobFolder)).toReversed()) {
    if (rounds.length >= last) break;
    const round = await readRound(jobFolder, number);
    if (round !== undefined) rounds.unshift(round);
  }
  return rounds;
}

/** Numbers of all folders that bear one, finished or not, in order. */
export async function roundNumbers(jobFolder: string): Promise<readonly number[]> {
  const names = await readdir(join(jobFolder, roundsFolder)).catch((thrown: NodeJS.ErrnoException) => {
    if (thrown.code === 'ENOENT') return [];
    throw thrown;
  });
  const numbers = names.filter((name) => /^[1-9]\d{0,3}$/.test(name)).map(Number);
  return numbers.sort((a, b) => a - b);
}

/** Which round is the latest, and when its record was written, as a short text: as long as it is the same, so are the rounds. */
export async function roundsMark(jobFolder: string): Promise<string> {
  for (const number of (await roundNumbers(jobFolder)).toReversed()) {
    const facts = await stat(join(jobFolder, roundsFolder, String(number), recordName)).catch(
      () => undefined,
    );
    if (facts !== undefined) return `${number} ${facts.size} ${facts.mtimeMs}`;
  }
  return '';
}

async function readRound(jobFolder: string, round: number): Promise<RoundRecord | undefined> {
  const file = join(jobFolder, roundsFolder, String(round), recordName);
  const text = await readFile(file, 'utf8').catch((thrown: NodeJS.ErrnoException) => {
    if (thrown.code === 'ENOENT') return undefined;
    throw thrown;
  });
  if (text === undefined) return undefined;
  const read = roundRecord.safeParse(parsed(text));
  if (read.success && read.data.round === round) return read.data;
  throw new PlatehandError(
    'round-unreadable',
    'It is damaged, or was written by another version',
    'Bring it back from a copy, or move the folder of this round away; other rounds stay.',
    { place: { file } },
  );
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
