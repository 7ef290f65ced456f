import type { Scene } from '../../config/job.js';
import type { PageColours, PagePalette, SceneColours, SceneStep, StoryColours } from '../model/palette.js';
import {
  commonPalette,
  inkedColours,
  mostCompared,
  pooled,
  reducedTo,
  rounded,
  type WeighedColour,
} from './common-palette.js';
import { paletteDistance } from './palette-distance.js';
import { figuresOf } from './palette-figures.js';
import { unifyingColour } from './unifying-colour.js';

/** A page as the story's colour is told from it. */
export interface StoryPage {
  readonly id: string;
  readonly kind: string;
  readonly scene: string | undefined;
  readonly numbers: readonly number[];
  /** Prints in black alone: it has no colour that a scene could be told by. */
  readonly inBlack: boolean;
  /** undefined for one that has no result, or no colour. */
  readonly palette: PagePalette | undefined;
}

/** A page with its colours at hand. */
interface InkedPage extends StoryPage {
  /** Few enough to compare; empty where none is known. */
  readonly colours: readonly WeighedColour[];
  /** A spread is two pages of the story. */
  readonly weight: number;
}

/** Colours that were reduced: a story is told again whenever it is looked at, and its pages stay. */
const reduced = new WeakMap<PagePalette, readonly WeighedColour[]>();

function coloursOf(palette: PagePalette | undefined): readonly WeighedColour[] {
  if (palette === undefined) return [];
  const known = reduced.get(palette) ?? reducedTo(mostCompared, inkedColours(palette));
  reduced.set(palette, known);
  return known;
}

/**
 * Tells the story's colour: the palette of each page and scene, what binds a scene, and how far pages are from their scene and scenes
 * from each other. Covers belong to no scene.
 * @param pages in reading order
 */
export function storyColours(pages: readonly StoryPage[], scenes: readonly Scene[]): StoryColours {
  const inked = pages.map((page): InkedPage => {
    const scene = page.kind === 'cover' ? undefined : page.scene;
    return { ...page, scene, colours: coloursOf(page.palette), weight: Math.max(1, page.numbers.length) };
  });
  const known = inked.filter(({ colours }) => colours.length > 0);
  const pools = new Map(
    scenes.map(({ id }) => {
      const all = known.filter(({ scene }) => scene === id);
      const own = inColourOf(all);
      return [id, { own, pool: reducedTo(mostCompared, pooled(own)) }] as const;
    }),
  );
  const covers = known.filter(({ kind }) => kind === 'cover');
  const interiors = known.filter(({ kind, numbers }) => kind !== 'cover' && numbers.length > 0);
  return {
    pages: inked.map((page) => pageColours(page, pools.get(page.scene ?? ''))),
    scenes: scenes.map((scene) => sceneColours(scene, known, pools.get(scene.id))),
    steps: stepsOf(
      known.filter(({ inBlack }) => !inBlack),
      pools,
    ),
    covers: figuresOf(pooled(inColourOf(covers))),
    interiors: figuresOf(pooled(inColourOf(interiors))),
  };
}

/** Pages without those in black alone, as long as there are others. */
function inColourOf(pages: readonly InkedPage[]): readonly InkedPage[] {
  const inColour = pages.filter(({ inBlack }) => !inBlack);
  return inColour.length > 0 ? inColour : pages;
}

/** Pages of a scene, and all of their colours. */
interface ScenePool {
  readonly own: readonly InkedPage[];
  readonly pool: readonly WeighedColour[];
}

function pageColours(page: InkedPage, of: ScenePool | undefined): PageColours {
  const { id, kind, scene, numbers, colours } = page;
  return {
    ...{ page: id, kind, scene, numbers },
    palette: commonPalette(colours),
    figures: figuresOf(colours),
    fromScene: of && fromOthers(page, of),
  };
}

/** How far a page is from the others of its scene. Its own part of the scene's colours lies on itself, and has no way to go. */
function fromOthers(page: InkedPage, { own, pool }: ScenePool): number | undefined {
  if (page.inBlack || own.length < 2 || !own.includes(page)) return undefined;
  const whole = own.reduce((sum, { weight }) => sum + weight, 0);
  return rounded((paletteDistance(page.colours, pool) * whole) / (whole - page.weight));
}

function sceneColours(
  { id, title, setOff }: Scene,
  known: readonly InkedPage[],
  { own, pool }: ScenePool = { own: [], pool: [] },
): SceneColours {
  const palette = commonPalette(pool);
  const others = known.filter(({ scene }) => scene !== undefined && scene !== id);
  const listed = (pages: readonly InkedPage[]) => pages.map(({ colours }) => colours);
  return {
    ...{ scene: id, title, setOff: setOff ?? false, pages: own.map((page) => page.id), palette },
    unifying: unifyingColour(palette, listed(own), listed(others)),
    figures: figuresOf(pool),
  };
}

/** Every way from one scene to the next, told once, where it is first taken; pages without a scene between them are passed over. */
function stepsOf(known: readonly InkedPage[], pools: ReadonlyMap<string, ScenePool>): SceneStep[] {
  const steps: SceneStep[] = [];
  const taken = new Set<string>();
  let last: string | undefined;
  for (const { id, scene } of known) {
    if (scene === undefined) continue;
    const way = JSON.stringify([last, scene].toSorted());
    if (last !== undefined && scene !== last && !taken.has(way)) {
      taken.add(way);
      steps.push(stepOf(last, scene, id, pools));
    }
    last = scene;
  }
  return steps;
}

function stepOf(from: string, to: string, page: string, pools: ReadonlyMap<string, ScenePool>): SceneStep {
  const [before, after] = [from, to].map((scene) => pools.get(scene)?.pool ?? []);
  const [one, other] = [figuresOf(before), figuresOf(after)];
  const more = (figure: 'lightness' | 'chroma' | 'temperature') =>
    rounded((other?.[figure] ?? 0) - (one?.[figure] ?? 0));
  return {
    ...{ from, to, page },
    distance: rounded(paletteDistance(before, after)),
    lightness: more('lightness'),
    chroma: more('chroma'),
    temperature: more('temperature'),
  };
}
