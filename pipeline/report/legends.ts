import { type HeatRole, type HeatScale, heatScales } from '../views/heat-scales.js';
import { type Html, html, idOf } from './html.js';
import type { ReportedPictures } from './report-form.js';

/** What layers are called, and the scales of heat pictures, which every page uses: drawn once, and used by reference. */

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

const stepWidth = 52;
const barHeight = 14;
const scaleWidth = stepWidth * 7;
const scaleHeight = 46;

/** The scales, to stand once in the document, and in words for who hears them. */
export function symbols(): Html {
  const scales = Object.entries(heatScales) as [HeatRole, HeatScale][];
  return html`<svg class="symbols" aria-hidden="true">${scales.map(([role, scale]) => scaleSymbol(role, scale))}</svg>
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
