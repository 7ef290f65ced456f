import { resolve } from 'node:path';
import { allVisible, visible } from '../../config/visible-text.js';
import { exitCode, loadJob, PlatehandError } from '../../pipeline/index.js';
import { queueAddress } from '../../pipeline/queue/queue-address.js';
import { openQueueLink, type QueueLink } from '../../pipeline/queue/queue-link.js';
import { pauseQueue, readQueue } from '../../pipeline/queue/read-queue.js';
import { pauseByHand, resumeByHand } from '../daemon/folder-marks.js';
import { type Common, say } from './command-work.js';
import { endRequest } from './hard-end.js';
import { metricsPlace, openMetricsServer } from './metrics-server.js';
import { paintFor } from './report-text.js';
import { type WorkCommandOptions, workUntilAsked } from './work-command.js';
import { workersText } from './workers-text.js';

/** What the commands do that are about who works, and when. */
export interface QueueActions {
  work(options: WorkCommandOptions): Promise<void>;
  workers(options: Common & { queue: string; metrics?: string }): Promise<void>;
  pause(folder: string, options: Common & { queue?: string }): Promise<void>;
  resume(folder: string, options: Common & { queue?: string }): Promise<void>;
}

export const queueActions: QueueActions = {
  async work(options) {
    await workUntilAsked(options);
    process.exitCode = exitCode.done;
  },

  async workers({ queue, json, metrics }) {
    await withQueue(queue, async (link) => {
      if (metrics !== undefined) return await serveUntilAsked(link, metrics);
      const view = await readQueue(link);
      say('workers', exitCode.done, json, view, () =>
        workersText(allVisible(view), paintFor(process.stdout)),
      );
    });
  },

  async pause(folder, { json, queue }) {
    if (queue !== undefined) return await switchAll('pause', folder, queue, json);
    const { folder: jobFolder } = await loadJob(resolve(folder));
    await pauseByHand(jobFolder);
    const text = `Paused ${folder}: its daemon begins no more pages until: platehand resume ${folder}`;
    say('pause', exitCode.done, json, { folder: jobFolder }, () => visible(text));
  },

  async resume(folder, { json, queue }) {
    if (queue !== undefined) return await switchAll('resume', folder, queue, json);
    const { folder: jobFolder } = await loadJob(resolve(folder));
    await resumeByHand(jobFolder);
    say('resume', exitCode.done, json, { folder: jobFolder }, () => visible(`${folder} goes on.`));
  },
};

/** Pauses all workers of a queue, or lets them go on. */
async function switchAll(
  command: 'pause' | 'resume',
  folder: string,
  queue: string,
  json: true | undefined,
): Promise<void> {
  refuseFolder(folder);
  await withQueue(queue, async (link) => {
    const engines = await pauseQueue(link, command === 'pause');
    const { shown } = link.address;
    const text =
      command === 'pause'
        ? `Paused ${shown}: no worker begins another page until: platehand resume --queue ${shown}`
        : `${shown} goes on.`;
    say(command, exitCode.done, json, { queue: shown, engines }, () => visible(text));
  });
}

/** A folder beside a queue would look as if it were the folder's pages only. */
function refuseFolder(folder: string): void {
  if (folder === '.') return;
  const remedy = 'Name the folder or the queue, not both.';
  throw new PlatehandError('wrong-use', 'A queue is paused as a whole, for all folders', remedy);
}

async function withQueue(queue: string, use: (link: QueueLink) => Promise<void>): Promise<void> {
  const link = await openQueueLink(await queueAddress(queue, process.env));
  try {
    await use(link);
  } finally {
    await link.close();
  }
}

async function serveUntilAsked(link: QueueLink, at: string): Promise<void> {
  const asked = endRequest();
  const server = await openMetricsServer(metricsPlace(at), () => readQueue(link));
  process.stdout.write(`${visible(`Metrics of ${link.address.shown} at ${server.url}, until ended`)}\n`);
  await asked;
  await server.close();
}
