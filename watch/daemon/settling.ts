import { sameIdentity } from '../../pipeline/files/file-identity.js';
import type { FileIdentity } from '../../pipeline/model/page-request.js';
import type { IncomingFile } from '../../pipeline/model/reconciliation.js';
import { isHidden } from '../../pipeline/names/incoming.js';

/** How long files are given, in milliseconds. */
export interface SettlingTimes {
  /** A file is whole when nothing about it has changed for this long. */
  readonly settleMs: number;
  /** A file that is steady but cannot be read to its end is given this long before it counts as broken. */
  readonly graceMs: number;
}

/**
 * How far a file has come: `arriving` may still change, `whole` is steady, `leaving` has just gone and may come back,
 * as it does when a program saves by moving files about; `hidden` lies where nobody can look just now.
 */
export type FileStage = 'arriving' | 'whole' | 'leaving' | 'hidden';

interface Entry {
  file: IncomingFile;
  identity: FileIdentity;
  /** When it was first seen like this, on the clock that only goes forward. */
  sinceMs: number;
  stage: Exclude<FileStage, 'hidden'>;
  /** It was steady and still could not be read to its end. */
  doubted: boolean;
}

/**
 * A file that nobody has touched for this long before the first look was not dropped just now, so no time has to pass
 * again. Later the wall clock decides nothing: it may jump, and the clock of a share may differ.
 */
const longAgoMs = 10 * 60_000;

/** A file that has not changed for this share of the settling time is likely to be whole: it may be worked on ahead. Own choice. */
const likelyWholeShare = 0.1;

/**
 * Tells whole files from those that are still being copied. Events of the file system are no proof: a file counts as
 * whole when two looks at it agree that lie the settling time apart.
 */
export class SettlingTable {
  private readonly entries = new Map<string, Entry>();
  private isFirstLook = true;
  private hidden: readonly string[] = [];

  /** @param clock milliseconds on a clock that only goes forward */
  constructor(
    private readonly times: SettlingTimes,
    private readonly clock: () => number = () => performance.now(),
  ) {}

  /**
   * Takes in what the folder holds now.
   * @param hidden folders (with a final slash) and files that cannot be looked at: what is known of them stays as it is
   */
  look(files: readonly IncomingFile[], hidden: readonly string[] = []): void {
    const now = this.clock();
    this.hidden = hidden;
    const names = new Set(files.map(({ name }) => name));
    for (const file of files) this.lookAt(file, now);
    this.isFirstLook = false;
    const inSight = [...this.entries].filter(([name]) => !isHidden(name, hidden));
    const present = inSight.filter(([, { stage }]) => stage !== 'leaving').length;
    // When everything goes at once, it is rather the disk that went.
    const waitMs = names.size === 0 && present > 1 ? this.times.graceMs : this.times.settleMs;
    for (const [name, entry] of inSight) {
      if (names.has(name)) continue;
      if (entry.stage !== 'leaving') {
        entry.stage = 'leaving';
        entry.sinceMs = now + waitMs - this.times.settleMs;
      } else if (now - entry.sinceMs >= this.times.settleMs) this.entries.delete(name);
    }
  }

  private lookAt(file: IncomingFile, now: number): void {
    const identity = identityIn(file);
    const entry = this.entries.get(file.name);
    if (entry === undefined || entry.stage === 'leaving' || !sameIdentity(entry.identity, identity)) {
      const untouchedMs = Date.now() - Math.max(file.mtimeMs, identity.ctimeMs);
      const sinceMs = this.isFirstLook && untouchedMs > longAgoMs ? now - longAgoMs : now;
      this.entries.set(file.name, { file, identity, sinceMs, stage: 'arriving', doubted: false });
    }
    const known = this.entries.get(file.name);
    if (known === undefined) return;
    // An empty file is steady too: whoever made it may be about to fill it.
    const neededMs = known.doubted || file.bytes === 0 ? this.times.graceMs : this.times.settleMs;
    known.stage = now - known.sinceMs >= neededMs ? 'whole' : 'arriving';
  }

  /** What is there or has just left; files that are not whole count as filled, so that they keep their page. */
  files(): IncomingFile[] {
    return [...this.entries.values()].map(({ file, stage }) =>
      stage === 'whole' ? file : { ...file, bytes: Math.max(1, file.bytes) },
    );
  }

  /** Also of a file that was never seen, where it would lie hidden. */
  stageOf(name: string): FileStage | undefined {
    return isHidden(name, this.hidden) ? 'hidden' : this.entries.get(name)?.stage;
  }

  /** Whether a file is whole, or has not changed for so long that it is likely to be. */
  isLikelyWhole(name: string): boolean {
    const entry = this.entries.get(name);
    if (entry === undefined || entry.stage === 'leaving' || isHidden(name, this.hidden)) return false;
    if (entry.stage === 'whole') return true;
    return entry.file.bytes > 0 && !entry.doubted && this.clock() - entry.sinceMs >= this.likelyMs;
  }

  private get likelyMs(): number {
    return this.times.settleMs * likelyWholeShare;
  }

  /** Whether a file that cannot be looked at was never seen either, so that nobody knows what is there. */
  isBeyondKnowing(name: string): boolean {
    return isHidden(name, this.hidden) && !this.entries.has(name);
  }

  identityOf(name: string): FileIdentity | undefined {
    return this.entries.get(name)?.identity;
  }

  /** Names of files that are not whole yet, or may be gone. */
  unsettled(): string[] {
    return [...this.entries].flatMap(([name, { stage }]) => (stage === 'whole' ? [] : [name]));
  }

  names(): string[] {
    return [...this.entries.keys()];
  }

  /**
   * Whether a file that could not be read to its end may get better: it is young, or it was not tried twice yet, since a
   * disk may fail for a moment.
   */
  mayGetBetter(name: string): boolean {
    const entry = this.entries.get(name);
    return entry === undefined || !entry.doubted || !this.isOld(name);
  }

  /**
   * Lets a file that could not be read to its end count as arriving, for as long as broken ones are given.
   * @returns whether this is the first time since it last changed
   */
  doubt(name: string): boolean {
    const entry = this.entries.get(name);
    if (entry === undefined || entry.doubted) return false;
    entry.doubted = true;
    entry.stage = 'arriving';
    return true;
  }

  /** Whether a file has not changed for as long as a broken one is given. */
  isOld(name: string): boolean {
    const entry = this.entries.get(name);
    return entry !== undefined && this.clock() - entry.sinceMs >= this.times.graceMs;
  }

  /** Milliseconds until a file may change its stage without anybody touching it; undefined when all are whole. */
  nextLookMs(): number | undefined {
    const now = this.clock();
    let next: number | undefined;
    for (const [name, { stage, sinceMs, doubted, file }] of this.entries) {
      if (stage === 'whole' || isHidden(name, this.hidden)) continue;
      const slow = stage === 'arriving' && (doubted || file.bytes === 0);
      const leftMs = sinceMs + (slow ? this.times.graceMs : this.times.settleMs) - now;
      // Once more when it is likely to be whole.
      const likelyMs = sinceMs + this.likelyMs - now;
      const soonMs = stage === 'arriving' && !slow && likelyMs > 0 ? likelyMs : leftMs;
      next = Math.min(next ?? soonMs, soonMs);
    }
    return next === undefined ? undefined : Math.max(0, next);
  }
}

function identityIn({ bytes, mtimeMs, ctimeMs, inode }: IncomingFile): FileIdentity {
  return { bytes, mtimeMs, ctimeMs: ctimeMs ?? mtimeMs, inode: inode ?? 0 };
}
