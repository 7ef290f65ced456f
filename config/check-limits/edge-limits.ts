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
} as const satisfies LimitTable;
