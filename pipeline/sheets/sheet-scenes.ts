import type { StripColour } from '../model/sheet-request.js';
import { box, fill, type PxBox, text } from './drawing.js';
import type { ContactSheet } from './sheet-cells.js';
import { type SceneBand, type SheetLayout, stripHeight } from './sheet-layout.js';

/** The thin bands over a scene's pages: a quiet hue each, and always the scene's name. */

/** The golden angle in degrees: hues this far apart stay distinct however many scenes there are. */
const goldenAngle = 180 * (3 - Math.sqrt(5));
/** Hue of the first scene; our own choice. */
const firstHue = 245;

/**
 * Colour of a scene as `#rrggbb`, from its place in the list of scenes. Set in OKLCH, where colours of one lightness
 * (0 to 1) and chroma are equally loud to the eye; the numbers are those of CSS Color Module Level 4, section 9.
 */
export function sceneColour(index: number, lightness: number, chroma: number): string {
  const hue = ((firstHue + index * goldenAngle) * Math.PI) / 180;
  const [a, b] = [chroma * Math.cos(hue), chroma * Math.sin(hue)];
  const long = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const medium = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const short = (lightness - 0.0894841775 * a - 1.291485548 * b) ** 3;
  const red = 4.0767416621 * long - 3.3077115913 * medium + 0.2309699292 * short;
  const green = -1.2684380046 * long + 2.6097574011 * medium - 0.3413193965 * short;
  const blue = -0.0041960863 * long - 0.7034186147 * medium + 1.707614701 * short;
  return `#${[red, green, blue].map(encoded).join('')}`;
}

/** One linear sRGB channel, 0 to 1, as two hexadecimal digits (transfer curve of IEC 61966-2-1). */
function encoded(linear: number): string {
  const light = Math.min(1, Math.max(0, linear));
  const value = light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
  return Math.round(value * 255)
    .toString(16)
    .padStart(2, '0');
}

interface KnownScene {
  readonly title: string;
  readonly index: number;
}

/** Scenes by id: first the sheet's own, then those that only pages speak of. */
function scenesOf(sheet: ContactSheet): Map<string, KnownScene> {
  const known = new Map<string, KnownScene>();
  for (const { id, title } of sheet.scenes) known.set(id, { title, index: known.size });
  for (const { scene, sceneTitle } of sheet.pages) {
    if (scene === undefined || known.has(scene)) continue;
    known.set(scene, { title: sceneTitle ?? scene, index: known.size });
  }
  return known;
}

export function drawSceneBands(sheet: ContactSheet, layout: SheetLayout): string[] {
  const scenes = scenesOf(sheet);
  const { unit } = layout;
  const palettes = sheet.palettes ?? {};
  return [
    ...layout.bands.map((band) => drawBand(band, scenes.get(band.scene), unit)),
    ...layout.bands.map((band) => drawPalette(band, palettes[band.scene] ?? [], unit)),
  ];
}

/** The palette of a scene beneath its pages, as wide as they are. */
function drawPalette(
  { left, right, stripTop }: SceneBand,
  colours: readonly StripColour[],
  unit: number,
): string {
  if (stripTop === undefined) return '';
  const area = { left, top: stripTop, width: right - left, height: Math.round(stripHeight * unit) };
  return drawStrip(colours, area, 'right');
}

function drawBand(band: SceneBand, scene: KnownScene | undefined, unit: number): string {
  const index = scene?.index ?? 0;
  const title = scene?.title ?? band.scene;
  const width = band.right - band.left;
  const bar = box(band.left, band.bottom - Math.round(9 * unit), width, Math.round(4 * unit));
  const words = band.isContinued ? `${title}, continued` : title;
  const look = {
    sizePx: 13.5 * unit,
    bold: !band.isContinued,
    fill: sceneColour(index, 0.4, 0.075),
    maxWidthPx: width,
  };
  return fill(bar, sceneColour(index, 0.66, 0.085)) + text(words, band.left, band.bottom - 15 * unit, look);
}

/**
 * Colours beside or beneath each other by their shares, without a gap: a palette as a strip, or as the band of a page. Every pixel belongs
 * to one of them, and what is too little for a pixel is left out.
 * @param way `down` beneath each other, `right` beside each other
 */
export function drawStrip(colours: readonly StripColour[], area: PxBox, way: 'down' | 'right'): string {
  const { left, top, width, height } = area;
  const whole = colours.reduce((sum, { sharePercent }) => sum + sharePercent, 0);
  const room = way === 'down' ? height : width;
  let before = 0;
  const shapes = colours.map(({ colour, sharePercent }) => {
    const start = Math.round((before / whole) * room);
    before += sharePercent;
    const length = Math.round((before / whole) * room) - start;
    if (length === 0) return '';
    return fill(
      way === 'down' ? box(left, top + start, width, length) : box(left + start, top, length, height),
      colour,
    );
  });
  return shapes.join('');
}
