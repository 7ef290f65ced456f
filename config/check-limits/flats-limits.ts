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
  flatsSoftPx: {
    means: 'Flats with more soft pixels than this between them are told: their edges are antialiased',
    unit: 'pixels',
    max: 10_000_000,
    default: 50,
    source: 'own choice',
  },
  flatsGapMm: {
    means: 'Bare ground as narrow as this between two flats, or between a flat and its line, is told',
    unit: 'millimetres',
    max: 2,
    default: 0.25,
    source: 'own choice',
  },
  flatsShortMm: {
    means:
      'Edges of flats that end beside their line, as long as this or longer, are told; shorter ones are where lines cross',
    unit: 'millimetres',
    max: 100,
    default: 1,
    source: 'own choice',
  },
  flatsNearLevels: {
    means:
      'Two flats that differ by no more levels than this in every channel are told: surely one colour picked twice',
    unit: 'levels of 255',
    max: 8,
    default: 2,
    source: 'own choice',
  },
} as const satisfies LimitTable;
