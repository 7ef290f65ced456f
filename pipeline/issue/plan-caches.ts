import { stat } from 'node:fs/promises';
import { openPress, type Press } from '../../config/press.js';
import type { PressChoice } from '../../config/print-spec.js';
import { NotesReader } from '../rounds/read-notes.js';
import { FileHashes } from '../store/file-hashes.js';
import { PictureLooks } from './picture-looks.js';

/** What planning looks things up in; whoever plans often hands the same to every plan. */
export interface PlanCaches {
  /** Checksums of working files: what the work brings to light may be added. */
  readonly hashes: FileHashes;
  readonly presses: PressCache;
  /** What pictures answered whose names leave something open. */
  readonly looks: PictureLooks;
  /** What editors wrote; whoever plans has it read first. */
  readonly notes: NotesReader;
}

/** The caches of one job folder: the checksums that were saved there, and no press yet. */
export async function openPlanCaches(jobFolder: string): Promise<PlanCaches> {
  const hashes = await FileHashes.open(jobFolder);
  return { hashes, presses: new PressCache(), looks: new PictureLooks(), notes: new NotesReader() };
}

/**
 * Press conditions that are opened once and asked for once a page. A profile of the user's is opened again when its
 * file has changed.
 */
export class PressCache {
  private readonly opened = new Map<string, { readonly version: string; readonly press: Press }>();

  /** @throws PlatehandError `wrong-use`, `profile-invalid`, `profile-timeout` */
  async open(choice: PressChoice): Promise<Press> {
    const name = choice.kind === 'shipped' ? `shipped ${choice.name}` : choice.path;
    const version = choice.kind === 'shipped' ? '' : await versionOf(choice.path);
    const known = this.opened.get(name);
    if (known?.version === version) return known.press;
    const press = await openPress(choice);
    this.opened.set(name, { version, press });
    return press;
  }
}

async function versionOf(path: string): Promise<string> {
  try {
    const { size, mtimeMs, ctimeMs, ino } = await stat(path);
    return `${size} ${mtimeMs} ${ctimeMs} ${ino}`;
  } catch {
    // Opening it says what is wrong.
    return 'gone';
  }
}
