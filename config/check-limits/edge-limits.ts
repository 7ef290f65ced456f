import type { LimitTable } from './check-limit.js';

/** What the edges of a page are held against. */
export const edgeLimits = {
  gutterLossMm: {
    means: 'How much of each page the binding takes at the fold of a spread',
    unit: 'millimetres',
    max: 30,
    default: 3,
    source: 'common practice, no published source',
  },
  gutterDrawnTimes: {
    means: 'A piece of the gutter in which so much more is drawn than on the rest of the spread is told',
    unit: 'times the page',
    max: 20,
    default: 4,
    source: 'own choice',
  },
  edgeLetters: {
    means: 'So many letters together beyond the safe margin, through the trim or in the gutter are told',
    unit: 'letters',
    max: 1000,
    default: 3,
    source: 'own choice; the margins are those of the print spec',
  },
  edgeFramePercent: {
    means: 'Frames of panels between trim and safe margin are told along more of a side than this',
    unit: 'percent of the side',
    max: 100,
    default: 40,
    source: 'own choice; the margin is that of the print spec',
  },
  copiedBleedMm: {
    means: 'Bleed that mirrors or smears the art inside the trim is told along more of a side than this',
    unit: 'millimetres',
    max: 1200,
    default: 20,
    source: 'own choice',
  },
} as const satisfies LimitTable;
