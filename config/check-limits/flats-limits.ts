import type { LimitTable } from './check-limit.js';

/** What flats are held against. */
export const flatsLimits = {
  flatsIslandPx: {
    means: 'Patches of one flat with at most so many pixels are told as strays',
    unit: 'pixels',
    max: 10_000,
    default: 16,
    source: 'own choice',
  },
} as const satisfies LimitTable;
