import { type CheckLimits, limitSource } from '../../config/check-limits/index.js';
import { figureBeside, medianOf } from '../../config/figures.js';
import type { Noticed } from '../model/findings.js';
import type { SceneColours, SceneStep, StoryColours } from '../model/palette.js';

/** What the story's colour says of pages, as hints: notes for the record, which hold nothing back. */

/** With fewer pages it cannot be told which of them leaves the scene. */
const leastPages = 3;

/** A scene in which colour changes from page to page has no page that leaves it: one has to stand out by so many times as much. Own choice. */
const standsOutTimes = 1.8;

/** The limits that hold on a page. */
export type LimitsOf = (page: string) => CheckLimits | undefined;

/** Notices pages that leave their scene, scenes that follow each other and look the same, and scenes that are not set off; by page id. */
export function noticeScenes(story: StoryColours, limitsOf: LimitsOf): [string, Noticed][] {
  return [
    ...leavingPages(story, limitsOf),
    ...story.steps.flatMap((step) => noticeStep(step, story, limitsOf)),
  ];
}

function leavingPages({ pages, scenes }: StoryColours, limitsOf: LimitsOf): [string, Noticed][] {
  return scenes.flatMap(({ scene, title }) => {
    const own = pages.filter((page) => page.scene === scene && page.fromScene !== undefined);
    if (own.length < leastPages) return [];
    const usual = medianOf(own.map(({ fromScene = 0 }) => fromScene));
    return own.flatMap(({ page, fromScene = 0 }): [string, Noticed][] => {
      const limits = limitsOf(page);
      const limit = limits?.pageLeavesScene ?? 0;
      if (limits === undefined || limit === 0 || fromScene <= Math.max(limit, usual * standsOutTimes))
        return [];
      return [
        [
          page,
          {
            code: 'page-leaves-scene',
            severity: 'note',
            message: `Its colours leave those of its scene, ${title}`,
            measured: `${figureBeside(fromScene, limit, 3)} from the other pages of the scene in OKLab, where ${usual.toFixed(3)} is usual in it`,
            limit: `at most ${limit}`,
            source: limitSource(limits, 'pageLeavesScene'),
            remedy: 'Nothing, where that is meant; else look at the scene on the colour script.',
          },
        ],
      ];
    });
  });
}

function noticeStep(step: SceneStep, { scenes }: StoryColours, limitsOf: LimitsOf): [string, Noticed][] {
  const [from, to] = [step.from, step.to].map((id) => scenes.find(({ scene }) => scene === id));
  if (from === undefined || to === undefined) return [];
  if (!from.setOff && !to.setOff) return alike(step, from, limitsOf(step.page));
  // A hint stands where somebody would change something: on the scene that is to be set off.
  if (to.setOff) return notSetOff(step.page, step, to, from, limitsOf);
  const [first] = from.pages;
  return first === undefined ? [] : notSetOff(first, step, from, to, limitsOf);
}

function alike(step: SceneStep, from: SceneColours, limits: CheckLimits | undefined): [string, Noticed][] {
  const limit = limits?.scenesAlike ?? 0;
  if (limits === undefined || step.distance >= limit) return [];
  const noticed: Noticed = {
    code: 'scenes-alike',
    severity: 'note',
    message: `By its colours a reader cannot tell that a scene begins here: they are those of the scene before, ${from.title}`,
    measured: `${figureBeside(step.distance, limit, 3)} apart in OKLab; ${differencesOf(step)}`,
    limit: `at least ${limit}`,
    source: limitSource(limits, 'scenesAlike'),
    remedy: 'Nothing, where place and time go on; else part them by lightness, chroma or temperature.',
  };
  return [[step.page, noticed]];
}

function notSetOff(
  page: string,
  step: SceneStep,
  scene: SceneColours,
  beside: SceneColours,
  limitsOf: LimitsOf,
): [string, Noticed][] {
  const limits = limitsOf(page);
  const limit = limits?.sceneSetOff ?? 0;
  if (limits === undefined || step.distance >= limit) return [];
  const noticed: Noticed = {
    code: 'scene-not-set-off',
    severity: 'note',
    message: `The scene ${scene.title} is to be set off, and has the colours of the scene beside it, ${beside.title}`,
    measured: `${figureBeside(step.distance, limit, 3)} apart in OKLab; ${differencesOf(step)}`,
    limit: `at least ${limit}`,
    source: limitSource(limits, 'sceneSetOff'),
    remedy: 'Set it off by chroma, temperature or lightness, or take setOff from the scene in job.yaml.',
  };
  return [[page, noticed]];
}

/** How two scenes differ, the later against the one before. */
function differencesOf({ lightness, chroma, temperature }: SceneStep): string {
  const signed = (value: number) => `${value < 0 ? '-' : '+'}${Math.abs(value).toFixed(3)}`;
  return `lightness ${signed(lightness)}, chroma ${signed(chroma)}, temperature ${signed(temperature)} from one to the next`;
}
