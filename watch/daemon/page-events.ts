import type { PageRun } from '../../pipeline/issue/page-run.js';
import { gravest } from '../../pipeline/issue/report.js';
import { versionFindings } from '../../pipeline/issue/version-findings.js';
import { type Finding, type Severity, worstOf } from '../../pipeline/model/findings.js';
import type { PageResult, ProductName } from '../../pipeline/model/page-result.js';
import { isShown, pageProducts, pathOf } from '../../pipeline/outputs/products.js';
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

  constructor(
    private readonly journal: IssueJournal,
    private readonly memory: IssueMemory,
  ) {}

  /** Writes a result down and tells what is new in it; whoever comes first with it, and nobody else. */
  made(run: PageRun, stored: StoredResult): void {
    const { page } = run;
    const { asked } = stored;
    const ofVersions = versionFindings({ ...run, inspected: undefined, stored }, []);
    const result = { ...stored.result, findings: [...stored.result.findings, ...ofVersions] };
    const before = this.memory.results.get(page.id);
    const known = before?.key === result.key ? before.products : [];
    const shown = asked.filter(isShown);
    const fresh = shown.filter((product) => !known.includes(product));
    if (fresh.length === 0) return;
    this.memory.results.set(page.id, { key: result.key, products: shown });
    const state = stateWords[worstOf(result.findings) ?? 'note'];
    const at = new Date().toISOString();
    this.journal.note({ at, kind: 'result', page: page.id, key: result.key, state, products: shown });
    this.tell(result, state, fresh);
  }

  private tell(result: PageResult, state: string, fresh: readonly ProductName[]): void {
    const codes = result.findings.filter(({ severity }) => severity !== 'note').map(({ code }) => code);
    const look = codes.length === 0 ? '' : `, ${codes.length} to look at (${codes.join(', ')})`;
    const facts = { page: result.page, key: result.key, findings: codes };
    if (state === 'stopped') {
      const message = `stopped: ${wordsOf(gravest(result.findings))}`;
      this.journal.tell('page-stopped', { ...facts, state, outputs: outputsOf(result, ['proof']), message });
      return;
    }
    const press = fresh.filter((product) => pageProducts[product].phase === 'press');
    if (press.length < fresh.length) {
      const message = `proofed${versionsOf(result)}${look}`;
      const outputs = outputsOf(result, ['proof']);
      this.journal.tell('page-proofed', { ...facts, state: 'waiting', outputs, message });
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
      if (run.stored !== undefined) this.made(run, run.stored);
    }
  }

  /** Tells once that every page is made, and that this is no longer so. */
  completeness(board: IssueBoard): void {
    const key = board.completeKey();
    const wasOpen = this.isOpen;
    this.isOpen = key === undefined;
    if (key === undefined) {
      if (wasOpen === false) this.journal.tell('issue-open', { message: 'the issue is no longer complete' });
      return;
    }
    if (this.memory.complete === key) return;
    this.memory.complete = key;
    const message = `the issue is complete: ${board.runs.length} pages; next: platehand deliver`;
    this.journal.tell('issue-complete', { key, message });
  }
}

function wordsOf(finding: Finding | undefined): string {
  if (finding === undefined) return '';
  const file = finding.file === undefined ? '' : `${finding.file}: `;
  return `${file}${finding.message}. ${finding.remedy}`;
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
