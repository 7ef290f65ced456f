import { counted } from '../../config/figures.js';
import type { Job } from '../../config/job.js';
import type { PageRun } from '../../pipeline/issue/page-run.js';
import { gravest, notDeliverable, type PageReport, usedWords } from '../../pipeline/issue/report.js';
import { lookWords, pagesToLookAt, passedDue } from '../../pipeline/issue/to-look-at.js';
import { versionFindings } from '../../pipeline/issue/version-findings.js';
import { type Finding, type Severity, worstOf } from '../../pipeline/model/findings.js';
import type { PageResult, ProductName } from '../../pipeline/model/page-result.js';
import { isAskedFor, pageProducts, pathOf } from '../../pipeline/outputs/products.js';
import type { StoredResult } from '../../pipeline/store/result-store.js';
import type { IssueBoard } from './issue-board.js';
import type { IssueJournal, IssueMemory } from './issue-journal.js';

/** What the gravest finding makes of a page, as `platehand status` names it. */
const stateWords = { note: 'done', warn: 'attention', stop: 'stopped' } as const satisfies Record<
  Severity,
  string
>;

/** Tells what became of the pages and of the issue, each thing once, over restarts too. */
export class PageEvents {
  /** Why a page cannot be worked on, as it was told. */
  private readonly toldFailures = new Map<string, string>();
  private isOpen: boolean | undefined;
  /** Key of each page when the issue was last seen complete. */
  private completeWith: ReadonlyMap<string, string> = new Map();

  constructor(
    private readonly journal: IssueJournal,
    private readonly memory: IssueMemory,
  ) {}

  /**
   * Writes a result down and tells what is new in it; whoever comes first with it, and nobody else.
   * @param runs all pages of the issue: one of them may own what a new version shows
   */
  made(run: PageRun, stored: StoredResult, runs: readonly PageRun[]): void {
    const { page } = run;
    const { asked } = stored;
    const ofVersions = versionFindings({ ...run, inspected: undefined, stored }, runs);
    const result = { ...stored.result, findings: [...stored.result.findings, ...ofVersions] };
    const before = this.memory.results.get(page.id);
    const known = before?.key === result.key ? before.products : [];
    const shown = asked.filter(isAskedFor);
    const fresh = shown.filter((product) => !known.includes(product));
    const isEarly = result.awaits !== undefined;
    const state = isEarly ? 'waiting' : stateWords[worstOf(result.findings) ?? 'note'];
    const isStopped = state === 'stopped';
    const wasStopped = before?.key === result.key ? before.isStopped : undefined;
    // Another page may show later that this one's version is wrong, or no longer so.
    const isTurned = wasStopped !== undefined && wasStopped !== isStopped;
    if (fresh.length === 0 && !isTurned) return;
    this.memory.results.set(page.id, { key: result.key, products: shown, isStopped });
    const at = new Date().toISOString();
    this.journal.note({ at, kind: 'result', page: page.id, key: result.key, state, products: shown });
    if (!(isStopped && wasStopped)) this.tell(run, result, state, isTurned ? shown : fresh);
  }

  private tell(run: PageRun, result: PageResult, state: string, fresh: readonly ProductName[]): void {
    const codes = result.findings.filter(({ severity }) => severity !== 'note').map(({ code }) => code);
    const look = codes.length === 0 ? '' : `, ${codes.length} to look at (${codes.join(', ')})`;
    const facts = { page: result.page, key: result.key, findings: codes };
    if (result.awaits !== undefined) {
      const message = `inspected while it waits${versionsOf(result)}${look === '' ? ', nothing to look at' : look}`;
      const outputs = outputsOf(result, ['proof']);
      this.journal.tell('part-inspected', { ...facts, state: 'waiting', outputs, message });
      return;
    }
    if (state === 'stopped') {
      const message = `stopped: ${wordsOf(gravest(result.findings))}${standingWords(run)}`;
      this.journal.tell('page-stopped', { ...facts, state, outputs: outputsOf(result, ['proof']), message });
      return;
    }
    const press = fresh.filter((product) => pageProducts[product].phase === 'press');
    if (press.length < fresh.length) {
      const message = `proofed${versionsOf(result)}${look}`;
      const outputs = outputsOf(result, ['proof']);
      this.journal.tell('page-proofed', { ...facts, state: 'ready', outputs, message });
    }
    if (press.length > 0) {
      const message = `press files and plates are made${look}`;
      this.journal.tell('page-done', { ...facts, state, outputs: outputsOf(result, press), message });
    }
  }

  failed(run: PageRun): void {
    const { failure, page } = run;
    if (failure === undefined) return;
    const words = wordsOf(failure);
    if (this.toldFailures.get(page.id) === words) return;
    this.toldFailures.set(page.id, words);
    const facts = {
      page: page.id,
      message: `stopped: ${words}${standingWords(run)}`,
      state: 'stopped',
      findings: [failure.code],
    };
    this.journal.tell('page-stopped', facts);
    this.journal.note({ at: new Date().toISOString(), kind: 'failed', page: page.id, message: words });
  }

  notWholeYet(run: PageRun, file: string, why: string, graceMs: number): void {
    const message = `${file} is not whole yet (${why}); it has ${graceMs / 1000} s from its last change`;
    this.journal.tell('not-whole-yet', { page: run.page.id, file, message });
  }

  /** After a look: pages that cannot be worked on, and results that a run beside the daemon has made. */
  looked(board: IssueBoard): void {
    for (const run of board.runs) {
      if (run.failure !== undefined) this.failed(run);
      else this.toldFailures.delete(run.page.id);
      if (run.stored !== undefined) this.made(run, run.stored, board.runs);
    }
  }

  /**
   * Tells that every page is made, once for the same pages, and that this is no longer so, with the pages that it is about. Call it when
   * no page is being made and none arrives: a version that replaces another is no end of being complete.
   */
  completeness(board: IssueBoard): void {
    const { pages } = board.report();
    const key = board.completeKey(pages);
    const wasOpen = this.isOpen;
    this.isOpen = key === undefined;
    if (key === undefined) {
      if (wasOpen !== false) return;
      const open = notDeliverable({ pages }).map(({ page, state }) => `page ${page} is ${state}`);
      this.journal.tell('issue-open', { message: `the issue is no longer complete: ${open.join(', ')}` });
      return;
    }
    if (this.memory.complete !== key || wasOpen === true) this.tellComplete(key, board.job, pages);
    this.completeWith = new Map(pages.map((page) => [page.page, page.key]));
  }

  private tellComplete(key: string, job: Job, pages: readonly PageReport[]): void {
    const isFirst = this.memory.complete === undefined;
    this.memory.complete = key;
    const before = this.completeWith;
    const changed = pages.filter((page) => before.size > 0 && before.get(page.page) !== page.key);
    const anew = changed.length === 0 ? '' : `, made anew: ${changed.map(({ page }) => page).join(', ')}`;
    const message = `the issue is complete${isFirst ? '' : ' again'}: ${counted(pages.length, 'page')}${anew}; ${knowFirst(job, pages)}next: platehand deliver`;
    this.journal.tell('issue-complete', { key, message });
  }
}

/** What to know before delivering: pages that ask for a look, and a due time that has passed. */
function knowFirst(job: Job, pages: readonly PageReport[]): string {
  const look = pagesToLookAt({ pages });
  const late = passedDue(job, Date.now());
  const words = look.length === 0 ? '' : `to look at: ${look.map(lookWords).join('; ')}; `;
  return late === undefined ? words : `${words}it was due ${late}, which has passed; `;
}

function wordsOf(finding: Finding | undefined): string {
  if (finding === undefined) return '';
  const file = finding.file === undefined ? '' : `${finding.file}: `;
  return `${file}${finding.message}. ${finding.remedy}`;
}

/** What stands of a stopped page meanwhile. */
function standingWords({ lastGood }: PageRun): string {
  if (lastGood === undefined) return ' Nothing of it stands in press/.';
  return ` The version before stands meanwhile: ${usedWords(lastGood.result.used)}.`;
}

function versionsOf({ used }: PageResult): string {
  const versions = used.flatMap(({ part, version }) =>
    version === undefined ? [] : [`${part} v${version}`],
  );
  return versions.length === 0 ? '' : ` (${versions.join(', ')})`;
}

function outputsOf({ outputs }: PageResult, wanted: readonly ProductName[]): string[] {
  return outputs.flatMap((output) => {
    const path = pathOf(output);
    return path !== undefined && wanted.includes(output.product) ? [path] : [];
  });
}
