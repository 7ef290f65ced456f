import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { loadJob } from '../../config/load-job.js';
import { readDeliveryFacts } from '../../pipeline/bag/delivery-facts.js';
import { verifyBag } from '../../pipeline/bag/verify.js';
import { isDeliverable } from '../../pipeline/issue/report.js';
import type { runIssue } from '../../pipeline/issue/run-issue.js';
import { readStatus } from '../../pipeline/issue/status.js';
import {
  type DrawnPage,
  type Fault,
  isRight,
  newestSums,
  sha256Of,
  sumsOf,
  type VersionsIssue,
} from './versions-issue.js';

/** What a campaign has done and found. */
export interface VersionCounts {
  steps: number;
  good: number;
  wrong: Record<Fault | 'another issue', number>;
  kills: number;
  deliveries: number;
  refused: number;
  filesChecked: number;
  /** What should never be, a sentence each. */
  readonly faults: string[];
}

/** What stands of a page: the files that it was made of, and the press files and plates themselves. */
interface Standing {
  readonly sums: string;
  readonly files: readonly string[];
}

/** What has to be true of an issue whatever happens to its versions, and what was found not to be. */
export class Truth {
  readonly counts: VersionCounts = {
    ...{ steps: 0, good: 0, kills: 0, deliveries: 0, refused: 0, filesChecked: 0, faults: [] },
    wrong: { 'cut short': 0, 'another page': 0, blank: 0, 'another issue': 0 },
  };
  /** What may stand of each page; more than one only after a kill. */
  readonly standing = new Map<string, readonly Standing[]>();
  /** Every right result that was seen, by its page and files: the same files give the same bytes. */
  private readonly known = new Map<string, Standing>();
  readonly delivered = new Map<string, string>();
  at = 'at the beginning';

  constructor(
    readonly issue: VersionsIssue,
    readonly say: (text: string) => void,
  ) {}

  /** After a kill: what every right page is to be made of may stand already, or not. */
  mayHavePlaced(): void {
    for (const page of this.issue.pages) {
      if (!isRight(page)) continue;
      const may = this.standing.get(page.id) ?? [];
      this.standing.set(page.id, [...may, { sums: newestSums(page), files: [] }]);
    }
  }

  /** After a run that nobody disturbed. */
  async check(pages: Awaited<ReturnType<typeof runIssue>>['pages']): Promise<void> {
    const { report } = await readStatus(await loadJob(this.issue.folder));
    for (const [at, page] of this.issue.pages.entries()) {
      const { state, used, standsMeanwhile } = pages[at];
      const told = `page ${page.id} (${page.style}) is ${state}: ${pages[at].why}`;
      this.holds(report.pages[at].state === state, `${told}; status says ${report.pages[at].state}`);
      const files = await this.issue.standing(page);
      this.counts.filesChecked += files.length;
      if (page.parts[0].versions.length === 0) this.holds(state === 'missing' && files.length === 0, told);
      else if (isRight(page)) {
        this.holds(isDeliverable(state), told);
        this.holds(sumsOf(used) === newestSums(page), `page ${page.id} is not made of its newest files`);
        this.stands(page, { sums: newestSums(page), files });
      } else {
        this.holds(state === 'stopped', told);
        this.stoodBefore(page, { sums: sumsOf(standsMeanwhile?.used ?? []), files });
      }
    }
  }

  private stands(page: DrawnPage, now: Standing): void {
    const name = `${page.id} ${now.sums}`;
    const before = this.known.get(name);
    this.holds(now.files.length > 0, `page ${page.id} is done and nothing of it stands`);
    this.holds(
      before === undefined || sameFiles(before, now),
      `page ${page.id} is made otherwise than before`,
    );
    this.known.set(name, now);
    this.standing.set(page.id, [now]);
  }

  /** What stands of a stopped page is a result that stood before, byte for byte. */
  private stoodBefore(page: DrawnPage, now: Standing): void {
    const may = this.standing.get(page.id) ?? [];
    const one = may.find(({ sums }) => sums === now.sums);
    const files = this.known.get(`${page.id} ${now.sums}`) ?? one;
    const isWhole = files !== undefined && (files.files.length === 0 || sameFiles(files, now));
    const what =
      one === undefined
        ? `files of [${now.sums}], not of [${may.map(({ sums }) => sums).join('; ')}]`
        : 'other bytes';
    this.holds(one !== undefined && isWhole, `page ${page.id} is stopped, and ${what} stand`);
    if (one !== undefined && isWhole) this.stands(page, now);
  }

  /** Every bundle is whole, never changes, and holds only results that stood as right ones. */
  async checkBundles(): Promise<void> {
    const folder = join(this.issue.folder, 'delivery');
    const names = (await readdir(folder).catch(() => [])).filter((name) => name.endsWith('.zip'));
    for (const name of names) {
      const sha256 = sha256Of(await readFile(join(folder, name)));
      const before = this.delivered.get(name);
      this.holds(before === undefined || before === sha256, `${name} has changed`);
      if (before !== undefined) continue;
      this.delivered.set(name, sha256);
      this.holds((await verifyBag(join(folder, name))).ok, `${name} does not verify`);
      for (const page of (await readDeliveryFacts(join(folder, name)))?.pages ?? [])
        this.checkPage(name, page);
    }
    for (const name of this.delivered.keys()) this.holds(names.includes(name), `${name} is gone`);
  }

  private checkPage(bundle: string, { page, workingPages, files }: DeliveredFacts): void {
    const sums = sumsOf(workingPages);
    const may = [...(this.standing.get(page) ?? []), this.known.get(`${page} ${sums}`)];
    this.holds(
      may.some((one) => one?.sums === sums),
      `${bundle} holds a wrong version of page ${page}`,
    );
    const known = this.known.get(`${page} ${sums}`);
    for (const { path, sha256 } of files.filter((file) => /^(press|plates)\//.test(file.path))) {
      this.counts.filesChecked++;
      if (known === undefined) continue;
      this.holds(
        known.files.some((one) => one.endsWith(sha256)),
        `${bundle}: ${path} is no file of page ${page}`,
      );
    }
  }

  holds(isTrue: boolean, what: string): void {
    if (!isTrue) this.fault(what);
  }

  fault(what: string): void {
    this.counts.faults.push(`${this.at}: ${what}`);
    this.say(`${this.at}: ${what}\n`);
  }
}

type DeliveredFacts = NonNullable<Awaited<ReturnType<typeof readDeliveryFacts>>>['pages'][number];

const sameFiles = (one: Standing, other: Standing): boolean =>
  one.files.join('\n') === other.files.join('\n');
