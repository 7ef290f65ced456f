import { createHash } from 'node:crypto';
import { stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { readRegular } from '../../config/regular-file.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import type { ComparedPicture, KnownComparisons } from './compare-page.js';

/**
 * What was measured between two states of pages, by their checksums: pages are compared once, and reports tell what is known without
 * opening a press file. It may be forgotten at any time.
 */

/** Raised whenever the same files would be measured otherwise. */
const format = 'platehand comparisons 2';

/** Comparisons that are kept, the latest: several rounds of the longest issues. Own choice. */
const mostKept = 4000;

/** Where they are kept. @param jobFolder absolute path */
function comparisonsPath(jobFolder: string): string {
  return join(jobFolder, '.platehand', 'comparisons.json');
}

/** What is remembered, to be looked up and added to. */
export class ComparisonCache implements KnownComparisons {
  private isChanged = false;

  private constructor(
    private readonly path: string,
    private readonly known: Map<string, readonly ComparedPicture[]>,
  ) {}

  /** What is remembered of a job; nothing where that cannot be read. */
  static async open(jobFolder: string): Promise<ComparisonCache> {
    const path = comparisonsPath(jobFolder);
    return new ComparisonCache(path, await readKnown(path));
  }

  get(name: string): readonly ComparedPicture[] | undefined {
    return this.known.get(shortOf(name));
  }

  set(name: string, pictures: readonly ComparedPicture[]): void {
    this.known.set(shortOf(name), pictures);
    this.isChanged = true;
  }

  /** Keeps what was added. @throws PlatehandError `write-failed` */
  async save(): Promise<void> {
    if (!this.isChanged) return;
    // Whoever has saved meanwhile keeps what he has added.
    const all = new Map([...(await readKnown(this.path)), ...this.known]);
    const kept = [...all].slice(-mostKept);
    await makeFolder(dirname(this.path));
    await writeWhole(this.path, Buffer.from(JSON.stringify({ format, kept })));
    this.isChanged = false;
  }
}

/** When and how long they were last written, as a short text: as long as it is the same, so is what is remembered. */
export async function comparisonsMark(jobFolder: string): Promise<string> {
  const facts = await stat(comparisonsPath(jobFolder)).catch(() => undefined);
  return facts === undefined ? '' : `${facts.size} ${facts.mtimeMs}`;
}

async function readKnown(path: string): Promise<Map<string, readonly ComparedPicture[]>> {
  try {
    const read = JSON.parse((await readRegular(path)).toString('utf8')) as {
      format: string;
      kept: [string, readonly ComparedPicture[]][];
    };
    return new Map(read.format === format ? read.kept : []);
  } catch {
    // What is not remembered is measured again.
    return new Map();
  }
}

function shortOf(name: string): string {
  return createHash('sha256').update(name).digest('hex');
}
