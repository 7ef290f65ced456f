import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { PageColours, StoryColours } from '../../../pipeline/model/palette.js';
import { drawColourScript } from '../../../pipeline/palette/colour-script.js';
import { layOutScript, scriptSizes } from '../../../pipeline/palette/colour-script-layout.js';
import { oklabOf, type Rgb } from '../../../pipeline/palette/oklab.js';
import { palettesCss, palettesCsv } from '../../../pipeline/palette/palette-files.js';
import { storyColours } from '../../../pipeline/palette/story-colours.js';
import { pixelAt } from '../../helpers/rasters.js';

/** Pages of a scene each ten, every fifth a spread; of the last page no colour is known. */
function issueOf(count: number): { story: StoryColours; scenes: { id: string; title: string }[] } {
  const pages = Array.from({ length: count }, (_, n) => {
    const numbers = n % 5 === 3 ? [n * 2, n * 2 + 1] : [n * 2];
    const colours = [
      [[230, 220, 200], 30],
      [[20 + ((n * 37) % 200), 60, 120], 70],
    ] as const;
    const known = {
      colourPercent: 100,
      colours: colours.map(([rgb, sharePercent]) => ({ oklab: oklabOf(rgb), sharePercent, xMm: 1, yMm: 1 })),
    };
    const palette = n === count - 1 ? undefined : known;
    return {
      id: numbers.join('-'),
      kind: 'interior',
      scene: `s${Math.floor(n / 10)}`,
      numbers,
      inBlack: false,
      palette,
    };
  });
  const scenes = Array.from({ length: Math.ceil(count / 10) }, (_, n) => ({
    id: `s${n}`,
    title: `Scene ${n}`,
  }));
  return { story: storyColours(pages, scenes), scenes };
}

const arena = new PageArena();
const drawn = (count: number) => {
  arena.reset();
  const { story, scenes } = issueOf(count);
  return drawColourScript({ kind: 'colour-script', issue: 'TST01', title: 'Trial', scenes, story }, arena);
};

describe('a colour script', () => {
  it.each([2, 30, 200, 2000])(
    'of %i pages has every band within it, in reading order, spreads twice as wide',
    (count) => {
      const { story, scenes } = issueOf(count);
      const layout = layOutScript(story.pages, scenes.length);
      expect(layout.width).toBeLessThanOrEqual(2400);
      expect(layout.width * layout.height).toBeLessThan(48_000_000);
      expect(layout.bands.map(({ page }) => page)).toEqual(story.pages.map(({ page }) => page));
      const unit = layout.bands[0].width + 1;
      let before: { top: number; left: number } = { top: 0, left: 0 };
      for (const [n, band] of layout.bands.entries()) {
        expect(band.width + 1).toBe(unit * story.pages[n].numbers.length);
        expect(band.left).toBeGreaterThanOrEqual(scriptSizes.margin);
        expect(band.left + band.width).toBeLessThanOrEqual(layout.width - scriptSizes.margin);
        expect(band.top > before.top || band.left > before.left).toBe(true);
        expect(band.top + layout.bandHeight).toBeLessThan(layout.tableTop);
        before = band;
      }
    },
  );

  it('names a scene over its first pages, and again where it goes on in the next row', () => {
    const { story, scenes } = issueOf(40);
    const { stretches } = layOutScript(story.pages, scenes.length);
    const begun = stretches.filter(({ isContinued }) => !isContinued).map(({ scene }) => scene);
    expect(begun).toEqual(scenes.map(({ id }) => id));
    expect(stretches.some(({ isContinued }) => isContinued)).toBe(true);
  });

  it('shows a page in its colours, the light ones above, as high as their shares', async () => {
    const { story, scenes } = issueOf(4);
    const { bands, bandHeight } = layOutScript(story.pages, scenes.length);
    const picture = await drawn(4);
    const [band] = bands;
    const heightOf = (rgb: Rgb) => {
      let rows = 0;
      for (let y = band.top; y < band.top + bandHeight; y++) {
        if (pixelAt(picture, band.left + 4, y).join() === rgb.join()) rows++;
      }
      return rows;
    };
    expect(heightOf([230, 220, 200])).toBe(Math.round(bandHeight * 0.3));
    expect(heightOf([20, 60, 120])).toBe(Math.round(bandHeight * 0.7));
    expect(pixelAt(picture, band.left + 4, band.top + 2)).toEqual([230, 220, 200]);
  });

  it('leaves a page open of which no colour is known', async () => {
    const { story, scenes } = issueOf(4);
    const { bands } = layOutScript(story.pages, scenes.length);
    const last = bands[bands.length - 1];
    expect(pixelAt(await drawn(4), last.left + 6, last.top + 6)).toEqual([251, 251, 251]);
  });

  it('is the same to the last pixel whenever it is drawn', async () => {
    const one = (await drawn(12)).data.slice();
    expect(Buffer.compare(Buffer.from((await drawn(12)).data), Buffer.from(one))).toBe(0);
  });
});

describe('palettes as open data', () => {
  const odd: PageColours = {
    page: '6-7',
    kind: 'interior',
    scene: 'n\u00e4chte',
    numbers: [6, 7],
    palette: [{ oklab: oklabOf([255, 0, 0]), sharePercent: 100 }],
    figures: undefined,
    fromScene: undefined,
  };
  const unifying = { oklab: oklabOf([0, 0, 0]), medianPercent: 40, elsewherePercent: 1 };
  const scene = {
    scene: 'n\u00e4chte',
    title: 'N',
    setOff: false,
    pages: ['6-7'],
    palette: odd.palette,
    unifying,
    figures: undefined,
  };
  const story: StoryColours = {
    pages: [odd],
    scenes: [scene],
    steps: [],
    covers: undefined,
    interiors: undefined,
  };

  it('have a row a colour, with Lab relative to D50 and sRGB', () => {
    const [head, ...rows] = palettesCsv(story).trimEnd().split('\r\n');
    expect(head).toBe('of,id,scene,rank,share_percent,lab_l,lab_a,lab_b,srgb');
    // Lab of the red of sRGB: CSS Color 4, as in test/reference/srgb-lab.test.ts.
    expect(rows[0]).toMatch(/^page,6-7,n\u00e4chte,1,100\.00,54\.29,80\.8\d,69\.\d\d,#ff0000$/);
    expect(rows[1]).toMatch(/^scene,n\u00e4chte,n\u00e4chte,1,100\.00,/);
    expect(rows[2]).toBe('unifying,n\u00e4chte,n\u00e4chte,1,40.00,0.00,0.00,0.00,#000000');
  });

  it('are custom properties whose names CSS takes, each once', () => {
    const css = palettesCss(issueOf(40).story);
    const names = [...css.matchAll(/^ {2}(--[\w-]+): #[0-9a-f]{6};$/gm)].map(([, name]) => name);
    expect(names.length).toBeGreaterThan(40);
    expect(new Set(names).size).toBe(names.length);
    expect(css.split('\n').length).toBe(names.length + 4);
    expect(palettesCss(story)).toContain('--page-6-7-colour-1: #ff0000;');
    expect(palettesCss(story)).toContain('--scene-n\u00e4chte-unifying: #000000;');
  });
});
