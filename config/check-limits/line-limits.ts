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
  thinWhiteLineMm: {
    means: 'White line in solid black that is thinner than this may fill in on press',
    unit: 'millimetres',
    max: 2,
    default: 0.176,
    source: 'half a point, common practice, no published standard',
  },
  speckMm: {
    means: 'Ink alone on paper, and holes in black, that are no larger than this are likely dust',
    unit: 'millimetres',
    max: 1,
    default: 0.17,
    source: 'own choice: four pixels at 600 ppi, twice what an eye makes out at reading distance',
  },
  specksCount: {
    means: 'More specks, or more pinholes, than this on a page ask for a look; a tenth is for the record',
    unit: 'specks',
    max: 100_000,
    default: 50,
    source: 'own choice',
  },
  skewDegrees: {
    means: 'A page whose borders are turned by more than this asks for a look; a fifth is for the record',
    unit: 'degrees',
    max: 3,
    default: 0.5,
    source: 'own choice, no published figure',
  },
  cutBorderMm: {
    means: 'Borders of panels that reach past the trim by more than this are told',
    unit: 'millimetres',
    max: 25,
    default: 0.1,
    source: 'own choice',
  },
  pressScreenLpi: {
    means:
      'The ruling that the press screens colour with; screened tone in line that is near to it may show moire',
    unit: 'lines per inch',
    max: 400,
    default: 150,
    source: 'common practice for sheet-fed offset: 150 to 175, no published standard',
  },
} as const satisfies LimitTable;
