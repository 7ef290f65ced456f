import type { PageArena } from '../kernels/page-arena.js';
import type { CommonColour, PageColours } from '../model/palette.js';
import type { Raster } from '../model/raster.js';
import type { ColourScriptRequest } from '../model/sheet-request.js';
import { drawOver } from '../sheets/draw-over.js';
import { box, canvasOf, fill, ground, ink, line, text } from '../sheets/drawing.js';
import { drawStrip, sceneColour } from '../sheets/sheet-scenes.js';
import { layOutScript, type ScriptBand, type ScriptLayout, scriptSizes } from './colour-script-layout.js';
import { sceneTable } from './colour-script-table.js';
import { stripOf } from './common-palette.js';

/**
 * The colour script: the whole issue as one picture, a band a page in reading order and as wide as it has pages, its colours as high as
 * their shares, the light ones above. Scenes stand over their pages; below, each with its palette and figures.
 * @returns rgb, 8 bit, allocated in the arena; the same request gives the same bytes, with or without fonts on the machine
 */
export async function drawColourScript(request: ColourScriptRequest, arena: PageArena): Promise<Raster> {
  const { story } = request;
  const layout = layOutScript(story.pages, story.scenes.length);
  const canvas = canvasOf(layout.width, layout.height, ground.sheet, arena);
  await drawOver(
    canvas,
    [...header(request, layout), ...bands(request, layout), ...sceneTable(story, layout)],
    arena,
  );
  return canvas;
}

function header({ issue, title, number, story }: ColourScriptRequest, { width }: ScriptLayout): string[] {
  const { margin } = scriptSizes;
  const room = width - 2 * margin;
  const numbered = number === undefined ? title : `${title}, no. ${number}`;
  const known = story.pages.filter(({ palette }) => palette.length > 0).length;
  const words = `${issue} \u00b7 colour script \u00b7 colour known of ${known} of ${story.pages.length} in the page list`;
  const how =
    'Widths: pages. Heights: share of the page, line and lettering left out; lightest above. As painted, on a screen.';
  return [
    text(words, margin, margin + 14, { sizePx: 17, fill: ink.quiet, maxWidthPx: room }),
    text(numbered, margin, margin + 60, { sizePx: 38, bold: true, fill: ink.strong, maxWidthPx: room }),
    text(how, margin, margin + 90, { sizePx: 15, fill: ink.quiet, maxWidthPx: room }),
  ];
}

function bands({ scenes, story }: ColourScriptRequest, layout: ScriptLayout): string[] {
  const numberOf = new Map(scenes.map(({ id }, index) => [id, index]));
  const shown = new Map(story.pages.map((page) => [page.page, page]));
  return [
    ...layout.bands.map((band) => drawBand(band, shown.get(band.page), layout)),
    ...layout.stretches.map(({ scene, left, right, bottom, isContinued }) => {
      const index = numberOf.get(scene) ?? 0;
      const { title = scene } = scenes[index] ?? {};
      const look = {
        sizePx: 14,
        bold: !isContinued,
        fill: sceneColour(index, 0.4, 0.075),
        maxWidthPx: right - left - 4,
      };
      const words = `${index + 1} ${isContinued ? `${title}, continued` : title}`;
      const bar = box(left, bottom - 10, right - left - 1, 5);
      return fill(bar, sceneColour(index, 0.66, 0.085)) + text(words, left, bottom - 16, look);
    }),
  ];
}

function drawBand(band: ScriptBand, page: PageColours | undefined, layout: ScriptLayout): string {
  const { left, top, width, label } = band;
  const { bandHeight } = layout;
  const area = box(left, top, width, bandHeight);
  const { sizePx } = scriptSizes.label;
  const name =
    label &&
    text(label, left + width / 2, top + bandHeight + sizePx + 5, {
      sizePx,
      anchor: 'middle',
      maxWidthPx: layout.labelWidth,
    });
  if (page === undefined || page.palette.length === 0) {
    const cross = line(`M${left} ${top + bandHeight}L${left + width} ${top}`, { stroke: ink.rule });
    return fill(area, ink.paper) + cross + line(area, { stroke: ink.rule }) + (name ?? '');
  }
  return (
    drawStrip(stripOf(byLightness(page.palette)), { left, top, width, height: bandHeight }, 'down') +
    (name ?? '')
  );
}

function byLightness(palette: readonly CommonColour[]): readonly CommonColour[] {
  return palette.toSorted((one, other) => other.oklab[0] - one.oklab[0]);
}
