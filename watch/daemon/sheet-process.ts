import sharp from 'sharp';
import type { IssuePictureRequest } from '../../pipeline/model/sheet-request.js';
import { sheetPicture } from '../../pipeline/outputs/sheet-picture.js';
import { endWithParent } from '../../pipeline/runner/parent-watch.js';
import { reclaimingArena } from '../../pipeline/runner/reclaim.js';
import type { SheetAnswer } from './sheet-drawing.js';

/** Entry of a process that draws one contact sheet and ends. */

sharp.concurrency(1);
sharp.cache(false);

process.once('message', (sheet: IssuePictureRequest) => {
  void answer(sheet).then((reply) => process.send?.(reply, () => process.exit(0)));
});

// Without its parent there is nobody to draw for.
endWithParent();

async function answer(sheet: IssuePictureRequest): Promise<SheetAnswer> {
  try {
    return { png: await sheetPicture(sheet, reclaimingArena()) };
  } catch (thrown) {
    return { problem: thrown instanceof Error ? thrown.message : String(thrown) };
  }
}
