import type { LimitTable } from './check-limit.js';

/** What line art is held against. */
export const lineLimits = {
  thinLineMm: {
    means: 'Black line that is thinner than this may break up on press',
    unit: 'millimetres',
    max: 2,
    default: 0.088,
    source: 'a quarter point, common practice, no published standard',
  },
} as const satisfies LimitTable;
