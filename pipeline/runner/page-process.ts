import sharp from 'sharp';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { sameIdentity } from '../files/file-identity.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { PageRequest, UnhashedRequest } from '../model/page-request.js';
import { hasLayers, hasLettering, type PageFiles } from '../model/page-request.js';
import { finishPage, type InkedPage, inkPage } from '../page/page.js';
import { endWithParent } from './parent-watch.js';
import { reclaimingArena, reclaimPage } from './reclaim.js';
import type { PageReply, PageTask, PageWork } from './start-page-process.js';

/**
 * Entry of a page process: takes one page after another from its parent and answers each. A crash here, whatever its
 * cause, ends this process only.
 */

// Pages run side by side in processes of their own, so each keeps to one core.
sharp.concurrency(1);
sharp.cache(false);

process.on('message', (task: PageTask) => {
  void answer(task).then((reply) => process.send?.(reply));
});

// Without its parent a page process has nobody to work for.
endWithParent();

/** The last page, as inks: whoever asked for its proof may ask for its press files next, and then it is not read again. */
let last: InkedPage | undefined;

/** The memory that it stands in. Made for the first page: a process may wait long for that. */
let arena: PageArena | undefined;

function pageArena(): PageArena {
  arena ??= reclaimingArena();
  return arena;
}

async function answer(task: PageTask): Promise<PageReply> {
  try {
    return { id: task.id, outcome: 'done', result: await done(task) };
  } catch (thrown) {
    // Something may still be at work on the page.
    forget('anew');
    if (thrown instanceof PlatehandError) {
      const { code, what, remedy, place, exitCode } = thrown;
      return { id: task.id, outcome: 'refused', code, what, remedy, place, exitCode };
    }
    const trace = thrown instanceof Error ? (thrown.stack ?? thrown.message) : messageOf(thrown);
    return { id: task.id, outcome: 'fault', message: messageOf(thrown), trace };
  }
}

async function done(work: PageWork) {
  if (work.kind === 'page') return finishPage(await inked(work.request), work.request, pageArena());
  forget();
  const { sheetPicture } = await import('../outputs/sheet-picture.js');
  return sheetPicture(work.sheet, pageArena());
}

async function inked(asked: PageRequest | UnhashedRequest): Promise<InkedPage> {
  if (last !== undefined && isSameReading(last.request, asked)) return last;
  const isInTheWay = last !== undefined && leavesTooMuch(last.request.files, asked.files);
  if (isInTheWay) {
    forget('anew');
    reclaimPage();
  } else forget();
  // What was written of the last page is not held any more.
  await pageArena().reclaim.decoded();
  last = await inkPage(asked, pageArena());
  return last;
}

/** The key alone does not tell what was read: a file may have been another one for a moment. */
function isSameReading(before: PageRequest, asked: PageRequest | UnhashedRequest): boolean {
  if (before.key !== asked.key) return false;
  return before.files.every(({ local }, i) => sameIdentity(asked.files[i]?.local.seen, local.seen));
}

/**
 * Whether what the arena took for one page stands in the way of the next. Layers take 250 MB of it, bit by bit, while the files
 * that they come from are given up; lettering in a file of its own comes as one of three pictures, for which memory has to be
 * free first. Only pages of layers that follow each other find the arena as they need it.
 */
function leavesTooMuch(before: PageFiles, next: PageFiles): boolean {
  if (hasLettering(next)) return true;
  return hasLayers(next) !== hasLayers(before) || hasLettering(before);
}

/**
 * Gives the last page up.
 * @param anew takes another arena: where something may still be at work, since the page failed midway, or to give back the
 *   memory that the old one took
 */
function forget(anew?: 'anew'): void {
  last = undefined;
  if (anew === undefined) arena?.reset();
  else arena = undefined;
}
