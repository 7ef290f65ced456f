import { execFile } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { cliPath } from '../helpers/daemon.js';
import { colourVariant, makeWatchedIssue, type WatchedIssue } from './watched-issue.js';

/** What campaigns that kill things have in common: issues with known outcomes, and looks at what stands in place. */

/** More variants than results are kept of a page, so that going back to one means work again. */
export const variantCount = 6;

/** Pictures of each variant. */
export function drawVariants(): Promise<Buffer[]> {
  return Promise.all(Array.from({ length: variantCount }, (_, index) => colourVariant(index)));
}

/** Every output that any variant of any page has, as a sound run makes it: path and SHA-256. */
export async function knownOutputs(
  base: string,
  variants: readonly Buffer[],
  pageCount: number,
): Promise<ReadonlySet<string>> {
  const known = new Set<string>();
  const issue = await makeWatchedIssue(join(base, 'known'), pageCount);
  for (const variant of variants) {
    for (const page of issue.pages) await issue.drop(page, variant);
    await platehand('run', issue.folder);
    for (const { path, sha256 } of await finalFiles(issue.folder)) known.add(`${path} ${sha256}`);
  }
  return known;
}

/** Press files, plates and proofs in place, with their checksums. */
export async function finalFiles(folder: string): Promise<{ path: string; sha256: string }[]> {
  const files: { path: string; sha256: string }[] = [];
  for (const room of ['press', 'plates', 'proofs']) {
    const names = await readdir(join(folder, room)).catch(() => []);
    for (const name of names.filter((one) => !one.startsWith('.') && one !== 'contact-sheet.png')) {
      // A file that is just being taken away is no partial file.
      const bytes = await readFile(join(folder, room, name)).catch(() => undefined);
      if (bytes === undefined) continue;
      files.push({ path: `${room}/${name}`, sha256: createHash('sha256').update(bytes).digest('hex') });
    }
  }
  return files;
}

/** Drops the last version of each page. */
export async function dropFinal(issue: WatchedIssue, variants: readonly Buffer[]): Promise<void> {
  for (const [index, page] of issue.pages.entries())
    await issue.drop(page, variants[(index * 5 + 1) % variantCount]);
}

/** The bundle of the last versions as one machine makes it that nobody disturbs. @returns its SHA-256 */
export async function undisturbed(
  base: string,
  variants: readonly Buffer[],
  pageCount: number,
): Promise<string> {
  const issue = await makeWatchedIssue(join(base, 'undisturbed'), pageCount);
  await dropFinal(issue, variants);
  return delivered(issue.folder);
}

/** Delivers. @returns SHA-256 of the bundle */
export async function delivered(folder: string): Promise<string> {
  // One day for all, so that bundles can be compared by their bytes.
  await platehand('deliver', folder, '--date', '2026-11-20');
  const bundle = await readFile(join(folder, 'delivery', 'QRY02-1.zip'));
  return createHash('sha256').update(bundle).digest('hex');
}

/** Runs a command to its end and returns what it prints; pages that need attention are no failure here. */
export async function platehand(...words: string[]): Promise<string> {
  try {
    return (await promisify(execFile)(process.execPath, [cliPath, ...words])).stdout;
  } catch (thrown) {
    const { code, stdout, stderr } = thrown as { code?: number; stdout: string; stderr: string };
    if (code !== 1) throw new Error(`platehand ${words.join(' ')}: ${stderr}`);
    return stdout;
  }
}
