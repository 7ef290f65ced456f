import type { IssuePage, Job, Scene, Swatch } from '../../config/job.js';
import { isBlackOnly } from '../../config/print-spec.js';
import type { Noticed } from '../model/findings.js';
import type { PageMeasures } from '../model/page-result.js';
import type { PagePalette, StoryColours } from '../model/palette.js';
import { noticeScenes } from '../palette/scene-hints.js';
import { type StoryPage, storyColours } from '../palette/story-colours.js';
import { type Sighting, sightSwatches } from '../palette/swatch-sightings.js';

/** The story's colour, as far as the pages of an issue are at hand. */

/** Of a report: pages with what was measured on them. */
export interface MeasuredPages {
  /** By page id. */
  readonly pages: readonly { readonly page: string; readonly measures: PageMeasures | undefined }[];
}

/**
 * What an issue's colours tell: each page's and scene's palette with its figures, what binds a scene, and how far pages are from their
 * scene and scenes from each other. Costs some milliseconds a hundred pages; reads no file.
 * @param job its list of pages and scenes
 * @param report of a run or of a status; pages without a result have no palette
 */
export function scenePalettes(job: Pick<Job, 'pages' | 'scenes'>, report: MeasuredPages): StoryColours {
  const palettes = new Map(report.pages.map(({ page, measures }) => [page, measures?.palette]));
  return toldOnce(
    job.pages.map((page) => storyPage(page, palettes.get(page.id))),
    job.scenes,
  );
}

function storyPage(
  { id, kind, scene, numbers, spec }: IssuePage,
  palette: PagePalette | undefined,
): StoryPage {
  return { id, kind, scene, numbers, inBlack: isBlackOnly(spec), palette };
}

/** A page of an issue with its colours. */
interface ColouredPage {
  readonly page: IssuePage;
  readonly palette: PagePalette | undefined;
}

/** Hints on scenes, by page id. @param pages in reading order */
export function sceneHints(pages: readonly ColouredPage[], scenes: readonly Scene[]): [string, Noticed][] {
  if (!pages.some(({ page }) => page.scene !== undefined)) return [];
  const limits = new Map(pages.map(({ page }) => [page.id, page.spec.checks]));
  const story = toldOnce(
    pages.map(({ page, palette }) => storyPage(page, palette)),
    scenes,
  );
  return noticeScenes(story, (page) => limits.get(page));
}

/** Where swatches appear. @param pages in reading order; those without colours are passed over */
export function swatchesOn(
  pages: readonly {
    readonly page: Pick<IssuePage, 'id' | 'scene'>;
    readonly palette: PagePalette | undefined;
  }[],
  swatches: readonly Swatch[],
): readonly Sighting[] {
  if (swatches.length === 0) return [];
  const painted = pages.flatMap(({ page: { id, scene }, palette }) =>
    palette === undefined ? [] : [{ page: id, scene, palette }],
  );
  return sightSwatches(swatches, painted);
}

/** What was told last: an issue is looked at again and again, and told once for hints, contact sheet and colour script. */
let last:
  | { readonly pages: readonly StoryPage[]; readonly scenes: readonly Scene[]; readonly story: StoryColours }
  | undefined;

function toldOnce(pages: readonly StoryPage[], scenes: readonly Scene[]): StoryColours {
  const isSame =
    last !== undefined &&
    last.scenes === scenes &&
    last.pages.length === pages.length &&
    pages.every((page, at) => isSamePage(page, last?.pages[at]));
  if (last === undefined || !isSame) last = { pages, scenes, story: storyColours(pages, scenes) };
  return last.story;
}

/** Results are never changed, but replaced: the same palette is the same object. */
function isSamePage(one: StoryPage, other: StoryPage | undefined): boolean {
  return (
    one.id === other?.id &&
    one.palette === other.palette &&
    one.kind === other.kind &&
    one.scene === other.scene &&
    one.numbers === other.numbers &&
    one.inBlack === other.inBlack
  );
}
