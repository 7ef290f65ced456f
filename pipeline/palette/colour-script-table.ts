import type { ColourFigures, SceneColours, StoryColours } from '../model/palette.js';
import { box, fill, ink, line, text } from '../sheets/drawing.js';
import { drawStrip, sceneColour } from '../sheets/sheet-scenes.js';
import { type ScriptLayout, scriptSizes } from './colour-script-layout.js';
import { stripOf } from './common-palette.js';
import { hexOf } from './oklab.js';

/** The scenes below a colour script: each with its palette, what binds it, and its figures; covers beside the interiors at the end. */

/** Columns from the left margin, in pixels; figures are set to the right of theirs. */
const at = { title: 34, palette: 330, unifying: 620, figures: [880, 970, 1080, 1168] } as const;
const paletteWidth = 260;

/** @param tableTop top of the table */
export function sceneTable(
  { scenes, steps, covers, interiors }: StoryColours,
  layout: ScriptLayout,
): string[] {
  const { margin, table } = scriptSizes;
  let y = layout.tableTop + table.heading;
  const rows = [heading(y - 14, layout)];
  for (const [index, scene] of scenes.entries()) {
    rows.push(sceneRow(scene, index, fromBefore(scene.scene, steps), y));
    y += table.row;
  }
  rows.push(line(`M${margin} ${y + 2}H${layout.width - margin}`, { stroke: ink.rule }));
  rows.push(groupRow('Covers', covers, y + 36), groupRow('Interiors', interiors, y + 66));
  const scale =
    'Lightness, chroma and contrast in OKLab; temperature above 0 is warm, below 0 cool. Distances: OKLab, 0.02 is just seen.';
  rows.push(
    text(scale, margin, y + 104, { sizePx: 14, fill: ink.quiet, maxWidthPx: layout.width - 2 * margin }),
  );
  return rows;
}

function heading(y: number, layout: ScriptLayout): string {
  const { margin } = scriptSizes;
  const look = { sizePx: 14, fill: ink.quiet };
  const right = ['lightness', 'chroma', 'temperature', 'contrast'].map((word, n) =>
    text(word, margin + at.figures[n], y, { ...look, anchor: 'end' }),
  );
  return [
    line(`M${margin} ${y + 7}H${layout.width - margin}`, { stroke: ink.rule }),
    text('scene', margin + at.title, y, look),
    text('palette', margin + at.palette, y, look),
    text('unifying colour', margin + at.unifying, y, look),
    ...right,
  ].join('');
}

function sceneRow(scene: SceneColours, index: number, before: string, y: number): string {
  const { margin } = scriptSizes;
  const { title, setOff, pages, palette, unifying } = scene;
  const titleRoom = at.palette - at.title - 16;
  const colour = sceneColour(index, 0.4, 0.075);
  const about = [
    pages.length === 1 ? '1 page' : `${pages.length} pages`,
    ...(setOff ? ['set off'] : []),
    before,
  ].filter((word) => word !== '');
  const quiet = { sizePx: 13, fill: ink.quiet };
  const binds =
    unifying === undefined
      ? text(
          pages.length === 0 ? '' : 'none: its pages share no colour of their own',
          margin + at.unifying,
          y + 27,
          { ...quiet, maxWidthPx: 180 },
        )
      : fill(box(margin + at.unifying, y + 10, 44, 32), hexOf(unifying.oklab)) +
        text(hexOf(unifying.oklab), margin + at.unifying + 54, y + 24, { sizePx: 14 }) +
        text(
          `${share(unifying.medianPercent)}; elsewhere ${share(unifying.elsewherePercent)}`,
          margin + at.unifying + 54,
          y + 41,
          { ...quiet, maxWidthPx: 160 },
        );
  return [
    text(`${index + 1}`, margin, y + 24, { sizePx: 16, bold: true, fill: colour }),
    text(title, margin + at.title, y + 24, { sizePx: 16, bold: true, fill: colour, maxWidthPx: titleRoom }),
    text(about.join(' \u00b7 '), margin + at.title, y + 43, { ...quiet, maxWidthPx: titleRoom }),
    drawStrip(
      stripOf(palette),
      { left: margin + at.palette, top: y + 10, width: paletteWidth, height: 32 },
      'right',
    ),
    binds,
    figures(scene.figures, y + 31),
  ].join('');
}

function share(percent: number): string {
  return `${Math.round(percent)} %`;
}

/** How far a scene is from the one before it, where the story first comes into it. */
function fromBefore(scene: string, steps: StoryColours['steps']): string {
  const step = steps.find(({ to }) => to === scene);
  return step === undefined ? '' : `${step.distance.toFixed(3)} from the scene before`;
}

function groupRow(name: string, of: ColourFigures | undefined, y: number): string {
  const { margin } = scriptSizes;
  const words = of === undefined ? `${name}: no colour known` : name;
  return text(words, margin + at.title, y, { sizePx: 16, bold: true, fill: ink.strong }) + figures(of, y);
}

function figures(of: ColourFigures | undefined, y: number): string {
  if (of === undefined) return '';
  const signed = `${of.temperature > 0 ? '+' : ''}${of.temperature.toFixed(3)}`;
  return [of.lightness.toFixed(2), of.chroma.toFixed(3), signed, of.contrast.toFixed(2)]
    .map((words, n) => text(words, scriptSizes.margin + at.figures[n], y, { sizePx: 16, anchor: 'end' }))
    .join('');
}
