import { access, constants } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { allVisible, visible, visibleLines } from '../../config/visible-text.js';
import { readDeliveryFacts } from '../../pipeline/bag/delivery-facts.js';
import { writeWhole } from '../../pipeline/files/atomic.js';
import { writeFailed } from '../../pipeline/files/disk-trouble.js';
import {
  createJobFolder,
  deliver,
  exitCode,
  exitCodeOf,
  loadJob,
  PlatehandError,
  type ProductName,
  readDeliveries,
  runIssue,
  seeProofs,
  selectPages,
  verifyBag,
  verifySet,
} from '../../pipeline/index.js';
import { followJob } from '../daemon/last-job.js';
import { noteDelivery, noteRun } from './command-notes.js';
import { type Common, openForWork, say, type Work, workOptions } from './command-work.js';
import { deliveryNote, deliveryText, setText, shelfJson, shelfText, verifyText } from './delivery-text.js';
import { eyesNamed, seenText, withoutBoxes } from './proof-options.js';
import { type QueueActions, queueActions } from './queue-actions.js';
import { errorFacts, paintFor, runText } from './report-text.js';
import { type RoundActions, roundActions } from './round-actions.js';
import { brokenJobText, daemonText, readWatchStatus, statusText } from './status-text.js';
import { withHands } from './through-queue.js';
import { type WatchCommandOptions, watchUntilAsked } from './watch-command.js';
import type { QueueWords } from './work-command.js';

/** What each command does; the front door only reads words and calls these. */
export interface Actions extends RoundActions, QueueActions {
  create(folder: string, options: Common & { issue?: string; title?: string; pages?: number }): Promise<void>;
  check(folder: string, options: Work & { report?: string }): Promise<void>;
  run(folder: string, options: Work & { only?: 'proofs' | 'press' | 'plates' | 'pdf' }): Promise<void>;
  proof(folder: string, options: Work & { clean?: true; seenAs?: string }): Promise<void>;
  deliver(
    folder: string,
    options: Work &
      Partial<QueueWords> & { partial?: true; reason?: string; date?: string; earlier?: string },
  ): Promise<void>;
  verify(bag: string | undefined, options: Common & { against?: readonly string[] }): Promise<void>;
  status(folder: string, options: Common): Promise<void>;
  watch(folders: readonly string[], options: WatchCommandOptions): Promise<void>;
}

export const actions: Actions = {
  ...roundActions,
  ...queueActions,

  async create(folder, { json, ...facts }) {
    await createJobFolder(resolve(folder), facts);
    const typed = /[^\w./\\:-]/.test(folder) ? `"${folder}"` : folder;
    const next = `Next: fill in ${join(folder, 'job.yaml')}, drop pages into ${join(folder, 'incoming')}, then: platehand check ${typed}`;
    say('new', exitCode.done, json, { folder: resolve(folder) }, () => visible(`Made ${folder}. ${next}`));
  },

  async check(folder, options) {
    const job = await loadJob(resolve(folder));
    if (options.report !== undefined) await checkWritable(resolve(options.report));
    const report = await runIssue(job, { ...workOptions(job, options), products: [] });
    const body = { command: 'check', exitCode: exitCodeOf(report), ...report };
    if (options.report !== undefined) {
      await writeWhole(resolve(options.report), Buffer.from(`${JSON.stringify(body, null, 2)}\n`));
    }
    say('check', exitCodeOf(report), options.json, report, () => runText(report, paintFor(process.stdout)));
  },

  async run(folder, options) {
    const job = await openForWork(folder);
    const products = options.only === undefined ? {} : { products: [productOf(options.only)] };
    const report = await runIssue(job, { ...workOptions(job, options), ...products });
    await noteRun(job.folder, report);
    say('run', exitCodeOf(report), options.json, report, () => runText(report, paintFor(process.stdout)));
  },

  async proof(folder, options) {
    const eyes = eyesNamed(options.seenAs);
    const opened = await openForWork(folder);
    const job = options.clean ? withoutBoxes(opened) : opened;
    const report = await runIssue(job, { ...workOptions(job, options), products: ['proof'] });
    await noteRun(job.folder, report);
    const { pages, jobs } = workOptions(job, options);
    const seen = eyes === undefined ? {} : { seenAs: await seeProofs(job, eyes, { pages, jobs }) };
    const text = () => [runText(report, paintFor(process.stdout)), ...seenText(seen.seenAs)];
    say('proof', exitCodeOf(report), options.json, { ...report, ...seen }, () => text().join('\n'));
  },

  async deliver(folder, options) {
    const partial = partialOf(options);
    const job = await openForWork(folder);
    const date = options.date === undefined ? {} : { date: options.date };
    const earlier = options.earlier === undefined ? {} : { earlier: selectPages(job, options.earlier) };
    const asked = { ...workOptions(job, options), ...partial, ...date, ...earlier };
    const delivery = await withHands(job, options, (hands) => deliver(job, { ...asked, ...hands }));
    await noteDelivery(job.folder, delivery);
    say('deliver', exitCode.done, options.json, delivery, () =>
      deliveryText(allVisible(delivery), paintFor(process.stdout)),
    );
  },

  async verify(bag, { json, against }) {
    const bags = [...(bag === undefined ? [] : [bag]), ...(against ?? [])];
    if (bags.length === 0) throw nothingToVerify();
    if (against === undefined) await verifyOne(bags[0], json);
    else await verifyTogether(bags, json);
  },

  async status(folder, { json }) {
    const { job, broken } = await followJob(resolve(folder));
    const [status, shelf] = await Promise.all([readWatchStatus(job), readDeliveries(job)]);
    const isFree = status.blocking.length === 0;
    const code = broken?.exitCode ?? (isFree ? exitCode.done : exitCode.attention);
    const text = () =>
      [
        statusText(allVisible(status), paintFor(process.stdout)),
        ...shelfText(allVisible(shelf)),
        daemonText(allVisible(status)),
      ].join('\n');
    const error = broken === undefined ? {} : { error: errorFacts(broken) };
    if (broken !== undefined && !json) process.stderr.write(`${visibleLines(brokenJobText(broken))}\n`);
    say('status', code, json, { ...error, ...status, ...shelfJson(shelf) }, text);
  },

  async watch(folders, options) {
    await watchUntilAsked(folders, options);
    process.exitCode = exitCode.done;
  },
};

/** One bag by itself; of a delivery also what it goes together with. */
async function verifyOne(bag: string, json: true | undefined): Promise<void> {
  const report = await verifyBag(resolve(bag));
  const facts = await readDeliveryFacts(resolve(bag));
  const code = report.ok ? exitCode.done : exitCode.attention;
  const text = () =>
    [verifyText(allVisible(report), paintFor(process.stdout)), ...deliveryNote(allVisible(facts))].join('\n');
  const { number, name, kind, date, builtOn } = facts ?? {};
  const delivery = facts && { number, name, kind, date, builtOn };
  say('verify', code, json, { ...report, delivery }, text);
}

async function verifyTogether(bags: readonly string[], json: true | undefined): Promise<void> {
  const report = await verifySet(bags);
  const code = report.ok ? exitCode.done : exitCode.attention;
  say('verify', code, json, report, () => setText(allVisible(report), paintFor(process.stdout)));
}

function nothingToVerify(): PlatehandError {
  const remedy =
    'For example: platehand verify TDL03-1.zip, or platehand verify --against TDL03-1.zip TDL03-2-supplement.zip.';
  return new PlatehandError('wrong-use', 'There is no bag named to verify', remedy);
}

/** Says before the pages are looked at that their report would have no place to go. */
async function checkWritable(path: string): Promise<void> {
  await access(dirname(path), constants.W_OK).catch((thrown: unknown) => {
    throw writeFailed(path, thrown);
  });
}

function productOf(only: 'proofs' | 'press' | 'plates' | 'pdf'): ProductName {
  return only === 'proofs' ? 'proof' : only;
}

/** A partial delivery needs a reason, and a reason makes no sense without one. */
function partialOf({ partial, reason }: { partial?: true; reason?: string }) {
  if (partial === undefined && reason === undefined) return {};
  if (partial === undefined || reason === undefined || reason.trim() === '') {
    throw new PlatehandError(
      'wrong-use',
      'A partial delivery needs both --partial and --reason',
      'For example: platehand deliver --partial --reason "page 9 follows on Friday".',
    );
  }
  return { partial: { reason: reason.trim() } };
}
