import { sentence } from '../../config/figures.js';
import { apart, type Html, html } from './html.js';
import type { ReportData, ReportedPage } from './report-form.js';
import { countFound, foundWords, pageId, pageTitle, severityMark, stateMark } from './words.js';

/** The head of the report: how the issue stands, which pages need most, which kinds of findings there are. */

/** Counts by state and severity. */
export function summarySection({ summary, counts, found, due, board }: ReportData): Html {
  const states = Object.entries(counts).filter(([, count]) => count > 0);
  return html`<section aria-labelledby="stands">
<h2 id="stands">How it stands</h2>
<p class="summary">${summary}; ${foundWords(found)}.</p>
<ul class="counts" role="list">${states.map(
    ([state, count]) => html`
<li><strong>${count}</strong> ${stateMark(state)}</li>`,
  )}
</ul>
<p>${board.length} pages in all.${due === null ? undefined : html` Due ${apart(due)}.`}</p>
</section>`;
}

/** The page board, those that need most first. */
export function boardSection({ board, pages }: ReportData): Html {
  const byId = new Map(pages.map((page) => [page.page, page]));
  const rows = board.flatMap((id) => byId.get(id) ?? []).map(boardRow);
  return html`<section aria-labelledby="board">
<h2 id="board">Page board</h2>
<div class="scroll" role="region" aria-label="Table of pages" tabindex="0">
<table id="rows">
<caption>All pages, those that need most first</caption>
<thead><tr><th scope="col">Page</th><th scope="col">State</th><th scope="col">Stops</th><th scope="col">Warnings</th><th scope="col">Notes</th><th scope="col">Why</th></tr></thead>
<tbody>${rows}
</tbody>
</table>
</div>
</section>`;
}

function boardRow(page: ReportedPage): Html {
  const { stop, warn, note } = countFound(page.findings);
  return html`
<tr><th scope="row"><a href="#${pageId(page.page)}">${pageTitle(page)}</a></th><td>${stateMark(page.state)}</td><td>${stop}</td><td>${warn}</td><td>${note}</td><td class="why">${apart(sentence(page.why))}</td></tr>`;
}

/** Kinds of findings with their pages: a way through them that needs no script. */
export function kindsSection({ kinds }: ReportData): Html | undefined {
  if (kinds.length === 0) return undefined;
  return html`<section aria-labelledby="kinds">
<h2 id="kinds">Kinds of findings</h2>
<div class="scroll" role="region" aria-label="Table of kinds" tabindex="0">
<table>
<caption>Each kind with the pages that have it, the gravest first</caption>
<thead><tr><th scope="col">Kind</th><th scope="col">Severity</th><th scope="col">Findings</th><th scope="col">Pages</th></tr></thead>
<tbody>${kinds.map(
    ({ code, severity, findings, pages }) => html`
<tr><th scope="row"><code>${code}</code></th><td>${severityMark(severity)}</td><td>${findings}</td><td class="links">${pages.map(
      (page) => html` <a href="#${pageId(page)}">${apart(page)}</a>`,
    )}</td></tr>`,
  )}
</tbody>
</table>
</div>
</section>`;
}

/** Choosing what is shown; only a script can do that, so it is hidden until one runs. */
export function filterForm({ scenes, counts, kinds }: ReportData): Html {
  const states = Object.entries(counts).filter(([, count]) => count > 0);
  return html`<form id="filter" hidden aria-label="Choose pages">
<p><label for="filter-scene">Scene</label> <select id="filter-scene" name="scene"><option value="">all</option>${scenes.map(
    ({ id, title }) => html`<option value="${id}">${title}</option>`,
  )}</select></p>
<p><label for="filter-state">State</label> <select id="filter-state" name="state"><option value="">all</option>${states.map(
    ([state, count]) => html`<option value="${state}">${state} (${count})</option>`,
  )}</select></p>
<p><label for="filter-kind">Kind of finding</label> <select id="filter-kind" name="kind"><option value="">all</option>${kinds.map(
    ({ code, findings }) => html`<option value="${code}">${code} (${findings})</option>`,
  )}</select></p>
<p><button type="reset">Show all</button></p>
<p class="chosen"><output id="chosen" for="filter-scene filter-state filter-kind"></output></p>
</form>`;
}
