import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { counted } from '../../config/figures.js';
import type { Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import { makeFolder, placeWhole, writeWhole } from '../files/atomic.js';
import { isCompared } from '../issue/page-states.js';
import type { IssueReport, PageReport } from '../issue/report.js';
import { sheetRequest } from '../issue/sheet-request.js';
import type { OutputFile } from '../model/page-result.js';
import type { SheetChange } from '../model/sheet-request.js';
import { notesCsv, notesYaml } from '../rounds/notes-template.js';
import type { FrozenFile, RoundPage, RoundRecord } from '../rounds/round-record.js';
import { localStore } from '../store/local-store.js';
import { proofBook } from './proof-book.js';

/** What a round's folder holds: the pages that it froze, their proofs, their sheet, and forms for notes. */

/** Names in a round's folder. */
export const roundFiles = {
  proofs: 'proofs.pdf',
  contactSheet: 'contact-sheet.png',
  notesCsv: 'notes.csv',
  notesYaml: 'notes.yaml',
} as const;

const pagesFolder = 'pages';

/** Whether a round keeps an output: what a page is compared by, and its proof. */
function isFrozen(output: OutputFile): boolean {
  return isCompared(output) || (output.product === 'proof' && output.role === 'proof');
}

/**
 * Puts the files of a page into the round's folder, as further names of the same bytes where the disk can.
 * @param folder of the round, absolute
 * @throws PlatehandError `write-failed`
 */
export async function freezeFiles(job: Job, report: PageReport, folder: string): Promise<FrozenFile[]> {
  const frozen: FrozenFile[] = [];
  await makeFolder(join(folder, pagesFolder));
  for (const output of report.outputs.filter(isFrozen)) {
    const { role, half, name, bytes, sha256, width, height, ppi } = output;
    const path = `${pagesFolder}/${name}`;
    await placeWhole(storedAt(job, report, name), join(folder, path));
    frozen.push({ role, ...(half === undefined ? {} : { half }), path, bytes, sha256, width, height, ppi });
  }
  return frozen;
}

function storedAt(job: Job, { page, key }: PageReport, name: string): string {
  const listed = job.pages.find(({ id }) => id === page);
  if (listed === undefined) throw new Error(`page ${page} is not in the page list`);
  return localStore(job.folder).pathOf(outputBaseName(job, listed), key, name);
}

/** What a round is, before its files are drawn. */
export interface RoundDrawing {
  readonly job: Job;
  readonly report: IssueReport;
  readonly record: RoundRecord;
  /** Number of the round before; undefined for the first. */
  readonly before: number | undefined;
  /** `YYYY-MM-DD`. */
  readonly day: string;
}

/**
 * Writes the forms for notes, the contact sheet and the proofs into the round's folder.
 * @returns bytes of the proofs
 * @throws PlatehandError `write-failed`; what reading a proof or a thumbnail throws
 */
export async function drawRound(drawing: RoundDrawing, folder: string): Promise<number> {
  const { job, report, record } = drawing;
  await writeWhole(join(folder, roundFiles.notesCsv), Buffer.from(notesCsv(record.pages)));
  await writeWhole(join(folder, roundFiles.notesYaml), Buffer.from(notesYaml(record.pages)));
  await writeWhole(join(folder, roundFiles.contactSheet), await drawSheet(drawing));
  const changes = new Map(record.pages.map((page) => [page.page, page]));
  const pages = report.pages.map((page, at) => {
    const proof = page.outputs.find(({ product, role }) => product === 'proof' && role === 'proof');
    return {
      page: job.pages[at],
      caption: captionOf(page, changes.get(page.page), drawing.before),
      why: page.why,
      proof: proof === undefined ? undefined : { ...proof, path: storedAt(job, page, proof.name) },
    };
  });
  const path = join(folder, roundFiles.proofs);
  const book = { round: record.round, day: drawing.day, summary: roundWords(record, drawing.before), pages };
  await writeWhole(path, proofBook(job, book, path));
  return (await stat(path)).size;
}

/** Such as `Page 3: done, changed since round 1`. */
function captionOf(
  { page, state }: PageReport,
  frozen: RoundPage | undefined,
  before: number | undefined,
): string {
  const change = frozen?.change;
  const since =
    before === undefined || change === undefined || change === 'absent' ? '' : changeWords(change, before);
  return `${/^\d/.test(page) ? 'Page ' : ''}${page}: ${state}${since}`;
}

function changeWords(change: SheetChange, before: number): string {
  if (change === 'new') return `, new since round ${before}`;
  return `, ${change} since round ${before}`;
}

async function drawSheet({ job, report, record, before }: RoundDrawing): Promise<Uint8Array> {
  const { sheetPicture } = await import('../outputs/sheet-picture.js');
  const runs = report.pages.map((page, at) => {
    return {
      page: job.pages[at],
      stored: page.key === '' ? undefined : { folder: join(storedAt(job, page, '.')) },
    };
  });
  const request = sheetRequest(job, report, runs);
  const changes = new Map(record.pages.map(({ page, change }) => [page, change]));
  const pages = request.pages.map((page) => ({ ...page, change: shownChange(changes.get(page.id), before) }));
  return sheetPicture({
    ...request,
    name: `review round ${record.round}`,
    summary: roundWords(record, before),
    pages,
  });
}

/** In a first round everything is new, and nothing is worth a mark. */
function shownChange(
  change: RoundPage['change'] | undefined,
  before: number | undefined,
): SheetChange | undefined {
  return before === undefined || change === 'absent' ? undefined : change;
}

/** One line on what a round brings: `3 pages changed since round 1, 1 new, 20 unchanged`. */
export function roundWords({ pages }: Pick<RoundRecord, 'pages'>, before: number | undefined): string {
  const count = (change: RoundPage['change']) => pages.filter((page) => page.change === change).length;
  const [fresh, changed, unchanged, absent] = (['new', 'changed', 'unchanged', 'absent'] as const).map(count);
  const missing = absent === 0 ? '' : `, ${absent} not there`;
  if (before === undefined) return `First round: ${counted(fresh, 'page')}${missing}`;
  if (fresh + changed === 0)
    return `Nothing has changed since round ${before}: ${counted(unchanged, 'page')}${missing}`;
  return `${counted(changed, 'page')} changed since round ${before}, ${fresh} new, ${unchanged} unchanged${missing}`;
}
