import type { LimitTable } from './check-limit.js';

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
