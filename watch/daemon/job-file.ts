import { join } from 'node:path';
import { messageOf } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import { loadJob } from '../../config/load-job.js';
import { identityOf, sameIdentity } from '../../pipeline/files/file-identity.js';
import type { FileIdentity } from '../../pipeline/model/page-request.js';

/** What has become of job.yaml since the last look. */
export type JobEdit =
  | { readonly kind: 'same' }
  | { readonly kind: 'changed'; readonly job: Job }
  | { readonly kind: 'broken'; readonly message: string };

/** Stands for a job.yaml that is not there: editors move it away for a moment while they save. */
const absent: FileIdentity = { bytes: -1, mtimeMs: 0, ctimeMs: 0, inode: 0 };

/**
 * Follows the edits of a job.yaml. An edit counts when the file is steady, and a broken one leaves the last good job in
 * force and is told once.
 */
export class JobFile {
  /** The file as it was when it was last taken or refused. */
  private settled: FileIdentity;
  private candidate: FileIdentity | undefined;
  private candidateSinceMs = 0;

  private constructor(
    private readonly folder: string,
    private readonly settleMs: number,
    public job: Job,
    seen: FileIdentity,
  ) {
    this.settled = seen;
  }

  /** @throws what loadJob throws */
  static async open(folder: string, settleMs: number): Promise<JobFile> {
    const seen = await identityOf(join(folder, 'job.yaml')).catch(() => absent);
    return new JobFile(folder, settleMs, await loadJob(folder), seen);
  }

  /** Whether the file is not the one that was last looked at. */
  async hasChanged(): Promise<boolean> {
    return !sameIdentity(this.candidate ?? this.settled, await this.seen());
  }

  async isThere(): Promise<boolean> {
    return (await this.seen()).bytes >= 0;
  }

  async look(): Promise<JobEdit> {
    const seen = await this.seen();
    if (sameIdentity(this.settled, seen)) {
      this.candidate = undefined;
      return { kind: 'same' };
    }
    const now = performance.now();
    if (!sameIdentity(this.candidate, seen)) {
      this.candidate = seen;
      this.candidateSinceMs = now;
    }
    if (now - this.candidateSinceMs < this.settleMs) return { kind: 'same' };
    this.candidate = undefined;
    this.settled = seen;
    try {
      this.job = await loadJob(this.folder);
      return { kind: 'changed', job: this.job };
    } catch (thrown) {
      return { kind: 'broken', message: messageOf(thrown) };
    }
  }

  /** Milliseconds until an edit counts; undefined when there is none. */
  nextLookMs(): number | undefined {
    if (this.candidate === undefined) return undefined;
    return Math.max(0, this.candidateSinceMs + this.settleMs - performance.now());
  }

  private async seen(): Promise<FileIdentity> {
    return identityOf(join(this.folder, 'job.yaml')).catch(() => absent);
  }
}
