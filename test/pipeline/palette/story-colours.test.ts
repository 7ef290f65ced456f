import { describe, expect, it } from 'vitest';
import { limitsWith } from '../../../config/check-limits/index.js';
import type { Scene } from '../../../config/job.js';
import type { PagePalette, StoryColours } from '../../../pipeline/model/palette.js';
import { commonPalette } from '../../../pipeline/palette/common-palette.js';
import { chromaOf, oklabDistance, oklabOf, type Rgb, rgbOf } from '../../../pipeline/palette/oklab.js';
import { paletteDistance } from '../../../pipeline/palette/palette-distance.js';
import { figuresOf } from '../../../pipeline/palette/palette-figures.js';
import { noticeScenes } from '../../../pipeline/palette/scene-hints.js';
import { type StoryPage, storyColours } from '../../../pipeline/palette/story-colours.js';

type Drawn = readonly (readonly [Rgb, number])[];

const white: Rgb = [255, 255, 255];
const gutters: Drawn[number] = [white, 15];

function paletteOf(drawn: Drawn): PagePalette {
  const colours = drawn.map(([rgb, sharePercent]) => ({ oklab: oklabOf(rgb), sharePercent, xMm: 1, yMm: 1 }));
  return { colourPercent: 90, colours };
}

const weighed = (drawn: Drawn) => drawn.map(([rgb, weight]) => ({ oklab: oklabOf(rgb), weight }));

/** A day at sea: sky, water, skin, and the red of a boat on every page. */
const sky: Rgb = [160, 205, 240];
const sea: Rgb = [60, 120, 160];
const skin: Rgb = [236, 196, 165];
const boat: Rgb = [190, 50, 40];
const day = (more: number): Drawn => [[sky, 40 + more], [sea, 25 - more], [skin, 10], [boat, 10], gutters];

/** A night on land: dark blues, a lamp, the same skin in its shade. */
const night = (more: number): Drawn => [
  [[24, 28, 58], 45 + more],
  [[44, 58, 96], 28 - more],
  [[120, 96, 110], 8],
  [[255, 210, 110], 4],
  gutters,
];

/** Everything in brown and cream, as an old photograph. */
const sepia = (more: number): Drawn => [
  [[236, 220, 190], 40 + more],
  [[170, 140, 100], 30 - more],
  [[90, 68, 46], 15],
  gutters,
];

/** Loud colours on black. */
const neon = (more: number): Drawn => [
  [[16, 8, 30], 50 + more],
  [[255, 20, 147], 20 - more],
  [[0, 240, 255], 20],
  [[190, 255, 0], 10],
];

/** Pages of scenes, in the order of the story: of each its scene, and how its pages are painted. */
function story(
  scenes: readonly (readonly [scene: Scene, pages: readonly Drawn[]])[],
  inBlack = false,
): StoryColours {
  let number = 0;
  const pages = scenes.flatMap(([{ id: scene }, drawn]) =>
    drawn.map((colours): StoryPage => {
      number++;
      return {
        id: `${number}`,
        kind: 'interior',
        scene,
        numbers: [number],
        inBlack,
        palette: paletteOf(colours),
      };
    }),
  );
  return storyColours(
    pages,
    scenes.map(([scene]) => scene),
  );
}

const scene = (id: string, setOff = false): Scene => ({ id, title: `The ${id}`, setOff });
const told = (of: StoryColours) =>
  noticeScenes(of, () => limitsWith({})).map(([page, { code }]) => `${page} ${code}`);

describe('the distance of two palettes', () => {
  it('is none from itself, in whatever order and however its colours are counted', () => {
    const twice = [...weighed(day(0)), ...weighed(day(0)).toReversed()];
    expect(paletteDistance(weighed(day(0)), twice)).toBeCloseTo(0, 9);
  });

  it('of one colour each is their distance, and of half a page in another colour half of it', () => {
    const apart = oklabDistance(oklabOf(sky), oklabOf(boat));
    expect(paletteDistance(weighed([[sky, 100]]), weighed([[boat, 3]]))).toBeCloseTo(apart, 9);
    expect(
      paletteDistance(
        weighed([[sky, 1]]),
        weighed([
          [sky, 7],
          [boat, 7],
        ]),
      ),
    ).toBeCloseTo(apart / 2, 9);
  });

  it('takes the least way of all: no assignment by hand is shorter', () => {
    // Three greys each, of a third: the least way in one dimension is in their order.
    const grey = (l: number) => ({ oklab: [l, 0, 0] as const, weight: 1 });
    const [one, other] = [[0.1, 0.5, 0.9].map(grey), [0.6, 0.2, 0.3].map(grey)];
    expect(paletteDistance(one, other)).toBeCloseTo((0.1 + 0.2 + 0.3) / 3, 9);
    expect(paletteDistance(other, one)).toBeCloseTo((0.1 + 0.2 + 0.3) / 3, 9);
  });

  it('is never longer by way of a third', () => {
    const [a, b, c] = [day(0), night(0), sepia(0)].map(weighed);
    expect(paletteDistance(a, c)).toBeLessThanOrEqual(paletteDistance(a, b) + paletteDistance(b, c));
  });
});

describe('a palette as people read one', () => {
  it('has 5 to 8 colours that come to 100 percent, the largest first', () => {
    const steps = Array.from({ length: 40 }, (_, n): Drawn[number] => [
      [n * 6, 120, 255 - n * 6],
      1 + (n % 3),
    ]);
    const palette = commonPalette(weighed(steps));
    expect(palette.length).toBeGreaterThanOrEqual(5);
    expect(palette.length).toBeLessThanOrEqual(8);
    expect(palette.reduce((sum, { sharePercent }) => sum + sharePercent, 0)).toBeCloseTo(100, 1);
    const shares = palette.map(({ sharePercent }) => sharePercent);
    expect(shares).toEqual(shares.toSorted((a, b) => b - a));
  });

  it('keeps what it has where that is less', () => {
    expect(
      commonPalette(
        weighed([
          [sky, 3],
          [boat, 1],
        ]),
      ).map(({ oklab }) => rgbOf(oklab)),
    ).toEqual([sky, boat]);
    expect(commonPalette([])).toEqual([]);
  });
});

describe('colours as figures', () => {
  it('orange is warm and its opposite cool, grey is neither', () => {
    const warmth = (rgb: Rgb) => figuresOf(weighed([[rgb, 1]]))?.temperature ?? Number.NaN;
    expect(warmth([255, 140, 0])).toBeGreaterThan(0.1);
    expect(warmth([0, 110, 255])).toBeLessThan(-0.1);
    expect(Math.abs(warmth([128, 128, 128]))).toBeLessThan(0.001);
  });

  it('are means by area; contrast goes from the darkest tenth to the lightest', () => {
    const figures = figuresOf(
      weighed([
        [[0, 0, 0], 50],
        [white, 50],
      ]),
    );
    expect(figures).toEqual({ lightness: 0.5, chroma: 0, temperature: 0, contrast: 1 });
    expect(figuresOf(weighed([[boat, 1]]))?.chroma).toBeCloseTo(chromaOf(oklabOf(boat)), 3);
    expect(figuresOf([])).toBeUndefined();
  });
});

describe('what binds a scene', () => {
  const told = story([
    [scene('sea'), [day(0), day(4), day(8)]],
    [scene('night'), [night(0), night(5), night(9)]],
  ]);

  it('is the colour that its pages have in common and the others have not', () => {
    const [atSea, atNight] = told.scenes;
    expect(rgbOf(atSea.unifying?.oklab ?? [0, 0, 0])).toEqual(sky);
    expect(rgbOf(atNight.unifying?.oklab ?? [1, 0, 0])).toEqual([24, 28, 58]);
    expect(atSea.unifying?.elsewherePercent).toBeLessThan(1);
  });

  it('is not what is everywhere', () => {
    const both = story([
      [
        scene('one'),
        [
          [
            [sky, 80],
            [boat, 20],
          ],
        ],
      ],
      [
        scene('two'),
        [
          [
            [sky, 80],
            [sea, 20],
          ],
        ],
      ],
    ]);
    expect(both.scenes.map(({ unifying }) => rgbOf(unifying?.oklab ?? [0, 0, 0]))).toEqual([boat, sea]);
  });

  it('is nothing where its pages have nothing in common', () => {
    const loose = story([[scene('loose'), [[[sky, 1]], [[boat, 1]], [[skin, 1]]]]]);
    expect(loose.scenes[0].unifying).toBeUndefined();
  });
});

describe('hints on scenes', () => {
  it('are none where the story is told by its colours', () => {
    const sound = story([
      [scene('sea'), [day(0), day(4), day(8)]],
      [scene('wave', true), [sepia(0), sepia(6)]],
      [scene('night'), [night(0), night(5), night(9)]],
      [scene('club'), [neon(0), neon(5), neon(9)]],
    ]);
    expect(told(sound)).toEqual([]);
  });

  it('tell the page that leaves its scene, and only it', () => {
    const leaving = story([[scene('sea'), [day(0), day(4), night(0), day(8), day(2)]]]);
    expect(told(leaving)).toEqual(['3 page-leaves-scene']);
  });

  it('leave a scene alone in which every page is another', () => {
    const changing = story([[scene('day to night'), [day(0), sepia(0), night(0), neon(0)]]]);
    expect(told(changing)).toEqual([]);
  });

  it('tell two scenes that a reader cannot part, on the first page of the later, once', () => {
    const alike = story([
      [scene('sea'), [day(0), day(2)]],
      [scene('shore'), [day(1), day(3)]],
    ]);
    expect(told(alike)).toEqual(['3 scenes-alike']);
  });

  it('tell a flashback that is not set off, on its own first page, against the scene before or after it', () => {
    const before = story([
      [scene('sea'), [day(0), day(2)]],
      [scene('wave', true), [day(6), day(8)]],
    ]);
    expect(told(before)).toEqual(['3 scene-not-set-off']);
    const after = story([
      [scene('wave', true), [day(0)]],
      [scene('sea'), [day(4)]],
    ]);
    expect(told(after)).toEqual(['1 scene-not-set-off']);
  });

  it.each([
    ['one scene only', story([[scene('sea'), [day(0), day(4)]]])],
    [
      'a scene of one page',
      story([
        [scene('sea'), [day(0), day(4)]],
        [scene('spot'), [neon(0)]],
      ]),
    ],
    ['pages of pure white', story([[scene('end'), [[[white, 100]], [[white, 100]], [[white, 100]]]]])],
    [
      'pages in black alone',
      story(
        [
          [scene('sea'), [sepia(0)]],
          [scene('shore'), [sepia(1)]],
        ],
        true,
      ),
    ],
    ['no pages at all', story([[scene('sea'), []]])],
  ])('are none for %s', (_, of) => {
    expect(told(of)).toEqual([]);
  });

  it('are off at a limit of 0', () => {
    const off = limitsWith({ pageLeavesScene: 0, scenesAlike: 0, sceneSetOff: 0 });
    const all = story([
      [scene('sea'), [day(0), day(4), night(0), day(8)]],
      [scene('attic'), [sepia(0)]],
      [scene('album'), [sepia(1)]],
      [scene('wave', true), [sepia(2)]],
    ]);
    expect(noticeScenes(all, () => off)).toEqual([]);
    expect(told(all).length).toBeGreaterThan(2);
  });
});

describe('covers beside interiors', () => {
  it('have figures of their own, and belong to no scene', () => {
    const cover: StoryPage = {
      id: 'cover',
      kind: 'cover',
      scene: 'sea',
      numbers: [],
      inBlack: false,
      palette: paletteOf(neon(0)),
    };
    const page: StoryPage = {
      id: '1',
      kind: 'interior',
      scene: 'sea',
      numbers: [1],
      inBlack: false,
      palette: paletteOf(day(0)),
    };
    const both = storyColours([cover, page], [scene('sea')]);
    expect(both.covers?.chroma).toBeGreaterThan(both.interiors?.chroma ?? 1);
    expect(both.scenes[0].pages).toEqual(['1']);
    expect(storyColours([page], []).covers).toBeUndefined();
  });
});
