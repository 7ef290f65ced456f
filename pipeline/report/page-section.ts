import { sentence } from '../../config/figures.js';
import type { LengthUnit } from '../../config/units.js';
import { findingItem } from './finding-item.js';
import { address, apart, type Html, html, idOf } from './html.js';
import { layerWords } from './legends.js';
import { noteList, pinned, pins, pinsSwitch } from './page-notes.js';
import type { ReportData, ReportedFinding, ReportedPage, ReportedPictures } from './report-form.js';
import { changeBoxes, changesSwitch, sinceSection } from './since-section.js';
import { boxId, findingId, pageId, pageTitle, pageWords, stateMark, styleOf } from './words.js';

/** One page of the report: its pictures with what can be laid over them, and its findings. */
export function pageSection(
  page: ReportedPage,
  { scenes, units }: Pick<ReportData, 'scenes' | 'units'>,
): Html {
  const { state, why, scene, findings, pictures } = page;
  const kinds = [...new Set(findings.map(({ code }) => code))].join(' ');
  const isTold = state === 'done' || findings.some(({ message }) => message === why);
  return html`
<article id="${pageId(page.page)}" data-scene="${scene ?? ''}" data-state="${state}" data-kinds="${kinds}" aria-label="${pageWords(page)}">
<h3>${pageTitle(page)} ${stateMark(state)}</h3>
<p class="facts">${factsOf(page, scenes)}</p>
${isTold ? undefined : html`<p>${apart(sentence(why))}</p>`}
<div class="two">
${pictures === null ? noPicture : look(page, pictures)}
<div>${page.since === null ? undefined : sinceSection(page.page, page.since, units)}
${findingList(page, units)}${noteList(page, units)}
</div>
</div>
</article>`;
}

const noPicture = html`<p class="none">No picture: nothing of this page could be made yet.</p>`;

function factsOf({ kind, scene, condition, files }: ReportedPage, scenes: ReportData['scenes']): Html {
  const title = scenes.find(({ id }) => id === scene)?.title ?? scene;
  return html`${kind}${title === null ? undefined : html`; scene ${apart(title)}`}${
    condition === null ? undefined : html`; ${condition.title}, ink limit ${condition.inkLimitPercent} %`
  }${files.map((file, at) => html`${at === 0 ? '; made from' : ','} ${apart(file, 'name')}`)}`;
}

function findingList({ page, findings }: ReportedPage, units: LengthUnit): Html {
  if (findings.length === 0) return html`<p class="none">No findings.</p>`;
  return html`<ol class="findings" role="list">${findings.map((one) => findingItem(page, one, units))}
</ol>`;
}

/**
 * The pictures, one at a time. Which, is chosen by radio buttons that stand before the picture beside it, so that the style sheet can
 * show what was chosen, without a script.
 */
function look(page: ReportedPage, pictures: ReportedPictures): Html {
  const { path, width, height, layers, trim } = pictures;
  const words = pageWords(page);
  const boxes = page.findings.flatMap((finding) =>
    finding.places.map((place) => boxOf(page.page, finding, place)),
  );
  const ratio = Math.round((width / height) * 10_000) / 10_000;
  const marks = html`${boxes.length === 0 ? undefined : marksSwitch(page.page)}${pinsSwitch(page)}${changesSwitch(page)}`;
  return html`<fieldset class="look"><legend>Pictures of ${words.charAt(0).toLowerCase()}${words.slice(1)}</legend>
${marks}${[undefined, ...layers].map((layer, at) => choice(page.page, at, layer))}<div class="stack" style="--r:${ratio}"><img src="${address(path)}" width="${width}" height="${height}" loading="lazy" alt="${words} as it prints${markedWords(boxes.length + pinned(page).length)}">${strips(layers, words)}<span class="trim" style="${styleOf(trim)}"></span>${
    boxes.length === 0
      ? undefined
      : html`<span class="boxes" role="group" aria-label="Places of findings">${boxes}</span>`
  }${pins(page)}${changeBoxes(page)}</div>
${layers.map(scaleOf)}
<p class="open"><a href="${address(path)}">Picture of ${words.charAt(0).toLowerCase()}${words.slice(1)} by itself</a></p>
</fieldset>`;
}

function markedWords(count: number): string {
  return count === 0 ? '' : `, ${count} ${count === 1 ? 'place' : 'places'} marked`;
}

function marksSwitch(page: string): Html {
  const id = idOf('m', page);
  return html`<input type="checkbox" id="${id}" class="marks boxed" checked><label for="${id}">Findings</label>
`;
}

type Layer = ReportedPictures['layers'][number];

/** @param at 0 for the page as it prints */
function choice(page: string, at: number, layer: Layer | undefined): Html {
  const id = idOf('v', page, at);
  const of = layer === undefined ? html` checked` : html` class="${classOf(layer)}"`;
  return html`<input type="radio" name="${idOf('v', page)}" id="${id}"${of}><label for="${id}">${
    layer === undefined ? 'As it prints' : layerWords(layer)
  }</label>
`;
}

/** The heat pictures start with `h`, plates with `p`; behind it stands where in its strip one is. */
function classOf({ kind, tile }: Layer): string {
  return `${kind === 'heat' ? 'h' : 'p'}${tile}`;
}

const stripWords = { heat: 'heat picture', plate: 'plate' } as const;

/** Strips are drawn as many times as high as the page, and moved up to what was chosen. */
function strips(layers: readonly Layer[], words: string): Html[] {
  const first = layers.filter(({ tile }) => tile === 0);
  return first.map(
    ({ kind, path, tiles }) =>
      html`<span class="layer ${kind}" style="--n:${tiles}"><img src="${address(path)}" loading="lazy" alt="${words}, the ${stripWords[kind]} chosen"></span>`,
  );
}

function scaleOf(layer: Layer): Html | undefined {
  const { role, kind } = layer;
  if (kind !== 'heat') return undefined;
  return html`<svg class="scale ${classOf(layer)}" role="img" aria-labelledby="${idOf('scale', role, 'words')}"><use href="#${idOf('scale', role)}"></use></svg>
`;
}

function boxOf(page: string, finding: ReportedFinding, place: ReportedFinding['places'][number]): Html {
  return html`<a class="box ${finding.severity}" id="${boxId(page, place)}" href="#${findingId(page, finding)}" tabindex="-1" style="${styleOf(place.box)}"><b>${place.number}</b></a>`;
}
