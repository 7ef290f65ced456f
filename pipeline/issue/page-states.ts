import { join } from 'node:path';
import type { IssuePage, Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import { processInkNames } from '../../config/print-spec.js';
import { readRegular } from '../../config/regular-file.js';
import type { OutputFile } from '../model/page-result.js';
import type { PageState } from '../rounds/page-state.js';
import { nothingThere } from '../rounds/page-state.js';
import { type FrozenFile, type RoundPage, type RoundRecord, roundsFolder } from '../rounds/round-record.js';
import { localStore } from '../store/local-store.js';
import type { PageReport } from './report.js';

/** Pages as they are now and as a round has frozen them, ready to be compared. */

/** Plates that the composite and the line hold already. */
const composed: ReadonlySet<string> = new Set(processInkNames);

/** Whether a page is compared by an output: composite, line, and plates of inks that no other file holds. */
export function isCompared({ product, role }: Pick<OutputFile, 'product' | 'role'>): boolean {
  return product === 'press' || (product === 'plates' && !composed.has(role));
}

/** A page as it is now. @param page of the job's page list */
export function stateNow(job: Job, page: IssuePage, report: PageReport): PageState {
  const { key, used, outputs, condition, state } = report;
  const store = localStore(job.folder);
  const baseName = outputBaseName(job, page);
  const files = outputs.filter(isCompared).map(({ role, half, sha256, ppi, name }) => {
    return { role, half, sha256, ppi, name, read: () => readRegular(store.pathOf(baseName, key, name)) };
  });
  return { used, profileSha256: condition?.profileSha256, files, lacks: state };
}

/** The page of a round that has this id; undefined where the page list had none then. */
function pageOf(round: RoundRecord, page: string): RoundPage | undefined {
  return round.pages.find((one) => one.page === page);
}

/** A page as a round has frozen it. @returns undefined where the page list had none of that id then */
export function stateInRound(job: Job, round: RoundRecord, page: string): PageState | undefined {
  const frozen = pageOf(round, page);
  if (frozen === undefined) return undefined;
  const { used, profileSha256, state } = frozen;
  const files = frozen.files
    .filter(({ role }) => role !== 'proof')
    .map((file) => stateFile(job, round, file));
  return { ...nothingThere, used, profileSha256, files, lacks: state };
}

function stateFile(job: Job, { round }: RoundRecord, { role, half, path, sha256, ppi }: FrozenFile) {
  const read = () => readRegular(join(job.folder, roundsFolder, String(round), path));
  return { role, half, sha256, ppi, name: `${roundsFolder}/${round}/${path}`, read };
}
