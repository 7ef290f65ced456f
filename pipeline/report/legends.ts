import { type HeatRole, type HeatScale, heatScales } from '../views/heat-scales.js';
import { type Html, html, idOf, ownText } from './html.js';
import type { ReportedPictures } from './report-form.js';

/** Shapes and scales that every page uses: drawn once, and used by reference. */

const heatWords: Readonly<Record<HeatRole, string>> = {
  'ink-coverage': 'Ink coverage',
  'out-of-gamut': 'Out of gamut',
  fidelity: 'Fidelity',
};

const plateWords: Readonly<Record<string, string>> = {
  line: 'Line plate',
  cyan: 'Cyan plate',
  magenta: 'Magenta plate',
  yellow: 'Yellow plate',
  black: 'Black plate',
};

/** How a layer is called where it is chosen. */
export function layerWords({
  role,
  kind,
}: Pick<ReportedPictures['layers'][number], 'role' | 'kind'>): string {
  if (kind === 'heat') return heatWords[role as HeatRole] ?? role;
  return plateWords[role] ?? `Plate ${role}`;
}

/** Severities differ by shape as well: an octagon, a triangle, a disc; a tick is what is done. */
const shapes = {
  stop: '<path d="M5 1h6l4 4v6l-4 4H5l-4-4V5z"/>',
  warn: '<path d="M8 1l7 14H1z"/>',
  note: '<circle cx="8" cy="8" r="6"/>',
  done: '<path d="M6.5 14L1 8.5l2-2 3.5 3.5L13 2.5l2 2z"/>',
} as const;

const stepWidth = 52;
const barHeight = 14;
const scaleWidth = stepWidth * 7;
const scaleHeight = 46;

/** The symbols, to stand once in the document, and the scales in words for who hears them. */
export function symbols(): Html {
  const drawn = Object.entries(shapes).map(
    ([name, path]) => `<symbol id="shape.${name}" viewBox="0 0 16 16">${path}</symbol>`,
  );
  const scales = Object.entries(heatScales) as [HeatRole, HeatScale][];
  return html`<svg class="symbols" aria-hidden="true">${ownText(drawn.join(''))}${scales.map(([role, scale]) => scaleSymbol(role, scale))}</svg>
<div hidden>${scales.map(([role, scale]) => html`<p id="${idOf('scale', role, 'words')}">${scaleWords(scale)}</p>`)}</div>`;
}

function scaleSymbol(role: HeatRole, { title, unit, steps }: HeatScale): Html {
  const cells = steps.map(({ from, rgb }, step) => {
    const x = (step + 1) * stepWidth;
    const words = step === steps.length - 1 ? `${from}${unit} up` : `${from}${unit}`;
    return html`<rect x="${x}" y="1" width="${stepWidth}" height="${barHeight}" fill="rgb(${rgb.join(' ')})" stroke="#808080"/><text x="${x + 2}" y="28">${words}</text>`;
  });
  const clear = html`<rect x="1" y="1" width="${stepWidth - 1}" height="${barHeight}" fill="none" stroke="#808080"/><text x="2" y="28">clear</text>`;
  return html`<symbol id="${idOf('scale', role)}" viewBox="0 0 ${scaleWidth} ${scaleHeight}" font-size="11" fill="currentColor">${clear}${cells}<text x="2" y="43">${title}</text></symbol>`;
}

function scaleWords({ title, unit, steps }: HeatScale): string {
  const from = steps.map((step) => `${step.from}${unit}`).join(', ');
  return `Scale from light to dark: ${title}; clear below ${steps[0].from}${unit}, steps from ${from}`;
}
