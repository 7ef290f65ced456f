/** Nine numbers by rows: linear sRGB to linear sRGB. */
export type Matrix = readonly [number, number, number, number, number, number, number, number, number];

/** A step of a table by severity, from 0 (as most people see) to 1. */
export interface SeverityStep {
  readonly severity: number;
  readonly matrix: Matrix;
}

/** What everybody sees who has all cones. */
export const unchanged: Matrix = [1, 0, 0, 0, 1, 0, 0, 0, 1];

/**
 * Machado, Oliveira and Fernandes, 'A Physiologically-based Model for Simulation of Color Vision Deficiency', IEEE Transactions on
 * Visualization and Computer Graphics 15(6), 2009, 1291-1298: five of the ten published steps, applied in linear light; between two steps
 * the matrix is interpolated. Every row sums to 1, so that grey stays grey.
 */
export const redGreen: Readonly<Record<'protanopia' | 'deuteranopia', readonly SeverityStep[]>> = {
  protanopia: [
    { severity: 0, matrix: unchanged },
    {
      severity: 0.1,
      matrix: [0.856167, 0.182038, -0.038205, 0.029342, 0.955115, 0.015544, -0.00288, -0.001563, 1.004443],
    },
    {
      severity: 0.3,
      matrix: [0.630323, 0.465641, -0.095964, 0.069181, 0.890046, 0.040773, -0.006308, -0.007724, 1.014032],
    },
    {
      severity: 0.5,
      matrix: [0.458064, 0.679578, -0.137642, 0.092785, 0.846313, 0.060902, -0.007494, -0.016807, 1.024301],
    },
    {
      severity: 0.7,
      matrix: [0.319627, 0.849633, -0.169261, 0.106241, 0.815969, 0.07779, -0.007025, -0.028051, 1.035076],
    },
    {
      severity: 1,
      matrix: [0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998],
    },
  ],
  deuteranopia: [
    { severity: 0, matrix: unchanged },
    {
      severity: 0.1,
      matrix: [0.866435, 0.177704, -0.044139, 0.049567, 0.939063, 0.01137, -0.003453, 0.007233, 0.99622],
    },
    {
      severity: 0.3,
      matrix: [0.675425, 0.43385, -0.109275, 0.125303, 0.847755, 0.026942, -0.00795, 0.018572, 0.989378],
    },
    {
      severity: 0.5,
      matrix: [0.547494, 0.607765, -0.155259, 0.181692, 0.781742, 0.036566, -0.01041, 0.027275, 0.983136],
    },
    {
      severity: 0.7,
      matrix: [0.457771, 0.731899, -0.18967, 0.226409, 0.731012, 0.042579, -0.011595, 0.034333, 0.977261],
    },
    {
      severity: 1,
      matrix: [0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.01182, 0.04294, 0.968881],
    },
  ],
};

/**
 * Brettel, Vienot and Mollon, 'Computerized simulation of color appearance for dichromats', Journal of the Optical Society of America A
 * 14(10), 1997, 2647-2655: two half planes that meet along grey. Figures for sRGB as in libDaltonLens (public domain).
 */
export const tritan = {
  /** Which half plane: the first where this, times red, green and blue in linear light, is not negative. */
  normal: [0.03901, -0.02788, -0.01113],
  first: [1.01277, 0.13548, -0.14826, -0.01243, 0.86812, 0.14431, 0.07589, 0.805, 0.11911],
  second: [0.93678, 0.18979, -0.12657, 0.06154, 0.81526, 0.1232, -0.37562, 1.12767, 0.24796],
} as const satisfies { normal: readonly [number, number, number]; first: Matrix; second: Matrix };
