import type { LimitTable } from './check-limit.js';

/** What the colour of a page is held against. */
export const colourLimits = {
  outOfGamutPercent: {
    means: 'A page of which the press cannot print more than this share as it was painted is told',
    unit: 'percent of the page',
    max: 100,
    default: 10,
    source: 'own choice',
  },
} as const satisfies LimitTable;
