import { boardSection, filterForm, kindsSection, summarySection } from './board.js';
import { apart, type Html, html, ownText } from './html.js';
import { symbols } from './legends.js';
import { pageSection } from './page-section.js';
import type { ReportData } from './report-form.js';
import { script, scriptHash } from './script.js';
import { styleSheet } from './style.js';

/**
 * report.html: the same data as report.json, to be read from a file without network, by day and by night, with keyboard and screen
 * reader, and on paper. The same data gives the same bytes.
 */
export function reportPage(data: ReportData): string {
  const { issue, title, number, summary } = data;
  const name = `${issue}: ${title}${number === null ? '' : `, number ${number}`}`;
  return html`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy()}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${name}: ${summary}</title>
<style>${ownText(styleSheet)}</style>
</head>
<body>
<a class="skip" href="#pages">Skip to the pages</a>
${symbols()}
<header>
<h1>${apart(name)}</h1>
${navigation(data)}
</header>
<main>
${cautionsOf(data)}
${summarySection(data)}
${filterForm(data)}
${boardSection(data)}
${kindsSection(data)}
<section aria-labelledby="pages">
<h2 id="pages" tabindex="-1">Pages in reading order</h2>
${data.pages.map((page) => pageSection(page, data))}
</section>
${leftOutSection(data)}
</main>
<script>${ownText(script)}</script>
</body>
</html>
`.html;
}

/** Nothing from elsewhere, no script but ours; frames and forms are not needed. */
function policy(): string {
  return [
    "default-src 'none'",
    "img-src 'self' data:",
    "style-src 'unsafe-inline'",
    `script-src ${scriptHash()}`,
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
}

function navigation({ kinds, leftOut }: ReportData): Html {
  const links = [
    ['stands', 'How it stands'],
    ['board', 'Page board'],
    ...(kinds.length === 0 ? [] : [['kinds', 'Kinds of findings']]),
    ['pages', 'Pages'],
    ...(leftOut.length === 0 ? [] : [['left-out', 'Files left out']]),
  ];
  return html`<nav aria-label="Parts of this report"><ul role="list">${links.map(
    ([id, words]) => html`<li><a href="#${id}">${words}</a></li>`,
  )}</ul></nav>`;
}

function cautionsOf({ cautions }: ReportData): Html {
  return html`<div class="caution" role="note">${cautions.map((one) => html`<p>${one}</p>`)}</div>`;
}

function leftOutSection({ leftOut }: ReportData): Html | undefined {
  if (leftOut.length === 0) return undefined;
  return html`<section aria-labelledby="left-out">
<h2 id="left-out">Files left out</h2>
<ul>${leftOut.map(
    ({ file, why, remedy }) => html`
<li>${apart(file, 'name')}: ${apart(why)}${remedy === '' ? undefined : html` ${apart(remedy)}`}</li>`,
  )}
</ul>
</section>`;
}
