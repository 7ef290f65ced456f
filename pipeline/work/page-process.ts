import sharp from 'sharp';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { clearDesk } from '../kernels/desk.js';
import { preparePage } from '../page.js';
import type { PageReply, PageTask, PageWork } from './page-pool.js';

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
process.on('disconnect', () => process.exit(0));

async function answer(task: PageTask): Promise<PageReply> {
  try {
    const result = await done(task);
    clearDesk(false);
    return { id: task.id, outcome: 'done', result };
  } catch (thrown) {
    clearDesk(true);
    if (thrown instanceof PlatehandError) {
      const { code, what, remedy, place, exitCode } = thrown;
      return { id: task.id, outcome: 'refused', code, what, remedy, place, exitCode };
    }
    const trace = thrown instanceof Error ? (thrown.stack ?? thrown.message) : messageOf(thrown);
    return { id: task.id, outcome: 'fault', message: messageOf(thrown), trace };
  }
}

async function done(work: PageWork) {
  if (work.kind === 'page') return preparePage(work.request);
  const { sheetPicture } = await import('./sheet-picture.js');
  return sheetPicture(work.job, work.report, work.runs);
}
