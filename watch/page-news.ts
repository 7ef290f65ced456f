import { type Finding, type Severity, worstOf } from '../pipeline/findings.js';
import { gravest, type IssueReport, type PageRun } from '../pipeline/report/issue-report.js';
import { productFolders } from '../pipeline/work/placed.js';
import type { StoredResult } from '../pipeline/work/results.js';
import type { IssueBoard } from './issue-board.js';
import type { IssueJournal } from './issue-journal.js';
import { type IssueMemory, resultMark } from './issue-memory.js';
import type { QueuedWork } from './work-queue.js';

/** What the gravest finding makes of a page, as `platehand status` names it. */
const stateWords = { note: 'done', warn: 'attention', stop: 'stopped' } as const satisfies Record<
  Severity,
  string
>;

/** Tells what became of the pages and of the issue, each thing once, over restarts too. */
export class PageNews {
  /** Why a page cannot be worked on, as it was told. */
  private readonly toldFailures = new Map<string, string>();
  private isOpen: boolean | undefined;

  constructor(
    private readonly journal: IssueJournal,
    private readonly memory: IssueMemory,
  ) {}

  made(run: PageRun, stored: StoredResult, phase: QueuedWork['phase']): void {
    const { page, key, findings } = stored.result;
    if (!this.noteResult(run, stored)) return;
    const codes = findings.filter(({ severity }) => severity !== 'note').map(({ code }) => code);
    const stopped = worstOf(findings) === 'stop';
    const facts = { page, key, findings: codes, outputs: outputsOf(stored, phase) };
    if (stopped) {
      const why = wordsOf(gravest(findings));
      this.journal.tell('page-stopped', { ...facts, state: 'stopped', message: `stopped: ${why}` });
      return;
    }
    const look = codes.length === 0 ? '' : `, ${codes.length} to look at (${codes.join(', ')})`;
    if (phase === 'proof') {
      this.journal.tell('page-proofed', {
        ...facts,
        state: 'waiting',
        message: `proofed${versionsOf(stored)}${look}`,
      });
    } else {
      const state = codes.length === 0 ? 'done' : 'attention';
      this.journal.tell('page-done', { ...facts, state, message: `press files and plates are made${look}` });
    }
  }

  failed(run: PageRun): void {
    const { failure, page } = run;
    if (failure === undefined) return;
    const words = wordsOf(failure);
    if (this.toldFailures.get(page.id) === words) return;
    this.toldFailures.set(page.id, words);
    const facts = { page: page.id, message: `stopped: ${words}`, state: 'stopped', findings: [failure.code] };
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
      if (run.stored !== undefined) this.noteResult(run, run.stored);
    }
  }

  /** @param key checksum over all results when the issue is complete */
  completeness(report: Pick<IssueReport, 'issue' | 'pages'>, key: string | undefined): void {
    const wasOpen = this.isOpen;
    this.isOpen = key === undefined;
    if (key === undefined) {
      if (wasOpen === false) this.journal.tell('issue-open', { message: 'the issue is no longer complete' });
      return;
    }
    if (this.memory.complete === key) return;
    this.memory.complete = key;
    const message = `the issue is complete: ${report.pages.length} pages; next: platehand deliver`;
    this.journal.tell('issue-complete', { key, message });
  }

  /** Writes a result down unless the ledger has it. */
  private noteResult({ page }: PageRun, { result, asked }: StoredResult): boolean {
    const mark = resultMark(result.key, asked);
    if (this.memory.results.get(page.id) === mark) return false;
    this.memory.results.set(page.id, mark);
    const state = stateWords[worstOf(result.findings) ?? 'note'];
    const at = new Date().toISOString();
    this.journal.note({ at, kind: 'result', page: page.id, key: result.key, state, products: asked });
    return true;
  }
}

function wordsOf(finding: Finding | undefined): string {
  if (finding === undefined) return '';
  const file = finding.file === undefined ? '' : `${finding.file}: `;
  return `${file}${finding.message}. ${finding.remedy}`;
}

function versionsOf({ result }: StoredResult): string {
  const versions = result.used.flatMap(({ part, version }) =>
    version === undefined ? [] : [`${part} v${version}`],
  );
  return versions.length === 0 ? '' : ` (${versions.join(', ')})`;
}

function outputsOf({ result }: StoredResult, phase: QueuedWork['phase']): string[] {
  return result.outputs.flatMap(({ product, name }) => {
    if (product === 'thumbnail' || (product === 'proof') !== (phase === 'proof')) return [];
    return [`${productFolders[product]}/${name}`];
  });
}
