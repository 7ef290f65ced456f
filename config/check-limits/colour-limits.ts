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
  outOfGamutDe: {
    means: 'A colour is out of gamut where the nearest that the press has is farther off than this',
    unit: 'CIEDE2000',
    max: 60,
    default: 5,
    source: 'own choice, above the 3 that an eye sees side by side',
  },
  outOfGamutWarnDe: {
    means: 'A page that the press misses by more than this on average asks for a look',
    unit: 'CIEDE2000',
    max: 60,
    default: 12,
    source: 'own choice, measured on drawn pages',
  },
  heavyInchPercent: {
    means: 'A square inch with more ink than this share of the ink limit, on average, is told',
    unit: 'percent of the ink limit',
    max: 100,
    default: 90,
    source: 'own choice',
  },
  nearBlackPercent: {
    means: 'Flat colour that is almost black, on more of a page than this and beside true black, is told',
    unit: 'percent of the page',
    max: 100,
    default: 0.5,
    source: 'own choice',
  },
  severalInksLineMm: {
    means: 'Lettering and line that is thinner than this and prints in several inks is told',
    unit: 'millimetres',
    max: 2,
    default: 0.353,
    source: 'one point, common practice, no published standard',
  },
  bandWidthMm: {
    means: 'Steps of a gradient show where each is wider than this and as high as bandStepDe',
    unit: 'millimetres',
    max: 50,
    default: 1.5,
    source: 'own choice',
  },
  bandStepDe: {
    means: 'Steps of a gradient show where they are higher than this; one level of 8 bit is some 0.3',
    unit: 'CIEDE2000',
    max: 10,
    default: 0.6,
    source: 'own choice',
  },
  fallTogetherMm: {
    means:
      'Colours side by side that fall together for readers without red or green cones are told where more border than this has no line',
    unit: 'millimetres',
    max: 10_000,
    default: 40,
    source: 'own choice',
  },
  fallTogetherOklab: {
    means: 'Colours fall together where they are nearer to each other than this, as such readers see them',
    unit: 'distance in OKLab',
    max: 0.1,
    default: 0.025,
    source: 'own choice: 0.02 is just seen side by side',
  },
  letteringContrastTimes: {
    means: 'Lettering that stands out less from what is right around it is hard to read',
    unit: 'contrast ratio as WCAG 2.2 has it',
    max: 21,
    default: 3,
    source: 'WCAG 2.2, 1.4.3, for large text',
  },
} as const satisfies LimitTable;
