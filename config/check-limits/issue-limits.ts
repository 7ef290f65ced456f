import type { LimitTable } from './check-limit.js';

/** What pages are held against that are looked at beside each other. */

/** What the pages of an issue are held against each other by. */
export const samenessLimits = {
  unlikeNeighboursTimes: {
    means: 'A page whose line is so many times as wide, or as dense, as that of the issue is told',
    unit: 'times the median of the issue',
    max: 100,
    default: 3,
    source: 'own choice',
  },
} as const satisfies LimitTable;

/** What the colours of pages and scenes are held against each other by, as distances of palettes in OKLab. */
export const storyLimits = {
  pageLeavesScene: {
    means: 'A page whose colours are farther than this from those of the other pages of its scene is told',
    unit: 'OKLab',
    max: 1,
    default: 0.2,
    source: 'own choice: four times what is clear side by side',
  },
  scenesAlike: {
    means:
      'Two scenes that follow each other and are nearer than this are told: a reader cannot part them by colour',
    unit: 'OKLab',
    max: 1,
    default: 0.04,
    source: 'own choice: twice what an eye just tells apart in one flat',
  },
  sceneSetOff: {
    means:
      'A scene that is to be set off, such as a flashback, and is nearer than this to the scene before or after it is told',
    unit: 'OKLab',
    max: 1,
    default: 0.06,
    source: 'own choice: half as much again as parts two scenes',
  },
} as const satisfies LimitTable;
