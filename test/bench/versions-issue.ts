import { createHash } from 'node:crypto';
import { mkdir, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { drawPage } from '../helpers/drawn-pages.js';
import type { Style } from '../helpers/drawn-scene.js';
import { plateOfBits } from '../helpers/rasters.js';
import { tiffOf } from '../helpers/small-issue.js';

/** An issue whose pages get good and wrong versions in turn, with what is known of each: the campaign's side of the truth. */

/** What can be wrong with a new version. */
export const faults = ['cut short', 'another page', 'blank'] as const;
export type Fault = (typeof faults)[number];
type PartName = 'line' | 'colour' | 'whole';

interface Version {
  readonly name: string;
  readonly sha256: string;
  readonly fault: Fault | undefined;
}

/** One part of a page; the newest version comes last. */
export interface DrawnPart {
  readonly page: DrawnPage;
  readonly part: PartName;
  readonly versions: Version[];
}

export interface DrawnPage {
  readonly id: string;
  readonly style: Style;
  readonly parts: readonly DrawnPart[];
}

/** Styles and parts of the pages; the last one arrives late. */
const pageWishes: readonly (readonly [Style, readonly PartName[]])[] = [
  ['pen', ['line']],
  ['cel', ['colour', 'line']],
  ['painted', ['whole']],
  ['brush', ['colour', 'line']],
  ['pen', ['whole']],
];

/** Trim plus bleed is 1.5 x 2 in: 450 x 600 px of colour at 300 ppi, line at twice as many. */
const size = { width: 450, height: 600 };
const [colourPpi, linePpi] = [300, 600];
/** A cut-short file keeps from this share of its bytes on, up to as much more. */
const [leastKept, mostMoreKept] = [0.2, 0.7];

const accept = "accept: { bleed-empty: 'its margins are white' }";
const jobYaml = `issue: KLD01
title: Versions
units: in
print: { trim: [1.25, 1.75], bleed: 0.125, safe: 0.125, press: cgats-tr006 }
pages:
${pageWishes.map(([, parts], i) => `  - { page: ${i + 1}, ${parts[0] === 'whole' ? '' : `needs: [${parts}], `}${accept} }`).join('\n')}
`;

/** A job folder with no files yet. */
export async function openVersionsIssue(folder: string): Promise<VersionsIssue> {
  await mkdir(join(folder, 'incoming'), { recursive: true });
  await writeFile(join(folder, 'job.yaml'), jobYaml);
  return new VersionsIssue(folder);
}

/** The issue on the disk, and what its files are. */
export class VersionsIssue {
  readonly pages: readonly DrawnPage[] = pageWishes.map(([style, names], index) => {
    const page = { id: `${index + 1}`, style, parts: [] as DrawnPart[] };
    page.parts.push(...names.map((part) => ({ page, part, versions: [] })));
    return page;
  });
  private dropped = 0;

  constructor(readonly folder: string) {}

  /** Drops a new version, under a name of its own or over the newest one. @param other whose picture it is, if not its own */
  async drop(part: DrawnPart, fault: Fault | undefined, share = 0, other = part.page, over = false) {
    const number = ++this.dropped;
    const bytes = await picture(part.part, other, number, fault === 'blank');
    const kept = Math.round(bytes.length * (leastKept + share * mostMoreKept));
    const whole = fault === 'cut short' ? bytes.subarray(0, kept) : bytes;
    const newest = part.versions.at(-1);
    const name =
      over && newest !== undefined ? newest.name : `KLD01 p${part.page.id}${wordOf(part)} v${number}.tif`;
    await this.put(name, whole);
    if (over) part.versions.pop();
    part.versions.push({ name, sha256: sha256Of(whole), fault });
  }

  /** Takes the newest version out again, so that the one before counts. */
  async takeBack(part: DrawnPart): Promise<void> {
    const newest = part.versions.pop();
    if (newest !== undefined) await rm(join(this.folder, 'incoming', newest.name));
  }

  /** Drops a page of another issue. @returns its name */
  async dropStrange(part: DrawnPart): Promise<string> {
    const name = `XYZ07 p${part.page.id}${wordOf(part)} v${++this.dropped}.tif`;
    await this.put(name, await picture(part.part, part.page, this.dropped, false));
    return name;
  }

  /** By renaming into place, as careful programs do. */
  private async put(name: string, bytes: Uint8Array): Promise<void> {
    const path = join(this.folder, `dropped-${this.dropped}`);
    await writeFile(path, bytes);
    await rename(path, join(this.folder, 'incoming', name));
  }

  /** What stands in press/ and plates/ of a page: path and SHA-256 of each file, sorted. */
  async standing({ id }: DrawnPage): Promise<readonly string[]> {
    const files: string[] = [];
    for (const room of ['press', 'plates']) {
      const names = await readdir(join(this.folder, room)).catch(() => []);
      for (const name of names.filter((one) => one.startsWith(`KLD01_${id}_`) || one === `KLD01_${id}.tif`)) {
        files.push(`${room}/${name} ${sha256Of(await readFile(join(this.folder, room, name)))}`);
      }
    }
    return files.sort();
  }
}

/** The word in its name that tells a part. */
const wordOf = ({ part }: DrawnPart): string => (part === 'whole' ? '' : ` ${part}`);

/** Whether every part of a page has arrived, and the newest of each is right. */
export function isRight({ parts }: DrawnPage): boolean {
  return parts.every(({ versions }) => versions.length > 0 && versions.at(-1)?.fault === undefined);
}

/** Checksums of the files that a page is to be made of now, sorted. */
export function newestSums({ parts }: DrawnPage): string {
  return sumsOf(parts.flatMap(({ versions }) => versions.at(-1) ?? []));
}

export function sumsOf(files: readonly { readonly sha256: string }[]): string {
  return files
    .map(({ sha256 }) => sha256)
    .sort()
    .join(' ');
}

export function sha256Of(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

/** A part of a page as its artist saves it: each time with another touch of a few pixels. */
async function picture(part: PartName, { id, style }: DrawnPage, touch: number, blank: boolean) {
  const { colour, line } = drawPage(style, { ...size, seed: Number(id) + 2 });
  if (part !== 'line') {
    const data = blank ? colour.data.map(() => 255) : colour.data;
    data[3 * (touch % (size.width * size.height))] ^= 1;
    return tiffOf({ ...colour, data }, colourPpi);
  }
  const { width, height, data } = plateOfBits(line);
  const grey = data.map((ink) => (blank ? 255 : 255 - ink));
  grey[touch % grey.length] ^= 1;
  return tiffOf({ width, height, model: 'grey', alpha: false, data: grey }, linePpi);
}
